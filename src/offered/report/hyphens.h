#pragma once
/// Where long words may be parted in a narrow column.

#include <string>
#include <string_view>

namespace ohmglow::report {

/// The text with soft hyphens (U+00AD) where its long words may be parted, in the reader's
/// language; unchanged in English, whose words are short. For what a typesetter lays out alone:
/// tables and pages of the PDF. What machines read, and the terminal, take the text as it is.
[[nodiscard]] std::string hyphenated(std::string_view text);

}  // namespace ohmglow::report
