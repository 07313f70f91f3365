#include "offered/tabular/tabular.h"
#include "offered/tabular/workbook.h"
#include "targets.h"

namespace ohmglow::fuzz {
namespace {

using tabular::Encoding;

constexpr tabular::WorkbookLimits kWorkbookLimits{.part_bytes = 1 << 20, .text_bytes = 1 << 20};

/// Every row is cut from its bytes again, and every cell stands where its place says.
void look_at_rows(std::string_view text) {
  std::vector<tabular::Row> rows;
  std::vector<std::string> bytes;
  const auto dialect = tabular::each_row(
      text,
      [&](tabular::Row row, std::string_view its_bytes) {
        rows.push_back(std::move(row));
        bytes.emplace_back(its_bytes);
      },
      [](const Error& error) {
        demand(!sentence(error).empty());
        return true;
      });
  if (!dialect) {
    demand(!sentence(dialect.error()).empty());
    return;
  }
  for (std::size_t i = 0; i < rows.size(); ++i)
    demand(tabular::cells_of(bytes[i], dialect->delimiter) == rows[i].cells);
  const auto places = tabular::places(text, dialect->delimiter);
  demand(places.size() == rows.size());
  for (std::size_t i = 0; i < places.size(); ++i) {
    demand(places[i].cells.size() == rows[i].cells.size());
    for (const auto& cell : places[i].cells)
      demand(cell.begin <= cell.end && cell.end <= places[i].end && places[i].end <= text.size());
  }
}

}  // namespace

void table(std::string_view input) {
  const auto decoded = tabular::decoded(std::string(input));
  if (!decoded) return;
  const auto again = tabular::encoded(decoded->text, decoded->encoding);
  if (decoded->encoding != Encoding::utf_8) demand(again.has_value());
  look_at_rows(decoded->text);
  const auto table = tabular::parse_table(decoded->text);
  if (!table) return;
  std::vector<std::vector<std::string>> rows;
  for (const auto& row : table->rows) {
    rows.push_back(row.cells);
    for (const std::string& cell : row.cells)
      (void)tabular::parse_number(cell, table->dialect.decimal_mark);
  }
  const std::string written = tabular::write_table(rows);
  demand(rows.empty() || tabular::each_row(written, [](auto&&...) {}).has_value());
}

void workbook(std::string_view input) {
  const auto sheet = tabular::first_sheet(input, kWorkbookLimits);
  if (!sheet) {
    demand(!sentence(sheet.error()).empty());
    return;
  }
  demand(sheet->text.size() <= kWorkbookLimits.text_bytes);
  look_at_rows(sheet->text);
}

}  // namespace ohmglow::fuzz
