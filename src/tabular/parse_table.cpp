#include "offered/tabular/tabular.h"
#include "offered/vocabulary/utf8.h"
#include "text.h"

#include <algorithm>
#include <csv.h>
#include <exception>
#include <new>
#include <optional>
#include <utility>

namespace ohmglow::tabular {
namespace {

/// What the parser's callbacks fill. They run below C frames, so nothing may be thrown through
/// them.
struct Collector {
  std::vector<std::string> cells;
  bool ended = false;  ///< a row ended since this was last cleared
  std::exception_ptr trouble;

  [[nodiscard]] bool is_blank() const {
    return std::all_of(cells.begin(), cells.end(),
                       [](const std::string& cell) { return cell.empty(); });
  }
};

template <class Action>
void guarded(void* data, Action action) {
  auto& collector = *static_cast<Collector*>(data);
  try {
    action(collector);
  } catch (...) {
    collector.trouble = std::current_exception();
  }
}

void on_cell(void* text, std::size_t size, void* data) {
  guarded(data, [&](Collector& c) { c.cells.emplace_back(static_cast<const char*>(text), size); });
}

void on_row(int, void* data) {
  static_cast<Collector*>(data)->ended = true;
}

/// What the parser is given at a time: it tells neither where a row began nor where a cell ended,
/// but only at the end of a piece can either happen.
enum class Pieces { lines, cells };

/// A piece's end before and behind its line end (LF, CRLF or CR) or its delimiter.
struct Piece {
  std::size_t content_end = 0;
  std::size_t end = 0;
  bool ends_line = false;
};

// A loop and not the library's search, which calls a function for each byte.
Piece piece_at(std::string_view text, std::size_t at, char delimiter) {
  const auto breaks_line = [](char c) { return c == '\n' || c == '\r'; };
  while (at < text.size() && text[at] != delimiter && !breaks_line(text[at])) ++at;
  if (at == text.size()) return {at, at, true};
  return {at, at + (text.substr(at, 2) == "\r\n" ? 2 : 1), breaks_line(text[at])};
}

Error quote_error(long line, std::size_t cell) {
  return {.kind = ErrorKind::damaged,
          .what = "a quote is not closed, or stands inside an unquoted cell",
          .expected =
              "cells that hold a quote, delimiter or line break between quotes, with each "
              "inner quote doubled",
          .mend = "correct the quotes in this row",
          .place = {.row = line, .column = std::to_string(cell + 1)}};
}

Error not_utf8(std::string_view text, std::size_t at) {
  const std::string_view before = text.substr(0, at);
  const auto rows = std::min(opening_of(text).bytes, at);
  const long line =
      1 + std::count(before.begin() + static_cast<std::ptrdiff_t>(rows), before.end(), '\n');
  const bool nul = text[at] == '\0';
  return {.kind = ErrorKind::not_this_format,
          .what = nul ? "this is not a text table: it holds NUL bytes"
                      : "this text is not encoded in UTF-8",
          .mend = "save it as CSV in UTF-8",
          .place = {.row = line, .byte_offset = at}};
}

Error nul_error(long line, std::size_t cell) {
  return {.kind = ErrorKind::not_this_format,
          .what = "a cell holds a NUL byte",
          .expected = "text without control characters",
          .mend = "write the cell anew",
          .place = {.row = line, .column = std::to_string(cell + 1)}};
}

/// The cell with a NUL byte.
std::optional<std::size_t> nul_among(const std::vector<std::string>& cells) {
  const auto at = std::find_if(cells.begin(), cells.end(), [](const std::string& cell) {
    return cell.find('\0') != std::string::npos;
  });
  if (at == cells.end()) return std::nullopt;
  return static_cast<std::size_t>(at - cells.begin());
}

/// libcsv on the way through a text.
class Parser {
 public:
  explicit Parser(char delimiter) {
    if (csv_init(&parser_, CSV_STRICT | CSV_STRICT_FINI) != 0) throw std::bad_alloc();
    csv_set_delim(&parser_, static_cast<unsigned char>(delimiter));
    csv_set_blk_size(&parser_, 4096);
  }
  Parser(const Parser&) = delete;
  Parser& operator=(const Parser&) = delete;
  ~Parser() { csv_free(&parser_); }

  /// False for quotes that do not fit together.
  [[nodiscard]] bool take(std::string_view text) {
    return is_sound(csv_parse(&parser_, text.data(), text.size(), on_cell, on_row, &collector_) ==
                    text.size());
  }
  [[nodiscard]] bool finish() {
    return is_sound(csv_fini(&parser_, on_cell, on_row, &collector_) == 0);
  }
  /// The cells of the row that ended, or those of the row that goes on.
  [[nodiscard]] Collector& collected() { return collector_; }

 private:
  [[nodiscard]] bool is_sound(bool sound) const {
    if (sound && collector_.trouble) std::rethrow_exception(collector_.trouble);
    return sound;
  }

  csv_parser parser_{};
  Collector collector_;
};

/// Gives each row that holds something: its cells, the line it begins in, and its place; those of
/// its cells only where the pieces are cells. What is damaged goes to `damaged`: where that takes
/// it, the next line begins a new row.
template <class Take>
Result<void> take_rows(std::string_view text, char delimiter, Pieces pieces, const Take& take,
                       const TakeDamage& damaged) {
  std::optional<Parser> parser(std::in_place, delimiter);
  RowPlace place;
  bool inside_row = false;
  long line_number = 1;
  long begins_in_line = 1;
  std::size_t cell_begin = 0;
  std::size_t at = opening_of(text).bytes;
  const auto row = [&parser]() -> Collector& { return parser->collected(); };
  const auto end_cell = [&](std::size_t end, std::size_t next_begin) {
    if (pieces != Pieces::cells || row().cells.size() == place.cells.size()) return;
    place.cells.push_back({cell_begin, end});
    cell_begin = next_begin;
  };
  const auto end_row = [&](std::size_t end) -> Result<void> {
    place.end = end;
    const auto nul = nul_among(row().cells);
    if (nul && !damaged(nul_error(begins_in_line, *nul))) {
      return fail(nul_error(begins_in_line, *nul));
    }
    if (!nul && !row().is_blank()) take({begins_in_line, std::move(row().cells)}, std::move(place));
    row().cells.clear();
    place.cells.clear();
    return {};
  };
  const auto skip_line = [&]() -> Result<void> {
    const Error error = quote_error(begins_in_line, row().cells.size());
    if (!damaged(error)) return fail(error);
    parser.emplace(delimiter);
    place.cells.clear();
    inside_row = false;
    line_number = begins_in_line + 1;
    at = piece_at(text, place.begin, '\n').end;
    return {};
  };
  while (true) {
    row().ended = false;
    if (at == text.size()) {
      if (parser->finish()) break;
      if (const auto skipped = skip_line(); !skipped) return skipped;
      continue;
    }
    const Piece piece = piece_at(text, at, pieces == Pieces::cells ? delimiter : '\n');
    const std::string_view given = text.substr(at, piece.end - at);
    if (!inside_row) {
      begins_in_line = line_number;
      place.begin = cell_begin = at;
    }
    if (!parser->take(given)) {
      if (const auto skipped = skip_line(); !skipped) return skipped;
      continue;
    }
    end_cell(piece.content_end, piece.end);
    const bool blank =
        row().cells.empty() && given.find_first_not_of(" \t\r\n") == std::string_view::npos;
    inside_row = !row().ended && (inside_row || !blank);
    if (row().ended) {
      if (const auto ended = end_row(piece.end); !ended) return ended;
    }
    if (piece.ends_line) ++line_number;
    at = piece.end;
  }
  end_cell(text.size(), text.size());
  return row().ended ? end_row(text.size()) : Result<void>();
}

/// Whether a text is none: of its first line a NUL byte makes nonsense.
std::optional<std::size_t> nul_that_matters(std::string_view table, bool is_strict) {
  if (!is_strict) table = table.substr(0, table.find_first_of("\r\n"));
  const auto at = table.find('\0');
  return at == std::string_view::npos ? std::nullopt : std::optional(at);
}

}  // namespace

Result<Dialect> each_row(std::string_view text, const TakeRow& take, const TakeDamage& damaged) {
  const std::string_view table = text.substr(bytes_of_byte_order_mark(text));
  if (const auto at = nul_that_matters(table, !damaged)) return fail(not_utf8(table, *at));
  if (const auto at = first_bad_utf8(table)) return fail(not_utf8(table, *at));
  bool has_rows = false;
  try {
    const Dialect dialect = sniff(table);
    const auto taken = take_rows(
        text, dialect.delimiter, Pieces::lines,
        [&](Row row, const RowPlace& place) {
          has_rows = true;
          take(std::move(row), text.substr(place.begin, place.end - place.begin));
        },
        [&](const Error& error) { return damaged && has_rows && damaged(error); });
    if (!taken) return fail(taken.error());
    if (!has_rows) return fail({.kind = ErrorKind::empty, .what = "the table has no rows"});
    return dialect;
  } catch (const std::bad_alloc&) {
    return fail({.kind = ErrorKind::too_large, .what = "the table does not fit into memory"});
  }
}

Result<Table> parse_table(std::string_view text) {
  Table table;
  const auto dialect =
      each_row(text, [&table](Row row, std::string_view) { table.rows.push_back(std::move(row)); });
  if (!dialect) return fail(dialect.error());
  table.dialect = *dialect;
  return table;
}

std::vector<RowPlace> places(std::string_view text, char delimiter) {
  std::vector<RowPlace> rows;
  const auto taken = take_rows(
      text, delimiter, Pieces::cells,
      [&rows](Row, RowPlace place) { rows.push_back(std::move(place)); },
      [](const Error&) { return true; });
  return taken ? rows : std::vector<RowPlace>();
}

std::vector<std::string> cells_of(std::string_view row, char delimiter) {
  Parser parser(delimiter);
  if (!parser.take(row) || !parser.finish()) return {};
  return std::move(parser.collected().cells);
}

}  // namespace ohmglow::tabular
