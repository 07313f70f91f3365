#include "ohmglow/tabular.h"
#include "text.h"

#include <algorithm>
#include <csv.h>
#include <exception>
#include <new>
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

Result<void> take_rows(std::string_view text, char delimiter, const TakeRow& take) {
  Parser parser(delimiter);
  Collector& row = parser.collected();
  bool inside_row = false;
  long line_number = 0;
  long begins_in_line = 0;
  const char* begin = text.data();
  const auto end_row = [&](const char* end) {
    if (!row.is_blank()) {
      take({begins_in_line, std::move(row.cells)}, {begin, static_cast<std::size_t>(end - begin)});
    }
    row.cells.clear();
  };
  // Line by line, because the parser does not tell where a row began.
  while (!text.empty()) {
    const std::string_view line = take_line(text);
    ++line_number;
    if (!inside_row) {
      begins_in_line = line_number;
      begin = line.data();
    }
    row.ended = false;
    if (!parser.take(line)) return fail(quote_error(begins_in_line));
    const bool blank = line.find_first_not_of(" \t\r\n") == std::string_view::npos;
    inside_row = !row.ended && (inside_row || !blank);
    if (row.ended) end_row(text.data());
  }
  row.ended = false;
  if (!parser.finish()) return fail(quote_error(begins_in_line));
  if (row.ended) end_row(text.data());
  return {};
}

}  // namespace

Result<Dialect> each_row(std::string_view text, const TakeRow& take) {
  text = without_byte_order_mark(text);
  if (const auto at = text.find('\0'); at != std::string_view::npos)
    return fail(not_utf8(text, at));
  if (const auto at = first_bad_utf8(text)) return fail(not_utf8(text, *at));
  bool has_rows = false;
  try {
    const Dialect dialect = sniff(text);
    const auto taken = take_rows(text, dialect.delimiter, [&](Row row, std::string_view bytes) {
      has_rows = true;
      take(std::move(row), bytes);
    });
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

std::vector<std::string> cells_of(std::string_view row, char delimiter) {
  Parser parser(delimiter);
  if (!parser.take(row) || !parser.finish()) return {};
  return std::move(parser.collected().cells);
}

}  // namespace ohmglow::tabular
