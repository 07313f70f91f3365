#pragma once
/// A table of short texts fitted to the width of a terminal.

#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::report {

struct TableColumn {
  std::string title;
  bool right_aligned = false;
  bool wraps = false;  ///< may break at blanks where the terminal is narrow
};

struct TableCell {
  std::string text;
  int level = 0;  ///< of a band, 1 to 4: coloured where colour is asked for
};

/// The narrowest terminal that tables are drawn for.
inline constexpr int kNarrowest = 60;

/// Lines of at most `width` columns (but kNarrowest at least), each ended by a newline. Texts must
/// be printable().
[[nodiscard]] std::string terminal_table(const std::vector<TableColumn>& columns,
                                         const std::vector<std::vector<TableCell>>& rows, int width,
                                         bool colour);

/// The text made printable(), broken into lines of at most `width` columns, each set in by
/// `indent`.
[[nodiscard]] std::string paragraph(std::string_view text, int width, int indent);

/// The text in the colour of a band's level, or as it is.
[[nodiscard]] std::string in_level_colour(const std::string& text, int level, bool colour);

}  // namespace ohmglow::report
