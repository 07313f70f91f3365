#include "offered/tabular/tabular.h"
#include "text.h"

#include <algorithm>
#include <map>
#include <span>
#include <tuple>

namespace ohmglow::tabular {
namespace {

// Enough lines to tell a delimiter by, also where a line holds a thousand cells.
constexpr std::size_t kSampleBytes = 64 * 1024;

// Cells with a decimal mark that are enough to tell which mark it is.
constexpr int kEnoughVotes = 1000;

/// How one delimiter cuts the sample.
struct Cut {
  std::vector<std::size_t> cells_of_line;
  std::size_t numbers = 0;
  std::size_t cells = 0;

  /// Lines that agree on a count of two or more cells, the share of cells that are numbers, and
  /// that count: the better cut compares greater.
  [[nodiscard]] std::tuple<std::size_t, double, std::size_t> quality() const;
};

std::tuple<std::size_t, double, std::size_t> Cut::quality() const {
  std::map<std::size_t, std::size_t> lines_with;
  for (const std::size_t count : cells_of_line) ++lines_with[count];
  std::size_t lines = 0;
  std::size_t count = 0;
  for (const auto& [cells_there, lines_there] : lines_with) {
    if (cells_there < 2 || lines_there < lines) continue;
    count = cells_there;
    lines = lines_there;
  }
  const double share = cells == 0 ? 0 : static_cast<double>(numbers) / static_cast<double>(cells);
  return {lines, share, count};
}

/// Not by libcsv: it gives up where quotes do not fit, as by a wrong delimiter they may not.
/// The end of the cell that starts at `at`: a delimiter or line end outside quotes, or the text's.
std::size_t cell_end(std::string_view text, std::size_t at, char delimiter) {
  if (at < text.size() && text[at] == '"') {
    do {
      at = text.find('"', at + 1);
      if (at == std::string_view::npos) return text.size();
    } while (at + 1 < text.size() && text[at + 1] == '"' && ++at);
  }
  while (at < text.size() && text[at] != delimiter && text[at] != '\n' && text[at] != '\r') ++at;
  return at;
}

bool is_number(std::string_view cell, char delimiter) {
  return parse_number(cell, '.') || (delimiter != ',' && parse_number(cell, ','));
}

Cut cut(std::string_view sample, char delimiter) {
  Cut result;
  std::size_t cells = 0;
  for (std::size_t at = 0; at <= sample.size();) {
    const std::size_t end = cell_end(sample, at, delimiter);
    const bool line_ends = end == sample.size() || sample[end] != delimiter;
    if (const auto cell = sample.substr(at, end - at); cells > 0 || !line_ends || !cell.empty()) {
      ++cells;
      ++result.cells;
      if (is_number(cell, delimiter)) ++result.numbers;
    }
    if (line_ends && cells > 0) {
      result.cells_of_line.push_back(cells);
      cells = 0;
    }
    at = end + 1;
  }
  return result;
}

/// The first bytes, cut back to whole lines where the text is longer.
std::string_view sample_of(std::string_view text) {
  if (text.size() <= kSampleBytes) return text;
  const auto last = text.rfind('\n', kSampleBytes);
  return text.substr(0, last == std::string_view::npos ? kSampleBytes : last);
}

/// A comma where more cells read as a number with it than with a point.
char decimal_mark_of(std::string_view text, char delimiter) {
  if (delimiter == ',' || text.find(',') == std::string_view::npos) return '.';
  const char stops[] = {delimiter, '\n', '\r', '"'};
  const std::string_view ends(stops, sizeof stops);
  int with_comma = 0;
  int with_point = 0;
  for (auto at = text.find_first_of(",."); at != std::string_view::npos;) {
    const auto before = text.find_last_of(ends, at);
    const auto from = before == std::string_view::npos ? 0 : before + 1;
    const auto to = std::min(text.find_first_of(ends, at), text.size());
    const std::string_view cell = text.substr(from, to - from);
    if (parse_number(cell, ',') && text[at] == ',') ++with_comma;
    if (parse_number(cell, '.') && text[at] == '.') ++with_point;
    if (with_comma + with_point >= kEnoughVotes) break;
    at = text.find_first_of(",.", to);
  }
  return with_comma > 0 && with_comma >= with_point ? ',' : '.';
}

char delimiter_of(std::string_view sample) {
  char found = ',';
  auto best = cut(sample, found).quality();
  for (const char delimiter : {';', '\t'}) {
    const auto quality = cut(sample, delimiter).quality();
    if (quality > best) {
      best = quality;
      found = delimiter;
    }
  }
  return found;
}

}  // namespace

Opening opening_of(std::string_view text) {
  Opening opening{.delimiter = {}, .bytes = bytes_of_byte_order_mark(text)};
  std::string_view line = text.substr(opening.bytes);
  line = line.substr(0, line.find_first_of("\r\n"));
  const std::size_t end = opening.bytes + line.size();
  if (line.size() > 2 && line.starts_with('"') && line.ends_with('"')) {
    line = line.substr(1, line.size() - 2);
  }
  constexpr std::string_view kDeclares = "sep=";
  constexpr std::string_view kDelimiters = ",;\t|";
  if (line.size() != kDeclares.size() + 1 || kDelimiters.find(line.back()) == kDelimiters.npos) {
    return opening;
  }
  for (std::size_t i = 0; i < kDeclares.size(); ++i) {
    const char c = line[i] >= 'A' && line[i] <= 'Z' ? static_cast<char>(line[i] + 32) : line[i];
    if (c != kDeclares[i]) return opening;
  }
  opening.delimiter = line.back();
  const std::string_view ends = text.substr(end, 2);
  opening.bytes = end + (ends.empty() ? 0 : ends == "\r\n" ? 2 : 1);
  return opening;
}

Dialect sniff(std::string_view text) {
  const Opening opening = opening_of(text);
  text.remove_prefix(opening.bytes);
  Dialect dialect;
  dialect.delimiter = opening.delimiter ? *opening.delimiter : delimiter_of(sample_of(text));
  dialect.decimal_mark = decimal_mark_of(text, dialect.delimiter);
  return dialect;
}

}  // namespace ohmglow::tabular
