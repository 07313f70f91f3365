#include "reading_words.h"

#include "offered/vocabulary/number_text.h"
#include "words.h"

#include <fmt/format.h>

namespace ohmglow::report {
namespace {

using diagnosis::ElectricalResult;

constexpr double kMillivoltPerVolt = 1e3;

// Whether the three values are those of the pairs 1-2, 2-3 and 3-1.
bool is_of_pairs(Test test) {
  return test == Test::winding_resistance || test == Test::line_voltage;
}

std::string value_text(const ElectricalResult& e, std::size_t i) {
  switch (e.test) {
    case Test::winding_resistance:
      return ohms(Ohm{e.values.at(i)});
    case Test::line_current:
      return decimals(e.values.at(i), 1) + " A";
    case Test::line_voltage:
      return decimals(e.values.at(i), 1) + " V";
    case Test::joint_resistance:
      return ohms(Ohm{e.values.at(i)});
    case Test::joint_drop:
      return decimals(e.values.at(i) * kMillivoltPerVolt, 2) + " mV";
  }
  return "";
}

// What the three values of a resistance test mean, in the words that keep pairs and legs apart.
std::string resistance_in_words(const Survey& survey, const ElectricalResult& e) {
  const electrical::Resolution& r = *e.resolution;
  std::string line = say(
      "unbalance {} ± {} % of the pairs, {} % of the legs; highest: {} (probability {}), {} ± {} "
      "over the mean of the two others",
      decimals(r.pair_unbalance.value(), 2), decimals(r.pair_unbalance_u.value(), 2),
      decimals(r.leg_unbalance.value(), 2), phase_title(survey, r.phase),
      decimals(r.phase_probability, 2), ohms(r.excess), ohms(r.excess_u));
  if (e.excess_w && e.excess_at_a) {
    line += ", " + say("{} W at {} A", decimals(e.excess_w->value(), 1),
                       decimals(e.excess_at_a->value(), 1));
  }
  if (!r.note.empty()) line += "; " + written(r.note);
  return line;
}

}  // namespace

std::string values_in_words(const Survey& survey, const ElectricalResult& e) {
  std::string line;
  for (std::size_t i = 0; i < 3; ++i) {
    const std::string& name = is_of_pairs(e.test) ? pair_name(survey, i) : survey.phase_names.at(i);
    line += fmt::format("{}{}: {}", i == 0 ? "" : ", ", name, value_text(e, i));
  }
  return line;
}

std::string meaning_in_words(const Survey& survey, const ElectricalResult& e) {
  if (!e.problem.empty()) return say("not worked out: {}", e.problem);
  if (e.resolution) return resistance_in_words(survey, e);
  std::string line;
  if (e.unbalance) line = say("unbalance {} %", decimals(e.unbalance->value(), 2));
  if (e.farthest) {
    const std::size_t i = static_cast<std::size_t>(*e.farthest - 1) % 3;
    line += ", " + say("farthest from the mean: {}", is_of_pairs(e.test)
                                                         ? say("pair {}", pair_name(survey, i))
                                                         : phase_title(survey, kPhases.at(i)));
  }
  if (e.negative_sequence) {
    line += ", " + say("negative sequence {} %", decimals(e.negative_sequence->value(), 2));
  }
  if (e.derating) line += ", " + say("derate to {}", decimals(*e.derating, 2));
  return line;
}

}  // namespace ohmglow::report
