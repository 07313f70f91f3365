#include "offered/report/plain_text.h"
#include "offered/report/report.h"
#include "offered/report/report_contents.h"
#include "terminal_table.h"

namespace ohmglow::report {
namespace {

std::string text_of(const RotorShown& shown, const TextOptions& options) {
  std::string text = paragraph(shown.title, kNarrowest * 4, 0);
  text += in_level_colour(paragraph(shown.result, options.width, 2), shown.level, options.colour);
  for (const std::string& line : shown.numbers) text += paragraph(line, options.width, 4);
  if (!shown.open.empty()) text += paragraph(tr("What this leaves open:"), options.width, 2);
  for (const std::string& open : shown.open) text += paragraph(open, options.width, 4);
  if (!shown.next.empty()) text += paragraph(say("Next test: {}", shown.next), options.width, 2);
  return text + '\n';
}

}  // namespace

std::string rotor_text(const rotor::Rotors& rotors, const Survey& survey,
                       const TextOptions& options) {
  std::string text;
  for (const RotorShown& shown : rotors_shown(rotors, survey)) text += text_of(shown, options);
  if (!text.empty()) text.pop_back();
  return text;
}

}  // namespace ohmglow::report
