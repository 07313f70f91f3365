#include "axis.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::report {
namespace {
// A tick that misses an end by rounding still belongs to the axis.
constexpr double kSlack = 1e-9;
constexpr int kMostTicks = 50;
}  // namespace

double round_step(double span, int count) {
  if (!(span > 0) || !std::isfinite(span)) return 1;
  const double rough = span / count;
  const double decade = std::pow(10.0, std::floor(std::log10(rough)));
  for (const double factor : {1.0, 2.0, 5.0}) {
    if (factor * decade >= rough) return factor * decade;
  }
  return 10 * decade;
}

double Axis::at(double value) const {
  return at_low + (value - low) / (high - low) * (at_high - at_low);
}

std::vector<double> Axis::ticks() const {
  std::vector<double> result;
  const double first = std::ceil(low / step - kSlack);
  for (int i = 0; i < kMostTicks; ++i) {
    const double tick = (first + i) * step;
    if (tick > high + kSlack * step) break;
    result.push_back(tick);
  }
  return result;
}

int Axis::places() const {
  return std::max(0, static_cast<int>(-std::floor(std::log10(step) + kSlack)));
}

}  // namespace ohmglow::report
