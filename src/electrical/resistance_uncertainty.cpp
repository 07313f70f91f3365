#include "resistance_uncertainty.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmglow::electrical {
namespace {

// Beyond this many standard uncertainties a normal distribution holds nothing that a double keeps
// of a probability.
constexpr double kReach = 8;
constexpr int kSteps = 320;  // even, for Simpson's rule
constexpr int kDigits = 4;

double normal_cdf(double z) {
  return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}
double normal_density(double z) {
  return std::exp(-z * z / 2) / std::sqrt(2 * std::numbers::pi);
}

struct Touching {
  std::size_t first;     // pair
  std::size_t second;    // pair
  std::size_t opposite;  // pair
};
Touching touching(Phase phase) {
  const std::size_t i = index_of(phase);
  return {i, (i + 2) % 3, (i + 1) % 3};
}

// Readings without any uncertainty: equal ones share the first place.
double share_of_first_place(double first_lead, double second_lead) {
  if (first_lead < 0 || second_lead < 0) return 0;
  return 1.0 / (1 + (first_lead == 0 ? 1 : 0) + (second_lead == 0 ? 1 : 0));
}

}  // namespace

Meter default_meter(Test test) {
  switch (test) {
    case Test::winding_resistance:
      return {kResistanceMeterU, {}};
    case Test::line_current:
      return {kCurrentMeterU, {}};
    case Test::joint_resistance:
    case Test::joint_drop:
      return {kJointMeterU, {}};
    case Test::line_voltage:
      break;
  }
  return {kVoltageMeterU, {}};
}

double four_digit_least_count(double largest) {
  if (!(largest > 0) || !std::isfinite(largest)) return 0;
  return std::pow(10.0, std::floor(std::log10(largest)) - (kDigits - 1));
}

double reading_u(double value, double largest, const Meter& meter) {
  const double step = meter.least_count.value_or(four_digit_least_count(largest));
  return std::hypot(meter.u.value() / 100 * value, step / std::sqrt(12.0));
}

Percent unbalance_u(const std::array<double, 3>& values, const Meter& meter) {
  const double mean = (values[0] + values[1] + values[2]) / 3;
  if (!std::isfinite(mean) || mean <= 0) return Percent{0};
  const double largest = *std::max_element(values.begin(), values.end());
  const auto farther = [mean](double a, double b) {
    return std::fabs(a - mean) < std::fabs(b - mean);
  };
  const auto farthest = static_cast<std::size_t>(
      std::max_element(values.begin(), values.end(), farther) - values.begin());
  // d(100·x_k/m − 100)/dx_i = 100·(δ_ik/m − x_k/(3 m²))
  double sum = 0;
  for (std::size_t i = 0; i < 3; ++i) {
    const double own = i == farthest ? 1 / mean : 0;
    const double slope = 100 * (own - values.at(farthest) / (3 * mean * mean));
    sum += std::pow(slope * reading_u(values.at(i), largest, meter), 2);
  }
  return Percent{std::sqrt(sum)};
}

PerPair<double> pair_us(const PerPair<Ohm>& pairs, const Meter& meter) {
  const double largest = std::max({pairs[0], pairs[1], pairs[2]}).value();
  PerPair<double> us{};
  for (std::size_t i = 0; i < 3; ++i) us.at(i) = reading_u(pairs.at(i).value(), largest, meter);
  return us;
}

Ohm excess_u(const PerPair<Ohm>& pairs, Phase phase, const Meter& meter) {
  const PerPair<double> u = pair_us(pairs, meter);
  const auto [a, b, c] = touching(phase);
  return Ohm{std::hypot(u.at(a) / 2, u.at(b) / 2, u.at(c))};
}

double probability_of_highest(const PerPair<Ohm>& pairs, Phase phase, const Meter& meter) {
  const PerPair<double> u = pair_us(pairs, meter);
  const auto [a, b, c] = touching(phase);
  // The leg's lead over the two others is R_a − R_c and R_b − R_c. Given the error of R_c the two
  // are independent: one integral over it, by Simpson's rule.
  const double over_one = (pairs.at(a) - pairs.at(c)).value();
  const double over_other = (pairs.at(b) - pairs.at(c)).value();
  if (!(u.at(a) > 0 && u.at(b) > 0 && u.at(c) > 0)) {
    return share_of_first_place(over_one, over_other);
  }
  const double width = 2 * kReach / kSteps;
  double sum = 0;
  for (int i = 0; i <= kSteps; ++i) {
    const double z = -kReach + i * width;
    const double weight = i == 0 || i == kSteps ? 1 : (i % 2 == 1 ? 4 : 2);
    sum += weight * normal_density(z) * normal_cdf((over_one - z * u.at(c)) / u.at(a)) *
           normal_cdf((over_other - z * u.at(c)) / u.at(b));
  }
  return std::clamp(sum * width / 3, 0.0, 1.0);
}

Watt excess_heat_u(Ohm excess, Ohm excess_u, Ampere current, Percent current_u) {
  const double i = current.value();
  const double from_resistance = i * i * excess_u.value();
  const double from_current = 2 * excess.value() * i * (current_u.value() / 100 * i);
  return Watt{std::hypot(from_resistance, from_current)};
}

}  // namespace ohmglow::electrical
