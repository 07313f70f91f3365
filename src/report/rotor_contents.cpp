#include "contents.h"
#include "drawing_svg.h"
#include "offered/report/report.h"
#include "offered/vocabulary/number_text.h"
#include "ohmglow/explanations.h"
#include "rotor_words.h"

#include <algorithm>
#include <array>
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

RotorShown shown_of(const std::string& motor, const diagnosis::Explained& explained) {
  RotorShown shown;
  shown.title = fmt::format("{}, {}", motor, tr("what may lie behind it"));
  shown.result = explanation_in_words(explained.explanations.front());
  shown.level = explained.explanations.front().id == kRotorInOrder ? 0 : kSeenPattern;
  shown.numbers = explanations_in_words(explained);
  shown.next = rotor_test_in_words(explained);
  return shown;
}

SweepReach joined(const SweepReach& a, const SweepReach& b) {
  return {std::min(a.low_pct, b.low_pct), std::max(a.high_pct, b.high_pct)};
}

}  // namespace

std::vector<RotorShown> rotors_shown(const diagnosis::Assessment& assessment) {
  return rotors_shown(rotor::rotors(assessment.survey), assessment.survey,
                      assessment.policy.priors);
}

std::vector<RotorShown> rotors_shown(const rotor::Rotors& rotors, const Survey& survey,
                                     const std::map<std::string, double>& priors) {
  std::vector<RotorShown> shown;
  for (const rotor::Sweep& sweep : rotors.sweeps) {
    shown.push_back(shown_of(sweep, survey, reach_of(rotors.sweeps, sweep.motor)));
  }
  for (const rotor::AirGap& gap : rotors.air_gaps) shown.push_back(shown_of(gap));
  for (const std::string& motor : rotors.motors()) {
    const auto behind = diagnosis::explain_rotor(survey, motor, rotors, priors);
    if (!behind) continue;
    // One next test a motor: that which all of its evidence asks for.
    for (std::size_t i = 0; i < rotors.sweeps.size(); ++i) {
      if (rotors.sweeps[i].motor == motor) shown[i].next.clear();
    }
    shown.push_back(shown_of(motor, *behind));
  }
  return shown;
}

std::vector<RotorShown> rotors_compared(const Survey& before, const Survey& after) {
  const std::array<const Survey*, 2> surveys{&before, &after};
  const std::array<rotor::Rotors, 2> rotors{rotor::rotors(before), rotor::rotors(after)};
  const std::vector<std::string> later = rotors[1].motors();
  std::vector<RotorShown> shown;
  const auto add = [&shown](RotorShown its, bool is_after) {
    its.next.clear();  // what was to be done before the repair, or for each alone
    its.title = is_after ? say("after: {}", its.title) : say("before: {}", its.title);
    shown.push_back(std::move(its));
  };
  for (const std::string& motor : rotors[0].motors()) {
    if (std::find(later.begin(), later.end(), motor) == later.end()) continue;
    const SweepReach reach =
        joined(reach_of(rotors[0].sweeps, motor), reach_of(rotors[1].sweeps, motor));
    for (std::size_t i = 0; i < surveys.size(); ++i) {
      for (const rotor::Sweep& sweep : rotors.at(i).sweeps) {
        if (sweep.motor == motor) add(shown_of(sweep, *surveys.at(i), reach), i == 1);
      }
    }
    for (std::size_t i = 0; i < surveys.size(); ++i) {
      for (const rotor::AirGap& gap : rotors.at(i).air_gaps) {
        if (gap.motor == motor) add(shown_of(gap), i == 1);
      }
    }
  }
  return shown;
}

std::string rotor_svg(const RotorShown& rotor) {
  return rotor.drawing.items.empty() ? "" : svg(rotor.drawing, "rotor");
}

}  // namespace ohmglow::report
