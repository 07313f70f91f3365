#include "contents.h"
#include "drawing_svg.h"
#include "offered/report/report.h"
#include "rotor_words.h"

#include <fmt/format.h>

namespace ohmglow::report {
namespace {

constexpr int kSeenPattern = 2;

RotorShown shown_of(const rotor::Sweep& sweep, const Survey& survey, const SweepReach& reach) {
  RotorShown shown;
  shown.title = fmt::format("{}, {}", sweep.motor, say("sweep {}", sweep_title(sweep)));
  shown.result = patterns_in_words(sweep);
  shown.level = sweep.pattern == rotor::Pattern::sweep_even ? 0 : kSeenPattern;
  shown.numbers = sweep_numbers(sweep, survey);
  for (const Sentence& open : sweep.cannot_tell) shown.open.push_back(written(open));
  shown.next = written(sweep.next_test);
  shown.drawing = sweep_drawing(sweep, survey, reach);
  return shown;
}

RotorShown shown_of(const rotor::AirGap& gap) {
  RotorShown shown;
  shown.title = fmt::format("{}, {}", gap.motor, say("air gap, {}", gap_title(gap)));
  shown.result = gap_result_in_words(gap);
  shown.level = level_of(gap.result);
  shown.numbers = gap_numbers(gap);
  for (const Sentence& note : gap.notes) shown.open.push_back(written(note));
  shown.drawing = air_gap_drawing(gap);
  return shown;
}

}  // namespace

std::vector<RotorShown> rotors_shown(const diagnosis::Assessment& assessment) {
  return rotors_shown(rotor::rotors(assessment.survey), assessment.survey);
}

std::vector<RotorShown> rotors_shown(const rotor::Rotors& rotors, const Survey& survey) {
  std::vector<RotorShown> shown;
  for (const rotor::Sweep& sweep : rotors.sweeps) {
    shown.push_back(shown_of(sweep, survey, reach_of(rotors.sweeps, sweep.motor)));
  }
  for (const rotor::AirGap& gap : rotors.air_gaps) shown.push_back(shown_of(gap));
  return shown;
}

std::string rotor_svg(const RotorShown& rotor) {
  return svg(rotor.drawing, "rotor");
}

}  // namespace ohmglow::report
