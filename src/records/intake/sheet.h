#pragma once
/// A table of the survey folder as named columns over rows.

#include "offered/tabular/tabular.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"
#include "records/intake/columns.h"

#include <filesystem>
#include <map>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace ohmglow::records {

using Problems = std::vector<Problem>;

inline constexpr std::string_view kMendCell = "correct the cell; the row is left out until then";

/// A place in a table with something wrong.
[[nodiscard]] Error cell_error(std::string_view column, std::string what, std::string_view found,
                               std::string expected, ErrorKind kind = ErrorKind::invalid_value);

/// The complaint about two columns that give the same in two units.
[[nodiscard]] Error given_twice(std::string_view column, std::string_view other);
/// The columns with another unit, and the places of those that they stand beside.
[[nodiscard]] std::vector<std::pair<std::size_t, std::size_t>> units_of_one_thing(
    std::span<const ColumnInfo* const> columns);

/// Adds an error of a row to the problems.
void report(Problems& problems, Error error, std::string_view file, std::optional<long> row);

/// Holds the text and where its rows stand; cells are cut when they are asked for.
class Sheet {
 public:
  /// Reads and cuts a table. Errors: those of the file and of the text; a column name given twice.
  [[nodiscard]] static Result<Sheet> read(const std::filesystem::path& folder,
                                          std::string_view file);
  /// A table of the survey, found by its usual name, noted in Survey::files and Survey::tables.
  /// Absent where there is no such file, and where it cannot be read, which goes to the problems.
  [[nodiscard]] static std::optional<Sheet> take_in(const std::filesystem::path& folder,
                                                    std::string_view usual_name, Survey& survey);
  /// Cuts the text of the table of that name.
  [[nodiscard]] static Result<Sheet> parse(std::string text, std::string_view file);

  [[nodiscard]] std::string_view file() const { return file_; }
  [[nodiscard]] const tabular::Dialect& dialect() const { return dialect_; }
  [[nodiscard]] char decimal_mark() const { return dialect_.decimal_mark; }
  /// Column names, lower case; empty where the header has an empty cell.
  [[nodiscard]] const std::vector<std::string>& header() const { return header_; }
  /// The same as the file writes them.
  [[nodiscard]] const std::vector<std::string>& written_header() const { return written_header_; }
  [[nodiscard]] std::size_t rows() const { return rows_.size(); }
  [[nodiscard]] std::vector<std::string> cells(std::size_t row) const;
  /// A row's cell in a column; empty for a column that is not there.
  [[nodiscard]] std::string cell(std::size_t row, std::string_view column) const;
  /// The row's number as a spreadsheet counts.
  [[nodiscard]] long number(std::size_t row) const { return rows_[row].number; }
  /// The non-empty cells of a column; empty for a column that is not there.
  [[nodiscard]] std::vector<std::string> column(std::string_view name) const;

  /// What is wrong with the rows that are damaged, which are left out.
  [[nodiscard]] const std::vector<Error>& damaged() const { return damaged_; }

  /// For each header cell its index in `columns`, or none. Unknown columns are reported once, and
  /// rows that are damaged; false where a required one is missing, which is reported too.
  [[nodiscard]] bool bind(std::span<const ColumnInfo* const> columns,
                          const std::set<std::string>& defaulted,
                          std::vector<std::optional<std::size_t>>& bound, Problems& problems) const;

 private:
  struct RowText {
    std::size_t begin = 0;
    std::size_t size = 0;
    long number = 0;
  };

  std::string file_;
  std::string text_;
  tabular::Dialect dialect_;
  std::vector<std::string> written_header_;
  std::vector<std::string> header_;
  std::vector<RowText> rows_;  ///< below the header
  std::vector<Error> damaged_;
};

template <class Row>
struct SheetRow {
  Row value;
  long number = 0;
  std::map<std::string, std::string> extra;
};

/// Reads the rows of a sheet, one at a time and each as often as it is wanted. Refers to the sheet
/// and the columns.
template <class Row>
class RowReader {
 public:
  /// Each row is begun from `base`; `defaulted` names the columns that base holds.
  RowReader(const Sheet& sheet, const std::vector<Column<Row>>& columns, Row base = {},
            std::set<std::string> defaulted = {})
      : sheet_(sheet),
        columns_(columns),
        base_(std::move(base)),
        defaulted_(std::move(defaulted)) {}

  /// To be called first. False where a required column is missing.
  [[nodiscard]] bool bind(Problems& problems) {
    std::vector<const ColumnInfo*> infos;
    for (const Column<Row>& column : columns_) infos.push_back(&column);
    pairs_ = units_of_one_thing(infos);
    return sheet_.bind(infos, defaulted_, bound_, problems);
  }

  /// Nothing if a cell is bad.
  [[nodiscard]] std::optional<SheetRow<Row>> read(std::size_t index, Problems& problems) const {
    const std::size_t before = problems.size();
    std::optional<SheetRow<Row>> row({base_, sheet_.number(index), {}});
    std::vector<bool> given(columns_.size(), false);
    const std::vector<std::string> cells = sheet_.cells(index);
    bool is_wider = false;  // once said of a row is enough: it may be wider by a hundred thousand
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const std::string_view cell = trimmed(cells[i]);
      if (cell.empty()) continue;
      const bool is_named = i < bound_.size() && !sheet_.header()[i].empty();
      if (is_named) take(cell, index, i, *row, given, problems);
      if (!is_named && !std::exchange(is_wider, true)) {
        complain(index, problems,
                 cell_error("", "a cell without a column name above it", cell,
                            "no more cells than the header row"));
      }
    }
    for (std::size_t i = 0; i < columns_.size(); ++i) {
      if (columns_[i].need == Need::optional || given[i]) continue;
      if (defaulted_.contains(std::string(columns_[i].name))) continue;
      complain(index, problems,
               cell_error(columns_[i].name, "the cell is empty", "", columns_[i].expected,
                          ErrorKind::missing));
    }
    for (const auto& [column, other] : pairs_) {
      if (given[column] && given[other]) {
        complain(index, problems, given_twice(columns_[column].name, columns_[other].name));
      }
    }
    if (problems.size() != before) row.reset();
    return row;
  }

 private:
  void complain(std::size_t index, Problems& problems, Error error) const {
    report(problems, std::move(error), sheet_.file(), sheet_.number(index));
  }

  void take(std::string_view cell, std::size_t index, std::size_t place, SheetRow<Row>& row,
            std::vector<bool>& given, Problems& problems) const {
    if (!bound_[place]) {
      row.extra.emplace(sheet_.header()[place], cell);
      return;
    }
    const Column<Row>& column = columns_[*bound_[place]];
    given[*bound_[place]] = true;
    if (column.set(row.value, cell, sheet_.decimal_mark())) return;
    complain(index, problems,
             cell_error(column.name, "the cell cannot be used", cell,
                        column.expected_for(cell, sheet_.decimal_mark())));
  }

  const Sheet& sheet_;
  const std::vector<Column<Row>>& columns_;
  Row base_;
  std::set<std::string> defaulted_;
  std::vector<std::optional<std::size_t>> bound_;           ///< of each cell the column
  std::vector<std::pair<std::size_t, std::size_t>> pairs_;  ///< columns of which a row fills one
};

/// The good rows of a sheet.
template <class Row>
[[nodiscard]] std::vector<SheetRow<Row>> read_rows(const Sheet& sheet,
                                                   const std::vector<Column<Row>>& columns,
                                                   Problems& problems) {
  std::vector<SheetRow<Row>> rows;
  RowReader<Row> reader(sheet, columns);
  if (!reader.bind(problems)) return rows;
  rows.reserve(sheet.rows());
  for (std::size_t i = 0; i < sheet.rows(); ++i) {
    if (auto row = reader.read(i, problems)) rows.push_back(std::move(*row));
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
