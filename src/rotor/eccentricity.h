#pragma once
/// The turning part of a two-pole motor's eccentricity, from what a sweep shows of it.

#include <optional>

namespace ohmglow::rotor {

/// How much of the reading follows the main gap, and what returns through the shaft.
struct Sensitivity {
  double gap_share = 1;
  double shaft_return = 0;
};
/// The turning part, as share of the mean gap, whose sweep has these amplitudes (shares of the
/// common mean): `pole` of two cycles a turn in negative sequence, `once` of one in zero sequence,
/// which the fixed part adds. inductance_factor() is inverted, not its form for small offsets.
/// Absent where no offset below the whole gap has them.
[[nodiscard]] std::optional<double> turning_eccentricity(double pole, double once,
                                                         const Sensitivity& sensitivity);

}  // namespace ohmglow::rotor
