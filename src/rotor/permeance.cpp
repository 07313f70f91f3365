#include "angles.h"
#include "ohmglow/rotor.h"

#include <cmath>
#include <complex>

namespace ohmglow::rotor {
namespace {

// e = 0 divides by itself in b; b is e/2 to this order.
constexpr double kSmallEccentricity = 1e-6;
constexpr double kFirstAxis_deg = -30;
constexpr double kBetweenAxes_deg = 120;

}  // namespace

Permeance permeance(double eccentricity) {
  const double root = std::sqrt(1 - eccentricity * eccentricity);
  const double b = eccentricity < kSmallEccentricity ? eccentricity / 2 : (1 - root) / eccentricity;
  return {1 / root, b};
}

double pair_axis_deg(std::size_t pair, int pole_pairs) {
  return (kFirstAxis_deg + kBetweenAxes_deg * static_cast<double>(pair)) / pole_pairs;
}

double inductance_factor(const Offsets& offsets, int pole_pairs, double shaft_return,
                         double axis_deg, double rotor_deg) {
  const std::complex<double> z =
      std::polar(offsets.fixed, offsets.fixed_at_deg * kRadianPerDegree) +
      std::polar(offsets.turning, (rotor_deg + offsets.turning_at_deg) * kRadianPerDegree);
  const auto [l0, b] = permeance(std::abs(z));
  const double b_2p = std::pow(b, 2 * pole_pairs);
  const double direction = 2 * pole_pairs * (std::arg(z) - axis_deg * kRadianPerDegree);
  return l0 * (1 - shaft_return * b_2p + (1 - shaft_return) * b_2p * std::cos(direction));
}

double standstill_sensitivity(double frequency_share) {
  constexpr double kMain = 3;
  constexpr double kStatorLeakage = 0.1;
  constexpr double kRotorLeakage = 0.1;
  constexpr double kCage = 0.02;
  const double w2 = frequency_share * frequency_share;
  const double whole = kRotorLeakage + kMain;
  // L_eff = L1 + Lm n/d, and its derivative by Lm.
  const double n = kCage * kCage + w2 * kRotorLeakage * whole;
  const double d = kCage * kCage + w2 * whole * whole;
  const double slope = n / d + kMain * w2 * (kRotorLeakage * d - 2 * whole * n) / (d * d);
  return slope * kMain / (kStatorLeakage + kMain * n / d);
}

}  // namespace ohmglow::rotor
