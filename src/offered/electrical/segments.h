#pragma once
/// Resistance readings at several places of one circuit, solved together for its stretches.

#include "ohmglow/electrical.h"

#include <optional>
#include <span>
#include <vector>

namespace ohmglow::electrical {

/// The resistance test at one place, looking towards the motor.
struct PlaceReading {
  PerPair<Ohm> pairs;
  Meter meter{kResistanceMeterU, {}};
};

/// What the mean of a stretch's three sound conductors is expected to be, before any reading.
struct CablePrior {
  Ohm resistance;
  Ohm u;
};

/// One stretch, from its place to the next one; the last reaches into the motor's winding and holds
/// the legs of its equivalent wye.
struct Segment {
  PerPhase<Ohm> resistance{Ohm{0}, Ohm{0}, Ohm{0}};
  Phase phase = Phase::one;  ///< the highest of the three
  Ohm excess{0};             ///< that one less the mean of the two others
  Ohm excess_u{0};
  /// A lower bound (Bonferroni) of the probability that this phase's excess is the largest of the
  /// whole circuit: 1 − Σ Φ(−d/u_d) over its leads d over every other phase of every stretch.
  double probability = 0;
};

/// More places than a circuit has; the normal equations grow with the cube.
inline constexpr std::size_t kMostPlaces = 16;

/// Weighted least squares (JCGM 100, 5.2; normal equations) over the per-phase resistances of the
/// stretches: a pair read at a place is the sum of two phases of all stretches behind it, weighted
/// by 1/u² of the meter; `cables`, one for each place or none at all, adds the expected mean of a
/// stretch. Places stand in order from the supply. Errors (invalid_value): no or too many places; a
/// triple that resolve() refuses.
[[nodiscard]] Result<std::vector<Segment>> solve_segments(
    std::span<const PlaceReading> places, std::span<const std::optional<CablePrior>> cables);

}  // namespace ohmglow::electrical
