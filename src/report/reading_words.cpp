#include "reading_words.h"

#include "offered/vocabulary/number_text.h"
#include "words.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace ohmglow::report {
namespace {

using diagnosis::ElectricalResult;

constexpr double kMillivoltPerVolt = 1e3;

// Whether the three values are those of the pairs 1-2, 2-3 and 3-1.
bool is_of_pairs(Test test) {
  return test == Test::winding_resistance || test == Test::line_voltage;
}

// The unit of a test's three values, and how many of it make one of the SI unit. Ohms share the
// unit of the largest.
struct Scale {
  double per_si = 1;
  std::string_view unit;
};
Scale scale_of(const ElectricalResult& e) {
  switch (e.test) {
    case Test::line_current:
      return {1, "A"};
    case Test::line_voltage:
      return {1, "V"};
    case Test::joint_drop:
      return {kMillivoltPerVolt, "mV"};
    case Test::winding_resistance:
    case Test::joint_resistance:
      break;
  }
  const double largest = *std::max_element(e.values.begin(), e.values.end());
  if (largest >= 1) return {1, "Ω"};
  return largest >= 1e-4 ? Scale{1e3, "mΩ"} : Scale{1e6, "µΩ"};
}

// As many decimals as the three values were typed with, so that results can be worked out again.
int typed_places(const ElectricalResult& e, double per_si) {
  constexpr int kMost = 6;
  constexpr double kWhole = 1e-6;  // of a last digit: what a change of unit leaves
  int places = 0;
  for (const double si : e.values) {
    double scaled = si * per_si * std::pow(10, places);
    while (places < kMost && std::isfinite(scaled) &&
           std::fabs(scaled - std::round(scaled)) > kWhole * std::max(1.0, std::fabs(scaled))) {
      ++places;
      scaled *= 10;
    }
  }
  return places;
}

// What the three values of a resistance test mean, in the words that keep pairs and legs apart.
std::string resistance_in_words(const Survey& survey, const ElectricalResult& e) {
  const electrical::Resolution& r = *e.resolution;
  std::string line =
      say("pairs {} unbalanced, legs {} %; highest: {} (probability {}), {} above the mean of the "
          "other two",
          with_u(r.pair_unbalance.value(), r.pair_unbalance_u.value(), "%", 2),
          decimals(r.leg_unbalance.value(), 2), phase_title(survey, r.phase),
          percent_of(r.phase_probability), ohms_with_u(r.excess, r.excess_u));
  if (e.excess_w && e.excess_at_a) {
    const double u = e.excess_u_w ? e.excess_u_w->value() : 0;
    line += ", " + say("{} at {} A", with_u(e.excess_w->value(), u, "W", 1),
                       decimals(e.excess_at_a->value(), 1));
  }
  if (!r.note.empty()) line += "; " + written(r.note);
  return line;
}

}  // namespace

std::string values_in_words(const Survey& survey, const ElectricalResult& e) {
  const Scale scale = scale_of(e);
  const int places = typed_places(e, scale.per_si);
  std::string line;
  for (std::size_t i = 0; i < 3; ++i) {
    const std::string& name = is_of_pairs(e.test) ? pair_name(survey, i) : survey.phase_names.at(i);
    line += fmt::format("{}{}: {} {}", i == 0 ? "" : ", ", name,
                        decimals(e.values.at(i) * scale.per_si, places), scale.unit);
  }
  return line;
}

std::string meaning_in_words(const Survey& survey, const ElectricalResult& e) {
  if (!e.problem.empty()) return say("not worked out: {}", e.problem);
  if (e.resolution) return resistance_in_words(survey, e);
  std::string line;
  if (e.unbalance)
    line = e.unbalance_u
               ? say("unbalance {}", with_u(e.unbalance->value(), e.unbalance_u->value(), "%", 2))
               : say("unbalance {} %", decimals(e.unbalance->value(), 2));
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
