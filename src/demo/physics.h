#pragma once
/// The heat side and the meter side of one and the same circuit.

#include "ohmglow/phase.h"
#include "ohmglow/quantity.h"
#include "story.h"

namespace ohmglow::demo {

/// A cable with its lug.
struct Conductor {
  double area_mm2 = 0;
  double outer_diameter_mm = 0;
  double lug_area_cm2 = 0;
  double joint_uohm = 0;  ///< a sound joint
};
[[nodiscard]] const Conductor& conductor_of(double area_mm2);

/// A lug between two long conductors that heat themselves and cool like fins.
struct LugHeat {
  KelvinDifference lug;    ///< over the air
  KelvinDifference cable;  ///< over the air, far from the lug
  double thermal_resistance_k_per_w = 0;
  Metre fin_length{0};  ///< the lug's extra rise falls to 1/e along the cable
};
[[nodiscard]] LugHeat heat_up(const Conductor& conductor, Ampere current, Ohm joint,
                              double film_w_m2_k);

/// Resistance of the joint at a place and phase of the circuit: the sound joint and what is wrong.
[[nodiscard]] Ohm joint_resistance(const MotorStory& motor, CircuitPlace place,
                                   Phase circuit_phase);

/// What an ideal meter shows at a place, the windings at a temperature.
[[nodiscard]] PerPair<Ohm> pairs_at(const MotorStory& motor, CircuitPlace place, bool with_faults,
                                    Celsius winding);

/// 100 × largest deviation from the mean / mean.
[[nodiscard]] double unbalance_pct(const std::array<double, 3>& values);

}  // namespace ohmglow::demo
