#include "terminal_table.h"

#include "plain_text.h"

#include <algorithm>
#include <array>
#include <numeric>
#include <string_view>

namespace ohmglow::report {
namespace {

constexpr int kGap = 2;
constexpr int kNarrowestColumn = 6;
// ECMA-48 select graphic rendition: cyan, yellow, magenta, bold red.
constexpr std::array<std::string_view, 5> kLevelColours{"", "\x1b[36m", "\x1b[33m", "\x1b[35m",
                                                        "\x1b[1;31m"};
constexpr std::string_view kPlain = "\x1b[0m";

std::vector<int> natural_widths(const std::vector<TableColumn>& columns,
                                const std::vector<std::vector<TableCell>>& rows) {
  std::vector<int> widths;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    int widest = display_width(columns[c].title);
    for (const auto& row : rows) widest = std::max(widest, display_width(row[c].text));
    widths.push_back(widest);
  }
  return widths;
}

// Takes one column after another from the widest column that may give way until the table fits;
// columns that should not wrap give way only where all others are as narrow as they get.
void fit(std::vector<int>& widths, const std::vector<TableColumn>& columns, int width) {
  const int gaps = kGap * static_cast<int>(columns.size() - 1);
  int over = std::accumulate(widths.begin(), widths.end(), gaps) - width;
  for (const bool wrapping_only : {true, false}) {
    while (over > 0) {
      std::size_t widest = columns.size();
      for (std::size_t c = 0; c < columns.size(); ++c) {
        if ((wrapping_only && !columns[c].wraps) || widths[c] <= kNarrowestColumn) continue;
        if (widest == columns.size() || widths[c] > widths[widest]) widest = c;
      }
      if (widest == columns.size()) break;
      --widths[widest];
      --over;
    }
  }
}

std::string aligned(const std::string& text, int width, bool right) {
  if (!right) return padded(text, width);
  const int missing = std::max(0, width - display_width(text));
  return std::string(static_cast<std::size_t>(missing), ' ') + text;
}

std::string lines_of(const std::vector<TableColumn>& columns, const std::vector<int>& widths,
                     const std::vector<TableCell>& row, bool colour) {
  std::vector<std::vector<std::string>> cells;
  std::size_t height = 1;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    cells.push_back(wrap(row[c].text, widths[c]));
    height = std::max(height, cells.back().size());
  }
  std::string text;
  for (std::size_t line = 0; line < height; ++line) {
    std::string out;
    for (std::size_t c = 0; c < columns.size(); ++c) {
      const std::string part = line < cells[c].size() ? cells[c][line] : "";
      if (c > 0) out.append(kGap, ' ');
      out += in_level_colour(aligned(part, widths[c], columns[c].right_aligned), row[c].level,
                             colour && !part.empty());
    }
    out.erase(out.find_last_not_of(' ') + 1);
    text += out + '\n';
  }
  return text;
}

}  // namespace

std::string in_level_colour(const std::string& text, int level, bool colour) {
  if (!colour || level <= 0) return text;
  const auto index = std::min(static_cast<std::size_t>(level), kLevelColours.size() - 1);
  return std::string(kLevelColours.at(index)).append(text).append(kPlain);
}

std::string terminal_table(const std::vector<TableColumn>& columns,
                           const std::vector<std::vector<TableCell>>& rows, int width,
                           bool colour) {
  std::vector<int> widths = natural_widths(columns, rows);
  fit(widths, columns, std::max(width, kNarrowest));
  std::vector<TableCell> titles;
  std::vector<TableCell> rule;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    titles.push_back({columns[c].title});
    std::string dashes;
    for (int i = 0; i < widths[c]; ++i) dashes += "─";
    rule.push_back({dashes});
  }
  std::string text =
      lines_of(columns, widths, titles, false) + lines_of(columns, widths, rule, false);
  for (const auto& row : rows) text += lines_of(columns, widths, row, colour);
  return text;
}

}  // namespace ohmglow::report
