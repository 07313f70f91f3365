// A text matrix: a line a row, a cell a pixel, header lines allowed before the body.

#include "offered/tabular/tabular.h"
#include "readers.h"

#include <algorithm>
#include <array>
#include <limits>
#include <map>

namespace ohmglow::imaging {
namespace {

constexpr double kNoData = std::numeric_limits<double>::quiet_NaN();

// How programs write "no number" into a text matrix, lower case.
constexpr std::array<std::string_view, 14> kNoDataWords{
    "nan", "-nan", "+nan", "-nan(ind)", "1.#qnan", "-1.#ind", "na",
    "n/a", "#n/a", "null", "inf",       "-inf",    "+inf",    "infinity"};

struct Line {
  std::string_view text;
  long number = 0;  ///< counted from 1
  std::size_t cells = 0;
};

/// The lines of a text that are not blank.
class Lines {
 public:
  explicit Lines(std::string_view text, char delimiter) : rest_(text), delimiter_(delimiter) {}

  std::optional<Line> next() {
    while (!rest_.empty()) {
      const auto end = rest_.find('\n');
      std::string_view text = rest_.substr(0, end);
      rest_.remove_prefix(end == std::string_view::npos ? rest_.size() : end + 1);
      ++number_;
      if (text.ends_with('\r')) text.remove_suffix(1);
      const auto delimiters =
          static_cast<std::size_t>(std::count(text.begin(), text.end(), delimiter_));
      if (delimiters > 0 || text.find_first_not_of(" \t") != std::string_view::npos) {
        return Line{text, number_, delimiters + 1};
      }
    }
    return std::nullopt;
  }

 private:
  std::string_view rest_;
  char delimiter_;
  long number_ = 0;
};

/// The body: the lines that hold the same count of cells, after any header lines.
struct Body {
  std::size_t cells = 0;
  std::size_t rows = 0;
  long first_line = 0;
  std::optional<std::array<double, 2>> header_pair;  ///< of a first line with two numbers
};

Error ragged(const Line& line, std::size_t cells) {
  Error error = damaged("a line of the matrix has another count of cells than the others");
  error.found = std::to_string(line.cells);
  error.expected = std::to_string(cells);
  error.place.row = line.number;
  return error;
}

/// The count of cells whose lines hold most of the text's cells: not most of its lines, because a
/// small matrix may stand below a long list of names and values.
std::size_t cells_of_body(std::string_view text, char delimiter) {
  std::map<std::size_t, std::size_t> cells_in;
  Lines lines(text, delimiter);
  while (const auto line = lines.next()) cells_in[line->cells] += line->cells;
  std::size_t best = 0;
  std::size_t most = 0;
  for (const auto& [cells, covered] : cells_in) {
    if (covered < most) continue;
    best = cells;
    most = covered;
  }
  return best;
}

Result<Body> find_body(std::string_view text, const tabular::Dialect& dialect) {
  Body body;
  body.cells = cells_of_body(text, dialect.delimiter);
  if (body.cells < 2) {
    return fail({.kind = ErrorKind::not_this_format,
                 .what = "this text is not a matrix",
                 .found = std::to_string(body.cells) + " cell a line",
                 .expected = "lines of numbers separated by commas, semicolons or tabs",
                 .mend = std::string(kExportAdvice)});
  }
  Lines lines(text, dialect.delimiter);
  while (const auto line = lines.next()) {
    if (line->cells == body.cells) {
      if (body.rows == 0) body.first_line = line->number;
      ++body.rows;
    } else if (body.rows > 0) {
      return fail(ragged(*line, body.cells));
    } else if (line->cells == 2) {
      const auto cut = line->text.find(dialect.delimiter);
      const auto width = tabular::parse_number(line->text.substr(0, cut), dialect.decimal_mark);
      const auto height = tabular::parse_number(line->text.substr(cut + 1), dialect.decimal_mark);
      if (width && height) body.header_pair = {{*width, *height}};
    }
  }
  return body;
}

bool is_no_data(std::string_view cell) {
  if (cell.size() > 16) return false;
  std::string word;
  for (const char c : cell) {
    if (c != ' ' && c != '\t') word += static_cast<char>(c >= 'A' && c <= 'Z' ? c + 32 : c);
  }
  return word.empty() ||
         std::find(kNoDataWords.begin(), kNoDataWords.end(), word) != kNoDataWords.end();
}

std::string_view without_quotes(std::string_view cell) {
  const bool quoted = cell.size() >= 2 && cell.front() == '"' && cell.back() == '"';
  return quoted ? cell.substr(1, cell.size() - 2) : cell;
}

/// Fills `value` in place: handing out an optional costs a third of the time of a large matrix.
bool read_cell(std::string_view cell, char decimal_mark, double& value) {
  cell = without_quotes(cell);
  if (const auto number = tabular::parse_number(cell, decimal_mark)) {
    value = *number;
    return true;
  }
  value = kNoData;
  return is_no_data(cell);
}

Error not_a_number(std::string_view cell, long row, std::size_t column, char decimal_mark) {
  return {.kind = ErrorKind::not_this_format,
          .what = "a cell of the matrix is not a number",
          .found = excerpt(cell),
          .expected = std::string("a temperature with a decimal ") +
                      (decimal_mark == ',' ? "comma" : "point") + ", or an empty cell",
          .mend = "correct the cell",
          .place = {.row = row, .column = std::to_string(column)}};
}

/// The values of one line into a row of pixels.
Result<void> read_row(const Line& line, const tabular::Dialect& dialect, std::span<double> row) {
  std::string_view rest = line.text;
  for (std::size_t x = 0; x < row.size(); ++x) {
    const auto end = rest.find(dialect.delimiter);
    const std::string_view cell = rest.substr(0, end);
    if (!read_cell(cell, dialect.decimal_mark, row[x])) {
      return fail(not_a_number(cell, line.number, x + 1, dialect.decimal_mark));
    }
    rest.remove_prefix(end == std::string_view::npos ? rest.size() : end + 1);
  }
  return {};
}

/// Some programs end each line with a delimiter: a last column without a single number is no
/// column.
bool last_column_is_empty(std::string_view text, const Body& body, char delimiter) {
  Lines lines(text, delimiter);
  while (const auto line = lines.next()) {
    const bool ends = line->text.find_last_not_of(" \t") == line->text.rfind(delimiter) ||
                      line->text.ends_with(delimiter);
    if (line->number >= body.first_line && !ends) return false;
  }
  return body.cells > 2;
}

Result<cv::Mat> read_body(std::string_view text, const tabular::Dialect& dialect, const Body& body,
                          const ReadOptions& options) {
  const std::size_t width =
      body.cells - (last_column_is_empty(text, body, dialect.delimiter) ? 1 : 0);
  const auto& pair = body.header_pair;
  if (pair && (*pair)[0] == static_cast<double>(width) &&
      (*pair)[1] != static_cast<double>(body.rows)) {
    return fail(damaged("the matrix has " + std::to_string(body.rows) +
                        " rows, but its first line declares " +
                        std::to_string(static_cast<long long>((*pair)[1]))));
  }
  auto pixels = allocate({width, body.rows, CV_64F}, options);
  if (!pixels) return pixels;
  Lines lines(text, dialect.delimiter);
  int y = 0;
  while (const auto line = lines.next()) {
    if (line->number < body.first_line) continue;
    const auto row = read_row(*line, dialect, {pixels->ptr<double>(y++), width});
    if (!row) return fail(row.error());
  }
  return pixels;
}

}  // namespace

Result<StoredImage> read_matrix(std::string_view text, const ReadOptions& options) {
  if (const auto nul = text.find('\0'); nul != std::string_view::npos) {
    return fail({.kind = ErrorKind::not_this_format,
                 .what = "this is not a text: it holds NUL bytes",
                 .mend = "export the matrix as CSV in UTF-8",
                 .place = {.byte_offset = nul}});
  }
  if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) {
    return fail({.kind = ErrorKind::empty, .what = "the text holds no numbers"});
  }
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  const tabular::Dialect dialect = tabular::sniff(text);
  const auto body = find_body(text, dialect);
  if (!body) return fail(body.error());
  if (const auto there = check_page(options.page, 1); !there) return fail(there.error());
  const auto pixels = read_body(text, dialect, *body, options);
  if (!pixels) return fail(pixels.error());
  return StoredImage{
      .pixels = *pixels, .format = "csv", .dtype = "text", .pages = 1, .embedded = std::nullopt};
}

}  // namespace ohmglow::imaging
