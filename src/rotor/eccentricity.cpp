#include "rotor/eccentricity.h"

#include "ohmglow/rotor.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

namespace ohmglow::rotor {
namespace {

constexpr int kPoles = 2;
constexpr int kSteps = 48;  // harmonics of F fall off fast: none above order 4 counts
constexpr int kMostRounds = 200;
constexpr double kSettled = 1e-10;
constexpr double kLargest = 0.45;  // of either part: their sum stays below the gap

struct Amplitudes {
  double pole = 0;
  double once = 0;
};

Amplitudes modelled(double fixed, double turning, const Sensitivity& sensitivity) {
  const std::complex<double> third = std::polar(1.0, 2 * std::numbers::pi / 3);
  std::complex<double> pole;
  std::complex<double> once;
  double mean = 0;
  for (std::size_t pair = 0; pair < 3; ++pair) {
    const double axis_deg = pair_axis_deg(pair, kPoles / 2);
    const std::complex<double> weight = std::pow(third, static_cast<double>((3 - pair) % 3));
    for (int i = 0; i < kSteps; ++i) {
      const double turn = static_cast<double>(i) / kSteps;
      const double factor = inductance_factor({.fixed = fixed, .turning = turning}, kPoles / 2,
                                              sensitivity.shaft_return, axis_deg, 360 * turn);
      const double reading = 1 + sensitivity.gap_share * (factor - 1);
      mean += reading;
      once += reading * std::polar(1.0, -2 * std::numbers::pi * turn);
      pole += weight * reading * std::polar(1.0, -2 * std::numbers::pi * kPoles * turn);
    }
  }
  return {2 * std::abs(pole) / mean, 2 * std::abs(once) / mean};
}

}  // namespace

std::optional<double> turning_eccentricity(double pole, double once,
                                           const Sensitivity& sensitivity) {
  const double free = sensitivity.gap_share * (1 - sensitivity.shaft_return);
  if (!(free > 0) || !(pole > 0)) return std::nullopt;
  // Begun from the form for small offsets, each amplitude then corrects its own part.
  double turning = std::min(2 * std::sqrt(pole / free), kLargest);
  double fixed = std::min(once / (turning * sensitivity.gap_share), kLargest);
  for (int round = 0; round < kMostRounds; ++round) {
    const Amplitudes its = modelled(fixed, turning, sensitivity);
    const double by_pole = std::sqrt(pole / its.pole);
    const double by_once = its.once > 0 ? once / its.once / by_pole : 1;
    turning *= by_pole;
    fixed = std::min(fixed * by_once, kLargest);
    if (turning > kLargest) return std::nullopt;
    if (std::fabs(by_pole - 1) < kSettled) return turning;
  }
  return std::nullopt;
}

}  // namespace ohmglow::rotor
