#include "terminal_table.h"

#include "offered/report/plain_text.h"

#include <algorithm>
#include <array>
#include <numeric>
#include <string_view>

namespace ohmglow::report {
namespace {

constexpr int kGap = 2;
constexpr int kNarrowestColumn = 5;
constexpr int kLongWord = 8;
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

int longest_word(std::string_view text) {
  int longest = 0;
  while (!text.empty()) {
    const std::string_view word = text.substr(0, text.find(' '));
    longest = std::max(longest, display_width(word));
    text.remove_prefix(std::min(word.size() + 1, text.size()));
  }
  return longest;
}

// How narrow a column gets without breaking words: its title's, and those of the cells that are not
// overly long. Columns that do not wrap keep their cells whole.
std::vector<int> kind_widths(const std::vector<TableColumn>& columns,
                             const std::vector<std::vector<TableCell>>& rows) {
  std::vector<int> widths;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    int widest = longest_word(columns[c].title);
    for (const auto& row : rows) {
      const std::string& text = row[c].text;
      const int needed =
          columns[c].wraps ? std::min(longest_word(text), kLongWord) : display_width(text);
      widest = std::max(widest, needed);
    }
    widths.push_back(widest);
  }
  return widths;
}

// Takes one column after another from the widest column until the table fits; words and numbers are
// broken only where nothing else helps.
void fit(std::vector<int>& widths, const std::vector<int>& floors, int width) {
  const int gaps = kGap * static_cast<int>(widths.size() - 1);
  int over = std::accumulate(widths.begin(), widths.end(), gaps) - width;
  for (const bool kind : {true, false}) {
    while (over > 0) {
      std::size_t widest = widths.size();
      for (std::size_t c = 0; c < widths.size(); ++c) {
        if (widths[c] <= (kind ? floors[c] : kNarrowestColumn)) continue;
        if (widest == widths.size() || widths[c] > widths[widest]) widest = c;
      }
      if (widest == widths.size()) break;
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
  fit(widths, kind_widths(columns, rows), std::max(width, kNarrowest));
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

std::string paragraph(std::string_view text, int width, int indent) {
  const std::string margin(static_cast<std::size_t>(indent), ' ');
  std::string result;
  for (const std::string& line : wrap(printable(text), std::max(width, kNarrowest) - indent)) {
    result += margin + line + '\n';
  }
  return result;
}

}  // namespace ohmglow::report
