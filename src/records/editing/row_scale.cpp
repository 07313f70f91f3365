#include "records/editing/row_scale.h"

#include "records/files/shown.h"

#include <algorithm>
#include <fmt/format.h>

namespace ohmglow::records {
namespace {

std::string column_name(const CellText& cell) {
  return lower_case(trimmed(cell.column));
}

/// What is no number stays as it is: the table's reader complains about it.
std::string in_fahrenheit_text(std::string_view celsius, char decimal_mark) {
  const auto value = tabular::parse_number(celsius, decimal_mark);
  if (!value) return std::string(celsius);
  std::string text = fmt::format("{:.8g}", to_fahrenheit(Celsius{*value}).value());
  std::replace(text.begin(), text.end(), '.', decimal_mark);
  return text;
}

}  // namespace

std::string fahrenheit_column(std::string_view column) {
  // Standard uncertainties are differences, and have no column in °F.
  if (!column.ends_with("_c") || column.ends_with("_u_c")) return {};
  return std::string(column.substr(0, column.size() - 1)) + 'f';
}

std::vector<CellText> in_scale_of_row(
    const std::vector<CellText>& cells,
    const std::function<std::string(std::string_view column)>& written, char decimal_mark) {
  std::vector<CellText> kept = cells;
  for (CellText& cell : kept) {
    const std::string other = fahrenheit_column(column_name(cell));
    const bool is_named = std::any_of(cells.begin(), cells.end(), [&other](const CellText& named) {
      return column_name(named) == other;
    });
    if (other.empty() || is_named || cell.text.empty() || trimmed(written(other)).empty()) continue;
    cell = {other, in_fahrenheit_text(cell.text, decimal_mark)};
  }
  return kept;
}

}  // namespace ohmglow::records
