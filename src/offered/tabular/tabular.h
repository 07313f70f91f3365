#pragma once
/// Text that holds a table: which delimiter, which decimal mark, which cells, which numbers. One
/// mechanism for the survey's tables and for temperature matrices. Knows no files.

#include "ohmglow/result.h"

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::tabular {

/// How a text separates its cells and writes its decimals.
struct Dialect {
  char delimiter = ',';
  char decimal_mark = '.';
  friend bool operator==(const Dialect&, const Dialect&) = default;
};

/// How a text's characters are written as bytes.
enum class Encoding { utf_8, utf_16_le, utf_16_be, windows_1252 };

/// A text in UTF-8, its byte order mark included, and how its bytes were written.
struct Decoded {
  std::string text;
  Encoding encoding = Encoding::utf_8;
};

/// UTF-16 is known by its byte order mark; what is no UTF-8 is taken for Windows-1252, in which
/// spreadsheets save. Errors: `damaged` for UTF-16 that breaks off; `not_this_format` for bytes
/// that none of them has.
[[nodiscard]] Result<Decoded> decoded(std::string bytes);
/// The bytes of a text again. Errors: `invalid_value` for a character that the encoding lacks.
[[nodiscard]] Result<std::string> encoded(std::string_view text, Encoding encoding);

/// The delimiter that a first line "sep=;" declares, or else comma, semicolon or tab: the one that
/// cuts most of the first lines into the same count of two or more cells. The decimal mark is a
/// comma only with semicolon or tab, and only where some cell reads as a number that way. A byte
/// order mark is skipped, as is the line that declares.
[[nodiscard]] Dialect sniff(std::string_view text);

/// A number as people write it in a table: the whole cell, blanks around it allowed, the given
/// decimal mark, no thousands separators. NaN and infinities are not numbers here.
[[nodiscard]] std::optional<double> parse_number(std::string_view cell, char decimal_mark = '.');

/// One row of cells; `line` counts from 1 and is the line on which the row starts. As in a
/// spreadsheet, a first line "sep=;" does not count.
struct Row {
  long line = 0;
  std::vector<std::string> cells;
};

/// A text cut into rows (RFC 4180 quoting; blank rows are dropped).
struct Table {
  Dialect dialect;
  std::vector<Row> rows;
};

/// Cuts a whole text into rows. Errors: `empty`; `not_this_format` for text that is not UTF-8 or
/// holds NUL bytes; `damaged` for a quote that never closes.
[[nodiscard]] Result<Table> parse_table(std::string_view text);

/// The same row by row: each is given with its bytes in the text, from which cells_of() cuts its
/// cells again. After an error what was given is of no use. Where `damaged` is given, it gets what
/// is wrong with a row below the first, its place with the row's line and the number of the cell;
/// true leaves that row out, and the next line begins another.
using TakeRow = std::function<void(Row row, std::string_view bytes)>;
using TakeDamage = std::function<bool(const Error& error)>;
[[nodiscard]] Result<Dialect> each_row(std::string_view text, const TakeRow& take,
                                       const TakeDamage& damaged = {});
[[nodiscard]] std::vector<std::string> cells_of(std::string_view row, char delimiter);

/// Where a cell stands in a text: the bytes from `begin` up to `end`, with its quotes and blanks.
struct CellPlace {
  std::size_t begin = 0;
  std::size_t end = 0;
};

/// Where a row stands: its cells, and its bytes up to `end`, behind its line end.
struct RowPlace {
  std::size_t begin = 0;
  std::size_t end = 0;
  std::vector<CellPlace> cells;
};

/// The places of the rows that each_row() gives where damaged ones are left out, one for one, so
/// that a cell can be changed and every other byte kept.
[[nodiscard]] std::vector<RowPlace> places(std::string_view text, char delimiter);

/// A value as a cell of a table, between quotes (RFC 4180) where it would be cut or trimmed
/// without them.
[[nodiscard]] std::string cell_text(std::string_view value, char delimiter);

/// Writes rows with commas and RFC 4180 quotes; what commands a terminal becomes blanks. A formula
/// (beginning with = + - @, tab or return, and not a number) is written with a leading apostrophe.
[[nodiscard]] std::string write_table(const std::vector<std::vector<std::string>>& rows);

}  // namespace ohmglow::tabular
