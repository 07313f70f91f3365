#pragma once
/// A table's text with some of its cells changed and every other byte kept.

#include "offered/tabular/tabular.h"
#include "ohmglow/result.h"
#include "records/intake/sheet.h"

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

class TableDraft {
 public:
  /// Errors: those of Sheet::parse().
  [[nodiscard]] static Result<TableDraft> of(std::string text, std::string_view file);

  /// As the text was before.
  [[nodiscard]] const Sheet& sheet() const { return sheet_; }

  [[nodiscard]] bool has_column(std::string_view name) const;
  /// Sets a cell; `row` as Sheet counts, or the one of append(). A column that is missing is added
  /// at the right end.
  void set(std::size_t row, std::string_view column, std::string_view value);
  /// Adds an empty row below the last one.
  [[nodiscard]] std::size_t append();
  void erase(std::size_t row);

  /// The text with all of it done, read back: it holds the changes and nothing else. Errors:
  /// invalid_value where a change would make the table be cut otherwise.
  struct Done {
    std::string text;
    Sheet sheet;
  };
  [[nodiscard]] Result<Done> done() const;

 private:
  TableDraft(std::string text, Sheet sheet);

  /// A row's cells as they are written, and what ends its line.
  struct RawRow {
    std::vector<std::string> cells;
    std::string line_end;
  };
  [[nodiscard]] RawRow raw(std::size_t line) const;
  RawRow& changed(std::size_t line);
  std::size_t column_index(std::string_view name);
  [[nodiscard]] std::string joined(const RawRow& row) const;
  [[nodiscard]] std::string line_end() const;
  [[nodiscard]] std::string appended() const;
  [[nodiscard]] std::string written() const;
  /// The same with every row as wide as the header.
  [[nodiscard]] TableDraft padded() const;
  [[nodiscard]] bool reads_as_meant(const Sheet& after) const;
  [[nodiscard]] std::optional<Error> damage_in(const Sheet& after) const;

  std::string text_;
  Sheet sheet_;
  std::vector<tabular::RowPlace> places_;  ///< the header's first
  std::vector<std::string> columns_;       ///< lower case, with those that were added
  std::map<std::size_t, RawRow> changes_;  ///< by line: the header is 0, the sheet's rows follow
  std::map<std::size_t, std::map<std::size_t, std::string>> values_;  ///< by line and column
  std::size_t erased_ = 0;                                            ///< a line, 0 = none
  std::size_t appended_rows_ = 0;
  bool is_padded_ = false;
};

}  // namespace ohmglow::records
