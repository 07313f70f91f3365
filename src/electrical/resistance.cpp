#include "ohmglow/electrical.h"
#include "resistance_uncertainty.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <utility>

namespace ohmglow::electrical {
namespace {

constexpr std::array<std::string_view, 3> kPairNames{"1-2", "2-3", "3-1"};

// A middle value within the middle third between the lowest and the highest takes no side.
constexpr double kNearLow = 1.0 / 3;
constexpr double kNearHigh = 2.0 / 3;

// The pair that does not touch a phase: 2-3 for 1, 3-1 for 2, 1-2 for 3.
constexpr std::size_t opposite_pair(std::size_t phase) {
  return (phase + 1) % 3;
}

double inferred_zero_of_winding(ConductorMaterial material) {
  return material == ConductorMaterial::copper ? 234.5 : 225.0;
}

std::optional<Error> contradiction(const PerPair<Ohm>& pairs) {
  for (std::size_t i = 0; i < 3; ++i) {
    const double x = pairs.at(i).value();
    if (std::isfinite(x) && x > 0) continue;
    return Error{.what = "a resistance between two leads is above zero, pair " +
                         std::string(kPairNames.at(i)) + " is not",
                 .found = plainly(number(x, 6)) + " Ω",
                 .expected = "a finite number above 0 Ω",
                 .mend = "measure this pair again"};
  }
  const PerPhase<Ohm> leg = legs(pairs);
  for (std::size_t phase = 0; phase < 3; ++phase) {
    if (leg.at(phase).value() > 0) continue;
    const std::size_t high = opposite_pair(phase);
    const std::size_t left = (high + 1) % 3;
    const std::size_t right = (high + 2) % 3;
    return Error{.what = "the three pairs contradict each other: pair " +
                         std::string(kPairNames.at(high)) + " must read less than " +
                         std::string(kPairNames.at(left)) + " and " +
                         std::string(kPairNames.at(right)) + " together",
                 .found = plainly(resistance(pairs.at(high))) + " against " +
                          plainly(resistance(pairs.at(left))) + " + " +
                          plainly(resistance(pairs.at(right))) + " = " +
                          plainly(resistance(pairs.at(left) + pairs.at(right))),
                 .expected = "each pair below the sum of the two others",
                 .mend = "check the units and the order 1-2, 2-3, 3-1, or measure again"};
  }
  return std::nullopt;
}

// Where the middle of three values lies between the lowest (0) and the highest (1); absent if
// all three are one.
std::optional<double> position_of_middle(const PerPair<Ohm>& pairs) {
  std::array<double, 3> sorted{pairs[0].value(), pairs[1].value(), pairs[2].value()};
  std::sort(sorted.begin(), sorted.end());
  const double range = sorted[2] - sorted[0];
  if (range <= 0) return std::nullopt;
  return (sorted[1] - sorted[0]) / range;
}

std::string_view highest_pair(const PerPair<Ohm>& pairs) {
  return kPairNames.at(
      static_cast<std::size_t>(std::max_element(pairs.begin(), pairs.end()) - pairs.begin()));
}

struct Pointing {
  PointsTo to = PointsTo::lead;
  Sentence note = {};
  bool agreed = true;
};

Pointing pointing_of_delta(const PerPair<Ohm>& pairs, double middle) {
  if (middle < kNearLow) {
    return {
        PointsTo::winding,
        sentence("Only pair {} is high. In a delta that points to the winding between these two "
                 "leads, not to a lead.",
                 std::string(highest_pair(pairs)))};
  }
  if (middle > kNearHigh) {
    return {PointsTo::lead,
            sentence("Two of the three pairs are high. In a delta that points to the lead they "
                     "share.")};
  }
  return {PointsTo::unclear,
          sentence("All three pairs differ. In a delta that points neither to one lead nor to one "
                   "winding.")};
}

Pointing pointing_of_wye(const PerPair<Ohm>& pairs, double middle) {
  if (middle < kNearLow) {
    return {PointsTo::lead,
            sentence(
                "Only pair {} is high: the third phase reads low, which points to shorted turns in "
                "it.",
                std::string(highest_pair(pairs)))};
  }
  if (middle > kNearHigh) {
    return {PointsTo::lead,
            sentence("Two of the three pairs are high, which points to the lead they share.")};
  }
  return {PointsTo::lead, sentence("All three pairs differ: more than one phase is off.")};
}

// An unknown connection is looked at both ways; the phase stands only where both name one lead.
Pointing pointing_of_unknown(const PerPair<Ohm>& pairs, double middle) {
  const Pointing delta = pointing_of_delta(pairs, middle);
  const Pointing wye = pointing_of_wye(pairs, middle);
  if (delta.to == PointsTo::lead) return wye;
  return {PointsTo::unclear,
          sentences(
              {wye.note, sentence("That holds for a wye; the connection is not known."), delta.note,
               sentence("It may be either lead of pair {}.", std::string(highest_pair(pairs)))}),
          false};
}

Pointing pointing(const PerPair<Ohm>& pairs, Connection connection) {
  const auto middle = position_of_middle(pairs);
  if (!middle) return {PointsTo::unclear, sentence("The three pairs read the same.")};
  switch (connection) {
    case Connection::wye:
      return pointing_of_wye(pairs, *middle);
    case Connection::delta:
      return pointing_of_delta(pairs, *middle);
    case Connection::unknown:
      break;
  }
  return pointing_of_unknown(pairs, *middle);
}

}  // namespace

Ohm refer_resistance(Ohm r, Celsius at, Celsius to, ConductorMaterial material) {
  const double k = inferred_zero_of_winding(material);
  return r * ((k + to.value()) / (k + at.value()));
}

PerPhase<Ohm> legs(const PerPair<Ohm>& pairs) {
  const auto& [r12, r23, r31] = pairs;
  return {(r12 + r31 - r23) * 0.5, (r23 + r12 - r31) * 0.5, (r31 + r23 - r12) * 0.5};
}

std::optional<PerPair<Ohm>> delta_windings(const PerPair<Ohm>& pairs) {
  const PerPhase<Ohm> leg = legs(pairs);
  const double r1 = leg[0].value();
  const double r2 = leg[1].value();
  const double r3 = leg[2].value();
  if (!(r1 > 0 && r2 > 0 && r3 > 0)) return std::nullopt;
  const double p = r1 * r2 + r2 * r3 + r3 * r1;
  return PerPair<Ohm>{Ohm{p / r3}, Ohm{p / r1}, Ohm{p / r2}};
}

bool Resolution::may_mean(Phase candidate) const {
  if (phase_agreed) return candidate == phase;
  // The lead that the highest pair does not touch carries the lowest leg.
  const auto lowest =
      static_cast<std::size_t>(std::min_element(legs.begin(), legs.end()) - legs.begin());
  return index_of(candidate) != lowest;
}

Result<Resolution> resolve(const PerPair<Ohm>& pairs, Connection connection, const Meter& meter) {
  if (auto error = contradiction(pairs)) return fail(std::move(*error));
  const PerPhase<Ohm> leg = legs(pairs);
  const auto spread = unbalance({pairs[0].value(), pairs[1].value(), pairs[2].value()});
  const auto leg_spread = unbalance({leg[0].value(), leg[1].value(), leg[2].value()});
  if (!spread || !leg_spread) {
    return fail(Error{.what = "the three pairs are too large to be added",
                      .found = plainly(number(pairs[0].value(), 0)),
                      .expected = "resistances in ohms",
                      .mend = "check the unit"});
  }
  const auto highest =
      static_cast<std::size_t>(std::max_element(leg.begin(), leg.end()) - leg.begin());
  const Ohm others = (leg.at((highest + 1) % 3) + leg.at((highest + 2) % 3)) * 0.5;
  const Ohm excess = leg.at(highest) - others;
  Pointing where = pointing(pairs, connection);
  if (!exceeds(spread->value(), kNormalPairUnbalance.value())) {
    where.note = sentence("The three pairs agree within {} % of their mean: no phase stands out.",
                          number(kNormalPairUnbalance.value(), 0));
  }
  return Resolution{
      .legs = leg,
      .windings = connection == Connection::delta ? delta_windings(pairs) : std::nullopt,
      .pair_unbalance = *spread,
      .leg_unbalance = *leg_spread,
      .phase = kPhases.at(highest),
      .excess = excess,
      .points_to = where.to,
      .note = std::move(where.note),
      .pair_unbalance_u =
          unbalance_u({pairs[0].value(), pairs[1].value(), pairs[2].value()}, meter),
      .excess_u = excess_u(pairs, kPhases.at(highest), meter),
      .phase_probability = probability_of_highest(pairs, kPhases.at(highest), meter),
      .phase_agreed = where.agreed};
}

Watt excess_heat(Ohm excess, Ampere current) {
  return Watt{excess.value() * current.value() * current.value()};
}

Percent pair_unbalance_from(Ohm excess, Ohm leg) {
  // Two pairs read 2·leg + x, one 2·leg; the low one is farthest from the mean 2·leg + 2x/3.
  return Percent{100 * excess.value() / (3 * leg.value() + excess.value())};
}

}  // namespace ohmglow::electrical
