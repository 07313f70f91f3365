#include "offered/electrical/current_unbalance.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::electrical {
namespace {

// Coverage of a difference that counts (JCGM 100, 6.3: about 95 %).
constexpr double kCountingCoverage = 2;

}  // namespace

std::optional<ExpectedUnbalance> expected_current_unbalance(const PerPair<Volt>& voltages,
                                                            const Meter& voltmeter,
                                                            const MotorRating& motor, Ampere load) {
  const std::array<double, 3> volts{voltages[0].value(), voltages[1].value(), voltages[2].value()};
  const auto sequence = negative_sequence(voltages);
  const auto spread = unbalance(volts);
  if (!sequence || !spread || !(load.value() > 0)) return std::nullopt;
  const Percent u = unbalance_u(volts, voltmeter);
  if (motor.locked_rotor) {
    const double factor = motor.locked_rotor->value() / load.value();
    const double high = (1 + kNegativeSequenceSpread) * factor;
    const double low = (1 - kNegativeSequenceSpread) * kLeastDeviation * factor;
    return ExpectedUnbalance{*sequence * low, *sequence * high, u * high, true};
  }
  const double part_load = motor.rated ? motor.rated->value() / load.value() : 1;
  return ExpectedUnbalance{*spread * (kLeastFactor * part_load),
                           *spread * (kMostFactor * part_load), u * (kMostFactor * part_load),
                           false};
}

Remainder remainder_of(Percent measured, Percent measured_u, const ExpectedUnbalance& expected) {
  const double left = std::max(0.0, (measured - expected.high).value());
  const double u = std::hypot(measured_u.value(), expected.u.value());
  return {Percent{left}, Percent{u}, left > kCountingCoverage * u};
}

}  // namespace ohmglow::electrical
