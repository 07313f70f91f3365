#include "offered/report/plain_text.h"
#include "offered/report/report.h"
#include "offered/report/report_contents.h"
#include "rotor_words.h"
#include "terminal_table.h"

#include <fmt/format.h>

namespace ohmglow::report {
namespace {

constexpr int kPatternLevel = 2;

int level_of_pattern(const rotor::Sweep& sweep) {
  return sweep.pattern == rotor::Pattern::sweep_even ? 0 : kPatternLevel;
}

std::string heading(const std::string& motor, const std::string& what) {
  return paragraph(fmt::format("{}, {}", motor, what), kNarrowest * 4, 0);
}

std::string sweep_text(const rotor::Sweep& sweep, const Survey& survey,
                       const TextOptions& options) {
  std::string text = heading(sweep.motor, say("sweep {}", sweep_title(sweep)));
  text += in_level_colour(paragraph(patterns_in_words(sweep), options.width, 2),
                          level_of_pattern(sweep), options.colour);
  for (const std::string& line : sweep_numbers(sweep, survey)) {
    text += paragraph(line, options.width, 4);
  }
  text += paragraph(tr("What this leaves open:"), options.width, 2);
  for (const Sentence& open : sweep.cannot_tell) {
    text += paragraph(written(open), options.width, 4);
  }
  return text + paragraph(written(sentence("Next test: {}", sweep.next_test)), options.width, 2) +
         '\n';
}

std::string gap_text(const rotor::AirGap& gap, const TextOptions& options) {
  std::string text = heading(gap.motor, say("air gap, {}", gap_title(gap)));
  text += in_level_colour(paragraph(gap_result_in_words(gap), options.width, 2),
                          level_of(gap.result), options.colour);
  for (const std::string& line : gap_numbers(gap)) text += paragraph(line, options.width, 4);
  for (const Sentence& note : gap.notes) text += paragraph(written(note), options.width, 4);
  return text + '\n';
}

std::string behind_text(const RotorShown& shown, const TextOptions& options) {
  std::string text = paragraph(shown.title, kNarrowest * 4, 0);
  text += in_level_colour(paragraph(shown.result, options.width, 2), shown.level, options.colour);
  for (const std::string& line : shown.numbers) text += paragraph(line, options.width, 4);
  if (!shown.next.empty()) text += paragraph(say("Next test: {}", shown.next), options.width, 2);
  return text + '\n';
}

}  // namespace

std::string rotor_text(const rotor::Rotors& rotors, const Survey& survey,
                       const TextOptions& options) {
  std::string text;
  for (const rotor::Sweep& sweep : rotors.sweeps) text += sweep_text(sweep, survey, options);
  for (const rotor::AirGap& gap : rotors.air_gaps) text += gap_text(gap, options);
  for (const RotorShown& shown : rotors_behind(rotors, survey, {})) {
    text += behind_text(shown, options);
  }
  if (!text.empty()) text.pop_back();
  return text;
}

}  // namespace ohmglow::report
