#include "rotor_causes.h"

#include "judging.h"
#include "ohmglow/sentence.h"

#include <algorithm>

// No number here was counted in plants: priors and likelihoods are assumed, from what an eccentric
// gap and an uneven rotor do to a sweep (tests/reference/rotor_test.cpp) and from the trade's rules
// (common practice, no source). A policy may give its own priors. What must hold, and is tested:
// the priors sum to 1; for every cause the facts of a kind, and the outcomes of a test, sum to 1.

namespace ohmglow::diagnosis {
namespace {

constexpr std::array<CauseRow, kRotorCauses> kRotorCauseRows{{
    {"rotor_in_order", msg("rotor, air gap and winding in order"), 0.60},
    {"fixed_offset", msg("rotor off centre in one direction: bearing housing, end shield or frame"),
     0.10},
    {"turning_offset", msg("rotor turns off its own centre: bent shaft or eccentric core"), 0.06},
    {"uneven_rotor", msg("rotor not alike all round: broken bars, or magnetised"), 0.10},
    {"stator_winding", msg("windings of the pairs not alike: turns, joints or coil build"), 0.08},
    {"mounting", msg("mechanical: imbalance, misalignment or soft foot"), 0.06},
}};

// clang-format off
// Columns: in order, fixed_offset, turning_offset, uneven_rotor, stator_winding, mounting
constexpr std::array<RotorFactRow, kRotorFacts> kRotorFactRows{{
    {"gap_within", msg("the air gap is within its limit"), {0.98, 0.12, 0.12, 0.97, 0.97, 0.97}},
    {"gap_out", msg("the air gap is out of its limit"), {0.02, 0.88, 0.88, 0.03, 0.03, 0.03}},

    {"turned_gap_within", msg("the air gap is within its limit, whatever the rotor's angle"),
     {0.97, 0.12, 0.12, 0.96, 0.96, 0.96}},
    {"turned_gap_fixed", msg("the air gap is out of its limit, and mostly stays where it is as the rotor is turned"),
     {0.02, 0.80, 0.08, 0.02, 0.02, 0.02}},
    {"turned_gap_turning", msg("the air gap is out of its limit, and mostly turns with the rotor"),
     {0.01, 0.08, 0.80, 0.02, 0.02, 0.02}},

    {"two_pole_even", msg("the sweep is even"), {0.93, 0.45, 0.30, 0.25, 0.25, 0.93}},
    {"two_pole_once", msg("the sweep has one cycle a turn, alike in all pairs"), {0.02, 0.15, 0.15, 0.05, 0.02, 0.02}},
    {"two_pole_poles", msg("the sweep has two cycles a turn, shifted from pair to pair"),
     {0.03, 0.05, 0.50, 0.65, 0.03, 0.03}},
    {"two_pole_pairs", msg("the pairs' inductance differs over the whole turn"), {0.02, 0.35, 0.05, 0.05, 0.70, 0.02}},

    {"sweep_even", msg("the sweep is even, which on four poles and more says nothing of the gap"),
     {0.93, 0.85, 0.80, 0.25, 0.25, 0.93}},
    {"sweep_once", msg("the sweep has one cycle a turn, alike in all pairs"), {0.02, 0.10, 0.15, 0.05, 0.02, 0.02}},
    {"sweep_poles", msg("the sweep has as many cycles a turn as poles, shifted from pair to pair"),
     {0.03, 0.03, 0.03, 0.65, 0.03, 0.03}},
    {"sweep_pairs", msg("the pairs' inductance differs over the whole turn"), {0.02, 0.02, 0.02, 0.05, 0.70, 0.02}},

    {"vibration_within", msg("the vibration without load is within its limit"), {0.97, 0.45, 0.35, 0.60, 0.85, 0.15}},
    {"vibration_above", msg("the vibration without load is above its limit"), {0.03, 0.55, 0.65, 0.40, 0.15, 0.85}},

    {"currents_even", msg("the currents are no more unequal than the supply makes them"),
     {0.95, 0.75, 0.85, 0.80, 0.45, 0.95}},
    {"currents_unequal", msg("the currents are more unequal than the supply makes them"),
     {0.05, 0.25, 0.15, 0.20, 0.55, 0.05}},

    {"pairs_alike", msg("the pairs' resistances are alike"), {0.98, 0.98, 0.98, 0.98, 0.40, 0.98}},
    {"pairs_differ", msg("the pairs' resistances differ"), {0.02, 0.02, 0.02, 0.02, 0.60, 0.02}},
}};

constexpr std::array kRotorKinds{RotorFact::gap_within, RotorFact::turned_gap_within, RotorFact::two_pole_even,
                                 RotorFact::sweep_even, RotorFact::vibration_within, RotorFact::currents_even,
                                 RotorFact::pairs_alike};

constexpr std::array kFeeler{
    RotorOutcome{kRotorFactRows[2].text, kRotorFactRows[2].likelihood},
    RotorOutcome{kRotorFactRows[3].text, kRotorFactRows[3].likelihood},
    RotorOutcome{kRotorFactRows[4].text, kRotorFactRows[4].likelihood},
};
constexpr std::array kCurrentSidebands{
    RotorOutcome{msg("lines beside the line frequency, at twice the slip from it"), {0.04, 0.05, 0.08, 0.80, 0.05, 0.05}},
    RotorOutcome{msg("none"), {0.96, 0.95, 0.92, 0.20, 0.95, 0.95}},
};
constexpr std::array kPowerCut{
    RotorOutcome{msg("a part at twice the line frequency, gone the moment the power is cut"),
                 {0.10, 0.75, 0.65, 0.40, 0.50, 0.08}},
    RotorOutcome{msg("it dies away with the speed"), {0.90, 0.25, 0.35, 0.60, 0.50, 0.92}},
};
constexpr std::array kWindingPairs{
    RotorOutcome{kRotorFactRows[17].text, kRotorFactRows[17].likelihood},
    RotorOutcome{kRotorFactRows[18].text, kRotorFactRows[18].likelihood},
};
// clang-format on

constexpr std::array kRotorTestRows{
    RotorTestRow{"feeler_gauge", msg("air gap by feeler gauge, both ends, at several rotor angles"),
                 msg("Lock out and verify dead. Gauge eight places at each end, then turn the "
                     "shaft by a quarter and gauge them again, three times."),
                 120, kFeeler},
    RotorTestRow{"current_over_slip", msg("spectrum of the line current at load"),
                 msg("Qualified people with the required protection: take one line current at "
                     "half of the rated load or more and look beside the line frequency, at twice "
                     "the slip from it."),
                 40, kCurrentSidebands},
    RotorTestRow{"vibration_power_cut",
                 msg("vibration at twice the line frequency, and the power cut"),
                 msg("Qualified people: run the motor uncoupled, watch its vibration at twice the "
                     "line frequency and "
                     "cut the power: what the field makes is gone at once, what the mass makes "
                     "dies away with the speed."),
                 40, kPowerCut},
    RotorTestRow{"winding_pairs", msg("winding resistance of the three pairs"),
                 msg("Lock out and verify dead. Measure the three pairs at the terminal box with "
                     "the leads disconnected, at one temperature."),
                 30, kWindingPairs},
};

const rotor::Sweep* latest_telling(const rotor::Rotors& rotors, std::string_view motor) {
  const rotor::Sweep* latest = nullptr;
  for (const rotor::Sweep& sweep : rotors.sweeps) {
    if (sweep.motor == motor) keep_later(latest, sweep);
  }
  return latest;
}

bool tells_a_pattern(rotor::Pattern pattern) {
  return pattern != rotor::Pattern::drifting && pattern != rotor::Pattern::too_noisy &&
         pattern != rotor::Pattern::aliased;
}

}  // namespace

std::span<const CauseRow> rotor_cause_rows() {
  return kRotorCauseRows;
}
const RotorFactRow& row_of(RotorFact fact) {
  return kRotorFactRows.at(static_cast<std::size_t>(fact));
}
std::span<const RotorFact> rotor_fact_kinds() {
  return kRotorKinds;
}
std::span<const RotorTestRow> rotor_test_rows() {
  return kRotorTestRows;
}

RotorSeen seen_of(const rotor::Rotors& rotors, std::string_view motor) {
  RotorSeen seen;
  const rotor::Sweep* sweep = latest_telling(rotors, motor);
  if (sweep && tells_a_pattern(sweep->pattern)) seen.sweep = sweep->pattern;
  bool all_pass = true;
  bool any = false;
  double largest_pct = 0;
  for (const rotor::AirGap& gap : rotors.air_gaps) {
    if (gap.motor != motor) continue;
    any = true;
    all_pass = all_pass && gap.result == rotor::Conformity::pass;
    seen.gap_turned = seen.gap_turned || (gap.fixed && gap.turning);
    if (gap.result != rotor::Conformity::fail) continue;
    seen.gap = rotor::Conformity::fail;
    if (!gap.fixed || !gap.turning || gap.max_deviation.value() < largest_pct) continue;
    largest_pct = gap.max_deviation.value();
    seen.mostly_turning = gap.turning->size > gap.fixed->size;
  }
  if (any && all_pass) seen.gap = rotor::Conformity::pass;
  return seen;
}

}  // namespace ohmglow::diagnosis
