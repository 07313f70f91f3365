#include "offered/tabular/tabular.h"
#include "offered/vocabulary/utf8.h"

#include <csv.h>

namespace ohmglow::tabular {
namespace {

/// Whether a spreadsheet would run the cell instead of showing it.
bool is_formula(std::string_view cell) {
  constexpr std::string_view kStarts = "=+-@\t\r";
  return !cell.empty() && kStarts.find(cell[0]) != std::string_view::npos && !parse_number(cell);
}

/// Blanks in place of what a terminal obeys and of what turns the direction of a text, line ends
/// and tabs apart.
std::string without_commands(std::string_view cell) {
  std::string text;
  text.reserve(cell.size());
  while (!cell.empty()) {
    const Character c = first_character(cell);
    const bool is_kept =
        !c.is_sound || !is_control(c) || c.code == '\n' || c.code == '\r' || c.code == '\t';
    text += is_kept ? cell.substr(0, c.bytes) : " ";
    cell.remove_prefix(c.bytes);
  }
  return text;
}

bool needs_quotes(std::string_view cell, char delimiter) {
  constexpr std::string_view kBlanks = " \t";
  return cell.find(delimiter) != std::string_view::npos ||
         cell.find_first_of("\"\r\n") != std::string_view::npos ||
         (!cell.empty() && (kBlanks.find(cell.front()) != std::string_view::npos ||
                            kBlanks.find(cell.back()) != std::string_view::npos));
}

}  // namespace

std::string cell_text(std::string_view value, char delimiter) {
  if (!needs_quotes(value, delimiter)) return std::string(value);
  std::string text(2 * value.size() + 2, '"');  // each byte may be a quote to double
  text.resize(csv_write(text.data(), text.size(), value.data(), value.size()));
  return text;
}

std::string write_table(const std::vector<std::vector<std::string>>& rows) {
  std::string text;
  for (const auto& row : rows) {
    bool first = true;
    for (const std::string& cell : row) {
      if (!first) text += ',';
      first = false;
      const std::string shown = without_commands(cell);
      text += cell_text(is_formula(shown) ? '\'' + shown : shown, ',');
    }
    text += '\n';
  }
  return text;
}

}  // namespace ohmglow::tabular
