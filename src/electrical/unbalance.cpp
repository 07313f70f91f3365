#include "ohmglow/electrical.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmglow::electrical {
namespace {

struct DeratingPoint {
  double unbalance_pct;
  double factor;
};

// Read off the curve of NEMA MG 1 fig. 14-1 / 20-2, which prints no table; ±0.01. The read-off has
// no point at 1 %: the middle of the other usual read-off (0.98 to 1.00) stands there.
constexpr std::array<DeratingPoint, 11> kDerating{{
    {0.0, 1.00},
    {0.5, 1.00},
    {1.0, 0.99},
    {1.5, 0.97},
    {2.0, 0.95},
    {2.5, 0.93},
    {3.0, 0.89},
    {3.5, 0.85},
    {4.0, 0.82},
    {4.5, 0.78},
    {5.0, 0.76},
}};

double squared(double x) {
  return x * x;
}

}  // namespace

std::optional<Percent> unbalance(const std::array<double, 3>& values) {
  const double mean = (values[0] + values[1] + values[2]) / 3;
  if (!std::isfinite(mean) || mean <= 0) return std::nullopt;
  double largest = 0;
  for (const double x : values) largest = std::max(largest, std::fabs(x - mean));
  return Percent{100 * largest / mean};
}

std::optional<Percent> negative_sequence(const PerPair<Volt>& voltages) {
  const double largest = std::max({voltages[0], voltages[1], voltages[2]}).value();
  if (!std::isfinite(largest) || largest <= 0) return std::nullopt;
  const double a = voltages[0].value() / largest;
  const double b = voltages[1].value() / largest;
  const double c = voltages[2].value() / largest;
  const bool closes = a + b + c - 1 >= 1;  // the largest of them is 1
  if (!(std::min({a, b, c}) >= 0 && closes)) return std::nullopt;
  // 3 − 6β is 3·(16·area²)/(Σu²)², the area by Heron, and 1 − (3 − 6β) a sum of squared
  // differences; written so, nothing cancels near balance, where β − 1/3 would be rounding noise.
  const double sum = squared(a) + squared(b) + squared(c);
  const double heron = (a + b + c) * (-a + b + c) * (a - b + c) * (a + b - c);
  const double s = std::sqrt(std::clamp(3 * heron / squared(sum), 0.0, 1.0));
  const double differences =
      squared((a - b) * (a + b)) + squared((b - c) * (b + c)) + squared((c - a) * (c + a));
  return Percent{100 * std::sqrt(2 * differences) / sum / (1 + s)};
}

std::optional<double> derating_factor(Percent voltage_unbalance) {
  const double x = voltage_unbalance.value();
  if (!(x >= 0) || x > kDerating.back().unbalance_pct) return std::nullopt;
  const auto upper = std::find_if(kDerating.begin() + 1, kDerating.end(),
                                  [x](const auto& point) { return x <= point.unbalance_pct; });
  const auto lower = upper - 1;
  const double share = (x - lower->unbalance_pct) / (upper->unbalance_pct - lower->unbalance_pct);
  return lower->factor + share * (upper->factor - lower->factor);
}

}  // namespace ohmglow::electrical
