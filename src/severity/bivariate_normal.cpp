#include "severity/bivariate_normal.h"

#include <algorithm>
#include <boost/math/special_functions/owens_t.hpp>
#include <cmath>
#include <numbers>

namespace ohmglow::severity {
namespace {

/// Beyond this many standard deviations nothing is left that a double could hold.
constexpr double kFarthest = 38;
/// Correlations nearer to ±1 are ±1: shared inputs that cancel to rounding.
constexpr double kWholly = 1 - 1e-14;

/// Owen's T(h, numerator/h): where h is 0 its second argument is infinite with the sign of the
/// numerator, and T(0, ±inf) = ±1/4.
double owen_term(double h, double numerator) {
  if (h == 0) return std::copysign(0.25, numerator);
  return boost::math::owens_t(h, numerator / h);
}

}  // namespace

double normal_below(double h) {
  return std::erfc(-h / std::numbers::sqrt2) / 2;
}

// Owen (1956), Ann. Math. Statist. 27, 1075, eq. 2.1 (from memory; checked against an independent
// implementation in the tests).
double normal_below(double h_asked, double k_asked, double correlation) {
  const double h = std::clamp(h_asked, -kFarthest, kFarthest);
  const double k = std::clamp(k_asked, -kFarthest, kFarthest);
  if (correlation >= kWholly) return normal_below(std::min(h, k));
  if (correlation <= -kWholly) return std::max(0.0, normal_below(h) - normal_below(-k));
  if (h == 0 && k == 0) return 0.25 + std::asin(correlation) / (2 * std::numbers::pi);

  const double across = std::sqrt((1 - correlation) * (1 + correlation));
  const bool opposite = h * k < 0 || (h * k == 0 && h + k < 0);
  const double below = (normal_below(h) + normal_below(k)) / 2 -
                       owen_term(h, (k - correlation * h) / across) -
                       owen_term(k, (h - correlation * k) / across) - (opposite ? 0.5 : 0.0);
  return std::clamp(below, 0.0, 1.0);
}

}  // namespace ohmglow::severity
