#include "offered/report/acceptance_contents.h"
#include "offered/report/plain_text.h"
#include "ohmglow/reader.h"
#include "terminal_table.h"

namespace ohmglow::report {
namespace {

void add_group(std::string& text, const std::string& title, const std::vector<std::string>& lines,
               int width) {
  if (lines.empty()) return;
  text += paragraph(title, width, 0);
  for (const std::string& line : lines) text += paragraph(printable(line), width, 2);
  text += '\n';
}

// "pass  vibration without load, 1.90 mm/s r.m.s., at most 2.69 mm/s r.m.s."
std::string check_line(const std::vector<ListCell>& row, bool colour) {
  constexpr std::size_t kResult = 1;
  std::string line = printable(row.front().text);
  for (std::size_t i = 2; i < row.size(); ++i) {
    if (!row[i].text.empty()) line += ", " + printable(row[i].text);
  }
  return in_level_colour(row[kResult].text, row[kResult].level, colour) + ": " + line;
}

}  // namespace

std::string acceptance_text(const AcceptanceSource& source, const TextOptions& options) {
  const AcceptanceContents contents = acceptance_contents(source);
  std::string text = paragraph(printable(contents.title), options.width, 0);
  text += in_level_colour(paragraph(contents.conclusion + " " + contents.counted, options.width, 0),
                          contents.level, options.colour);
  text += '\n';
  add_group(text, tr("Out of limits"), contents.failed, options.width);
  if (!contents.cost.empty()) {
    text += paragraph(say("To put right what is out: {}, your figures", contents.cost),
                      options.width, 0) +
            '\n';
  }
  add_group(text, tr("Open"), contents.open, options.width);
  text += paragraph(contents.checks.caption, options.width, 0);
  for (const auto& row : contents.checks.rows) {
    text += paragraph(check_line(row, options.colour), options.width, 2);
  }
  text += '\n';
  for (const std::string& rule : contents.rules) text += paragraph(rule, options.width, 0);
  return text;
}

std::string acceptance_changes_text(std::span<const acceptance::Compared> shops,
                                    const TextOptions& options) {
  std::string text;
  for (const acceptance::Compared& shop : shops) {
    const Listing list = acceptance_changes(shop.before, shop.after);
    text += paragraph(printable(list.caption), options.width, 0);
    for (const std::vector<ListCell>& row : list.rows) {
      const auto side = [&](std::size_t at) {
        const std::string result = in_level_colour(row[at].text, row[at].level, options.colour);
        return row[at + 1].text.empty() ? result
                                        : result + " (" + printable(row[at + 1].text) + ")";
      };
      text +=
          paragraph(say("{}: {} before, {} after", printable(row.front().text), side(1), side(3)),
                    options.width, 2);
    }
    text += '\n';
  }
  return text;
}

}  // namespace ohmglow::report
