#include "ohmglow/tabular.h"
#include "text.h"

#include <algorithm>
#include <csv.h>
#include <exception>
#include <memory>

namespace ohmglow::tabular {
namespace {

/// What the parser's callbacks fill. They run below C frames, so nothing may be thrown through
/// them.
struct Collector {
  std::vector<Row> rows;
  std::vector<std::string> cells;
  long line = 0;       ///< on which the current row started
  bool ended = false;  ///< a row ended since this was last cleared
  std::exception_ptr trouble;

  void end_row() {
    ended = true;
    const bool blank = std::all_of(cells.begin(), cells.end(),
                                   [](const std::string& cell) { return cell.empty(); });
    if (!blank) rows.push_back({line, std::move(cells)});
    cells.clear();
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
  guarded(data, [](Collector& c) { c.end_row(); });
}

struct CsvFree {
  void operator()(csv_parser* parser) const { csv_free(parser); }
};

/// One physical line with its end (LF, CRLF or CR).
std::string_view take_line(std::string_view& rest) {
  auto end = rest.find_first_of("\r\n");
  if (end == std::string_view::npos) {
    end = rest.size();
  } else {
    end += rest.substr(end).starts_with("\r\n") ? 2 : 1;
  }
  const std::string_view line = rest.substr(0, end);
  rest.remove_prefix(end);
  return line;
}

Error quote_error(long line) {
  return {.kind = ErrorKind::damaged,
          .what = "a quote is not closed, or stands inside an unquoted cell",
          .expected =
              "cells that hold a quote, delimiter or line break between quotes, with each "
              "inner quote doubled",
          .mend = "correct the quotes in this row",
          .place = {.row = line}};
}

Error not_utf8(std::string_view text, std::size_t at) {
  const long line =
      1 + std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n');
  const bool nul = text[at] == '\0';
  return {.kind = ErrorKind::not_this_format,
          .what = nul ? "this is not a text table: it holds NUL bytes"
                      : "this text is not encoded in UTF-8",
          .mend = "save it as CSV in UTF-8",
          .place = {.row = line, .byte_offset = at}};
}

Result<std::vector<Row>> rows_of(std::string_view text, char delimiter) {
  csv_parser parser;
  if (csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI) != 0) {
    return fail({.kind = ErrorKind::system, .what = "the table reader could not start"});
  }
  const std::unique_ptr<csv_parser, CsvFree> owner(&parser);
  csv_set_delim(&parser, static_cast<unsigned char>(delimiter));
  csv_set_blk_size(&parser, 4096);

  Collector collector;
  bool inside_row = false;
  long line_number = 0;
  // Line by line, because the parser does not tell where a row began.
  while (!text.empty()) {
    const std::string_view line = take_line(text);
    ++line_number;
    if (!inside_row) collector.line = line_number;
    collector.ended = false;
    if (csv_parse(&parser, line.data(), line.size(), on_cell, on_row, &collector) != line.size()) {
      return fail(quote_error(collector.line));
    }
    if (collector.trouble) std::rethrow_exception(collector.trouble);
    const bool blank = line.find_first_not_of(" \t\r\n") == std::string_view::npos;
    inside_row = !collector.ended && (inside_row || !blank);
  }
  if (csv_fini(&parser, on_cell, on_row, &collector) != 0) return fail(quote_error(collector.line));
  if (collector.trouble) std::rethrow_exception(collector.trouble);
  return std::move(collector.rows);
}

}  // namespace

Result<Table> parse_table(std::string_view text) {
  text = without_byte_order_mark(text);
  if (const auto at = text.find('\0'); at != std::string_view::npos)
    return fail(not_utf8(text, at));
  if (const auto at = first_bad_utf8(text)) return fail(not_utf8(text, *at));
  try {
    const Dialect dialect = sniff(text);
    auto rows = rows_of(text, dialect.delimiter);
    if (!rows) return fail(rows.error());
    if (rows->empty()) return fail({.kind = ErrorKind::empty, .what = "the table has no rows"});
    return Table{dialect, std::move(*rows)};
  } catch (const std::bad_alloc&) {
    return fail({.kind = ErrorKind::too_large, .what = "the table does not fit into memory"});
  }
}

}  // namespace ohmglow::tabular
