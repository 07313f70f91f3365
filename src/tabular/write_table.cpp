#include "ohmglow/tabular.h"

#include <csv.h>

namespace ohmglow::tabular {
namespace {

/// Whether a spreadsheet would run the cell instead of showing it.
bool is_formula(std::string_view cell) {
  constexpr std::string_view kStarts = "=+-@\t\r";
  return !cell.empty() && kStarts.find(cell[0]) != std::string_view::npos && !parse_number(cell);
}

bool needs_quotes(std::string_view cell) {
  return cell.find_first_of(",\"\r\n") != std::string_view::npos || cell.starts_with(' ') ||
         cell.ends_with(' ') || cell.starts_with('\t') || cell.ends_with('\t');
}

void append(std::string& text, std::string_view cell) {
  std::string safe;
  if (is_formula(cell)) {
    safe.assign(1, '\'').append(cell);
    cell = safe;
  }
  if (!needs_quotes(cell)) {
    text += cell;
    return;
  }
  const std::size_t at = text.size();
  text.resize(at + 2 * cell.size() + 2);  // each byte may be a quote to double
  text.resize(at + csv_write(&text[at], text.size() - at, cell.data(), cell.size()));
}

}  // namespace

std::string write_table(const std::vector<std::vector<std::string>>& rows) {
  std::string text;
  for (const auto& row : rows) {
    bool first = true;
    for (const std::string& cell : row) {
      if (!first) text += ',';
      first = false;
      append(text, cell);
    }
    text += '\n';
  }
  return text;
}

}  // namespace ohmglow::tabular
