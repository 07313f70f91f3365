#pragma once
/// User strings made safe to show: valid UTF-8 without control characters, and how many columns
/// they take.

#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::report {

/// The text with every control character (a terminal would obey it, XML forbids it) as a space and
/// every malformed byte as U+FFFD.
[[nodiscard]] std::string printable(std::string_view text);

/// Columns on a terminal: combining marks take none, East Asian wide characters and emoji two.
[[nodiscard]] int display_width(std::string_view text);

/// At most `width` columns, the last one an ellipsis where something was cut.
[[nodiscard]] std::string shorten(std::string_view text, int width);

/// Lines of at most `width` columns, broken at blanks, inside a word only where it is longer than a
/// line. At least one line, maybe empty.
[[nodiscard]] std::vector<std::string> wrap(std::string_view text, int width);

/// Text with blanks behind it, `width` columns in all.
[[nodiscard]] std::string padded(std::string text, int width);

/// printable(), and the five characters that mean something in HTML and XML escaped; for text and
/// for quoted attributes alike.
[[nodiscard]] std::string escape(std::string_view text);

}  // namespace ohmglow::report
