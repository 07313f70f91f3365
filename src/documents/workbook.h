#pragma once
/// A spreadsheet file that is written row by row. Texts are always texts: what begins with "=" is
/// shown, not computed.

#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <chrono>
#include <exception>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>
#include <xlsxwriter.h>

namespace ohmglow::documents {

/// How a cell's number is shown; texts wrap.
enum class Look { text, wrapped, whole, one_place, two_places, three_places, six_places, day };

class Workbook {
 public:
  /// `created` stands in the file's properties.
  Workbook(const std::string& title, const std::string& author, std::chrono::sys_days created);
  ~Workbook();
  Workbook(const Workbook&) = delete;
  Workbook& operator=(const Workbook&) = delete;

  /// The file's bytes. Errors: it could not be written.
  [[nodiscard]] Result<std::string> finish();

  [[nodiscard]] lxw_workbook* book() const { return book_; }
  [[nodiscard]] lxw_format* format(Look look) const;
  [[nodiscard]] lxw_format* head() const { return head_; }
  [[nodiscard]] lxw_format* bold() const { return bold_; }
  /// The tint and bar of a band's level, 1 to 4.
  [[nodiscard]] lxw_format* tint(int level) const;

 private:
  int file_ = -1;
  std::string path_;
  lxw_workbook* book_ = nullptr;
  std::vector<lxw_format*> formats_;
  std::vector<lxw_format*> tints_;
  lxw_format* head_ = nullptr;
  lxw_format* bold_ = nullptr;
};

/// What a column's numbers are: °C and K are shown in the reader's unit, which its head then names.
enum class Of { anything, temperature, difference };

struct SheetColumn {
  std::string_view title;  ///< a message
  double width = 12;       ///< in letters
  Look look = Look::text;
  Of of = Of::anything;
};

/// One table: a frozen head with filters, and rows below it.
class Sheet {
 public:
  /// Rows are `least_height` points high, or higher where their texts wrap.
  Sheet(Workbook& book, const std::string& name, std::span<const SheetColumn> columns,
        const std::string& footer, double least_height = 15);

  void next_row();
  void text(std::string_view words);
  void number(std::optional<double> value);
  void moment(const std::optional<Moment>& moment);
  void skip() { ++column_; }
  /// Over the cell that comes next, which stays empty.
  void picture(const std::vector<std::byte>& png, double scale, const std::string& words);
  /// Cells of a column that hold these words get the tint of the level.
  void tint(std::size_t column, const std::string& words, int level);
  /// Writes the last row, sets the filters.
  void close();

 private:
  struct Cell {
    lxw_col_t column = 0;
    std::variant<std::string, double, lxw_datetime> value;
  };

  void write_row();
  [[nodiscard]] double height_of_row() const;

  Workbook& book_;
  lxw_worksheet* sheet_;
  std::vector<SheetColumn> columns_;
  double least_height_;
  // Of the row that is being filled: its height must be known before its first cell is written.
  std::vector<Cell> cells_;
  lxw_row_t row_ = 0;
  lxw_col_t column_ = 0;
};

/// Out of memory, or whatever else ended the composing.
[[nodiscard]] Error xlsx_not_composed(const std::exception& error);

/// A text as a cell holds it: printable, and no longer than the format allows.
[[nodiscard]] std::string cell_text(std::string_view words);

}  // namespace ohmglow::documents
