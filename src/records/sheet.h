#pragma once
/// A table of the survey folder as named columns over rows.

#include "ohmglow/result.h"
#include "ohmglow/survey.h"
#include "ohmglow/tabular.h"
#include "records/columns.h"

#include <filesystem>
#include <map>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

using Problems = std::vector<Problem>;

inline constexpr std::string_view kMendCell = "correct the cell; the row is left out until then";

/// A place in a table with something wrong.
[[nodiscard]] Error cell_error(std::string_view column, std::string what, std::string_view found,
                               std::string expected, ErrorKind kind = ErrorKind::invalid_value);

/// Adds an error of a row to the problems.
void report(Problems& problems, Error error, std::string_view file, std::optional<long> row);

class Sheet {
 public:
  /// Reads and cuts a table. Errors: those of the file and of the text; a column name given twice.
  [[nodiscard]] static Result<Sheet> read(const std::filesystem::path& folder,
                                          std::string_view file);
  /// Cuts the text of the table of that name.
  [[nodiscard]] static Result<Sheet> parse(std::string_view text, std::string_view file);

  [[nodiscard]] std::string_view file() const { return file_; }
  [[nodiscard]] const tabular::Dialect& dialect() const { return table_.dialect; }
  [[nodiscard]] char decimal_mark() const { return table_.dialect.decimal_mark; }
  /// Column names, lower case; empty where the header has an empty cell.
  [[nodiscard]] const std::vector<std::string>& header() const { return header_; }
  /// The same as the file writes them.
  [[nodiscard]] const std::vector<std::string>& written_header() const {
    return table_.rows.front().cells;
  }
  [[nodiscard]] std::size_t rows() const { return table_.rows.size() - 1; }
  [[nodiscard]] const std::vector<std::string>& cells(std::size_t row) const {
    return table_.rows[row + 1].cells;
  }
  /// The row's number as a spreadsheet counts.
  [[nodiscard]] long number(std::size_t row) const { return numbers_[row + 1]; }
  /// The non-empty cells of a column; empty for a column that is not there.
  [[nodiscard]] std::vector<std::string> column(std::string_view name) const;

  /// For each header cell its index in `columns`, or none. Unknown columns are reported once; false
  /// where a required one is missing, which is reported too.
  [[nodiscard]] bool bind(std::span<const ColumnInfo* const> columns,
                          const std::set<std::string>& defaulted,
                          std::vector<std::optional<std::size_t>>& bound, Problems& problems) const;

 private:
  std::string file_;
  tabular::Table table_;
  std::vector<std::string> header_;
  std::vector<long> numbers_;
};

template <class Row>
struct SheetRow {
  Row value;
  long number = 0;
  std::map<std::string, std::string> extra;
};

/// The row's cells put into `row`, which holds the defaults before. False if a cell is bad.
template <class Row>
[[nodiscard]] bool fill(const Sheet& sheet, std::size_t index,
                        const std::vector<Column<Row>>& columns,
                        const std::vector<std::optional<std::size_t>>& bound,
                        const std::set<std::string>& defaulted, SheetRow<Row>& row,
                        Problems& problems) {
  const std::size_t before = problems.size();
  const auto complain = [&](Error error) {
    report(problems, std::move(error), sheet.file(), sheet.number(index));
  };
  std::vector<bool> given(columns.size(), false);
  const auto& cells = sheet.cells(index);
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const std::string_view cell = trimmed(cells[i]);
    if (cell.empty()) continue;
    if (i >= bound.size() || sheet.header()[i].empty()) {
      complain(cell_error("", "a cell without a column name above it", cell,
                          "no more cells than the header row"));
    } else if (!bound[i]) {
      row.extra.emplace(sheet.header()[i], cell);
    } else {
      const Column<Row>& column = columns[*bound[i]];
      given[*bound[i]] = true;
      if (!column.set(row.value, cell, sheet.decimal_mark())) {
        complain(cell_error(column.name, "the cell cannot be used", cell, column.expected));
      }
    }
  }
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (columns[i].need == Need::optional || given[i]) continue;
    if (defaulted.contains(std::string(columns[i].name))) continue;
    complain(cell_error(columns[i].name, "the cell is empty", "", columns[i].expected,
                        ErrorKind::missing));
  }
  return problems.size() == before;
}

/// The good rows of a sheet, each begun from `base`; `defaulted` names the columns that base holds.
template <class Row>
[[nodiscard]] std::vector<SheetRow<Row>> read_rows(const Sheet& sheet,
                                                   const std::vector<Column<Row>>& columns,
                                                   Problems& problems, const Row& base = {},
                                                   const std::set<std::string>& defaulted = {}) {
  const std::vector<const ColumnInfo*> infos = [&columns] {
    std::vector<const ColumnInfo*> result;
    for (const Column<Row>& column : columns) result.push_back(&column);
    return result;
  }();
  std::vector<std::optional<std::size_t>> bound;
  std::vector<SheetRow<Row>> rows;
  if (!sheet.bind(infos, defaulted, bound, problems)) return rows;
  rows.reserve(sheet.rows());
  for (std::size_t i = 0; i < sheet.rows(); ++i) {
    SheetRow<Row> row{base, sheet.number(i), {}};
    if (fill(sheet, i, columns, bound, defaulted, row, problems)) rows.push_back(std::move(row));
  }
  return rows;
}

/// The rows of a sheet that is of no use with a part left out: the first complaint is the error.
template <class Row>
[[nodiscard]] Result<std::vector<Row>> read_whole(const Sheet& sheet,
                                                  const std::vector<Column<Row>>& columns) {
  Problems problems;
  auto rows = read_rows(sheet, columns, problems);
  if (!problems.empty()) {
    Problem& first = problems.front();
    return fail({.kind = ErrorKind::invalid_value,
                 .what = std::move(first.message),
                 .place = {.file = first.file, .row = first.row, .column = first.column}});
  }
  std::vector<Row> values;
  values.reserve(rows.size());
  for (SheetRow<Row>& row : rows) values.push_back(std::move(row.value));
  return values;
}

}  // namespace ohmglow::records
