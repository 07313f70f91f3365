#include "judging.h"
#include "offered/electrical/current_unbalance.h"
#include "rotor_causes.h"

#include <algorithm>

namespace ohmglow::diagnosis {
namespace {

using rotor::Conformity;
using rotor::Pattern;

// 0.15 in/s peak without load on a resilient mounting, above 1200 rpm (ANSI/EASA AR100-2015, 4.5.6;
// read), as r.m.s. of a sine. Of slower motors, which are allowed less, only what is above it
// counts.
constexpr double kVibration_mm_s_rms = 0.15 * 25.4 / 1.4142135623730951;
constexpr double kFast_rpm = 1200;
constexpr int kTwoPoles = 2;

std::optional<RotorFact> gap_fact(const RotorSeen& seen) {
  if (!seen.gap) return std::nullopt;
  if (*seen.gap == Conformity::pass) {
    return seen.gap_turned ? RotorFact::turned_gap_within : RotorFact::gap_within;
  }
  if (!seen.gap_turned) return RotorFact::gap_out;
  return seen.mostly_turning ? RotorFact::turned_gap_turning : RotorFact::turned_gap_fixed;
}

std::optional<RotorFact> sweep_fact(const RotorSeen& seen, const Motor* motor) {
  if (!seen.sweep) return std::nullopt;
  const bool two_pole = motor && motor->poles == kTwoPoles;
  switch (*seen.sweep) {
    case Pattern::sweep_even:
      return two_pole ? RotorFact::two_pole_even : RotorFact::sweep_even;
    case Pattern::once_a_turn:
      return two_pole ? RotorFact::two_pole_once : RotorFact::sweep_once;
    case Pattern::pole_pattern:
      return two_pole ? RotorFact::two_pole_poles : RotorFact::sweep_poles;
    case Pattern::pairs_differ:
      return two_pole ? RotorFact::two_pole_pairs : RotorFact::sweep_pairs;
    case Pattern::drifting:
    case Pattern::too_noisy:
    case Pattern::aliased:
      break;
  }
  return std::nullopt;
}

// Of each place what was measured last.
std::optional<RotorFact> vibration_fact(const Survey& survey, std::string_view motor,
                                        const Motor* row) {
  std::map<std::string, const ShopTest*> latest;
  for (const ShopTest& test : survey.shop_tests) {
    if (test.motor != motor || test.kind != ShopTestKind::vibration) continue;
    keep_later(latest[test.place], test);
  }
  if (latest.empty()) return std::nullopt;
  bool all_within = row && row->rated_rpm && *row->rated_rpm > kFast_rpm;
  for (const auto& [place, test] : latest) {
    for (const auto& value : test->values) {
      if (!value) continue;
      const Conformity result =
          rotor::at_most(*value, test->value_u.value_or(0), kVibration_mm_s_rms);
      if (result == Conformity::fail) return RotorFact::vibration_above;
      all_within = all_within && result == Conformity::pass;
    }
  }
  return all_within ? std::optional(RotorFact::vibration_within) : std::nullopt;
}

const Reading* latest_of(const Survey& survey, std::string_view motor, Test test) {
  const Reading* latest = nullptr;
  for (const Reading& reading : survey.readings) {
    if (reading.motor == motor && reading.test == test) keep_later(latest, reading);
  }
  return latest;
}

// Unequal currents speak of the motor only for what its supply does not make.
std::optional<RotorFact> current_fact(const Survey& survey, std::string_view motor,
                                      const Motor* row) {
  const Reading* current = latest_of(survey, motor, Test::line_current);
  const Reading* voltage = latest_of(survey, motor, Test::line_voltage);
  if (!current || !voltage) return std::nullopt;
  const auto measured = electrical::unbalance(current->values);
  if (!measured) return std::nullopt;
  const auto& v = voltage->values;
  const auto& i = current->values;
  const electrical::MotorRating rating{row ? row->rated_a : std::nullopt,
                                       row ? row->locked_rotor_a : std::nullopt};
  const auto expected = electrical::expected_current_unbalance({Volt{v[0]}, Volt{v[1]}, Volt{v[2]}},
                                                               meter_of(*voltage), rating,
                                                               Ampere{(i[0] + i[1] + i[2]) / 3});
  if (!expected) return std::nullopt;
  const Percent u = electrical::unbalance_u(i, meter_of(*current));
  return electrical::remainder_of(*measured, u, *expected).significant ? RotorFact::currents_unequal
                                                                       : RotorFact::currents_even;
}

// Whether the pairs differ by more than is normal, beyond the meter's doubt; none where it could be
// either.
std::optional<RotorFact> pairs_fact(const Survey& survey, std::string_view motor) {
  const Reading* pairs = latest_of(survey, motor, Test::winding_resistance);
  const auto spread = pairs ? electrical::unbalance(pairs->values) : std::nullopt;
  if (!spread) return std::nullopt;
  const Percent u = electrical::unbalance_u(pairs->values, meter_of(*pairs));
  switch (rotor::at_most(spread->value(), u.value(), electrical::kNormalPairUnbalance.value())) {
    case Conformity::pass:
      return RotorFact::pairs_alike;
    case Conformity::fail:
      return RotorFact::pairs_differ;
    case Conformity::too_close:
    case Conformity::not_done:
      break;
  }
  return std::nullopt;
}

// Without those that were made already.
std::vector<NextTest> rotor_tests(const std::vector<double>& probability, const RotorSeen& seen,
                                  bool has_pairs) {
  std::vector<NextTest> tests;
  for (const RotorTestRow& row : rotor_test_rows()) {
    if (seen.gap_turned && row.id == "feeler_gauge") continue;
    if (has_pairs && row.id == "winding_pairs") continue;
    tests.push_back(next_test(row, probability));
  }
  std::stable_sort(tests.begin(), tests.end(),
                   [](const NextTest& a, const NextTest& b) { return a.gain_bits > b.gain_bits; });
  return tests;
}

}  // namespace

std::optional<Explained> explain_rotor(const Survey& survey, std::string_view motor,
                                       const rotor::Rotors& rotors,
                                       const std::map<std::string, double>& priors) {
  const RotorSeen seen = seen_of(rotors, motor);
  if (!seen.gap && !seen.sweep) return std::nullopt;
  const Motor* row = survey.find_motor(motor);
  const std::optional<RotorFact> pairs = pairs_fact(survey, motor);
  std::vector<SeenFact> facts;
  for (const auto& fact :
       {gap_fact(seen), sweep_fact(seen, row), vibration_fact(survey, motor, row),
        current_fact(survey, motor, row), pairs}) {
    if (!fact) continue;
    const RotorFactRow& its = row_of(*fact);
    facts.push_back({its.id, its.text, its.likelihood});
  }
  Reasoned reasoned = reason(rotor_cause_rows(), facts, priors);
  reasoned.explained.tests = rotor_tests(reasoned.probability, seen, pairs.has_value());
  return std::move(reasoned.explained);
}

}  // namespace ohmglow::diagnosis
