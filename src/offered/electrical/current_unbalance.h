#pragma once
/// How much of a current unbalance the supply's voltages explain, and what is left for the motor
/// circuit.

#include "ohmglow/electrical.h"

#include <optional>

namespace ohmglow::electrical {

/// A motor answers the negative-sequence voltage with an impedance near that of its locked rotor
/// (slip 2 − s ≈ 1; symmetrical components): I2/I1 = (V2/V1)·(I_locked/I_load). The spread of Z2
/// against the locked rotor's is a house rule.
inline constexpr double kNegativeSequenceSpread = 0.15;
/// Without the locked-rotor current: 6 to 10 times the voltage unbalance at rated load (NEMA MG 1,
/// read in a secondary text).
inline constexpr double kLeastFactor = 6;
inline constexpr double kMostFactor = 10;
/// The largest deviation of three magnitudes is between √3/2 and 1 of a small negative sequence.
inline constexpr double kLeastDeviation = 0.8660254037844386;

struct MotorRating {
  std::optional<Ampere> rated;
  std::optional<Ampere> locked_rotor;  ///< at rated voltage
};

/// Current unbalance (NEMA MG 1 definition) to be expected from the voltages alone.
struct ExpectedUnbalance {
  Percent low;
  Percent high;
  Percent u;  ///< of `high`, from the voltmeter (JCGM 100, 5.1.2)
  bool from_locked_rotor = false;
};
/// At part load I2 stays and I1 falls, so the expectation grows with rated/load; without a rated
/// current the factors count as they are. Absent where the voltages close no triangle or `load` is
/// not above zero.
[[nodiscard]] std::optional<ExpectedUnbalance> expected_current_unbalance(
    const PerPair<Volt>& voltages, const Meter& voltmeter, const MotorRating& motor, Ampere load);

/// What the expectation leaves over: measured − high, not below zero.
struct Remainder {
  Percent value;
  Percent u;
  /// The remainder exceeds twice its uncertainty: the motor circuit may be blamed for it.
  bool significant = false;
};
[[nodiscard]] Remainder remainder_of(Percent measured, Percent measured_u,
                                     const ExpectedUnbalance& expected);

}  // namespace ohmglow::electrical
