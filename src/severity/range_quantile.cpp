#include "ohmglow/severity.h"
#include "severity/bivariate_normal.h"

#include <boost/math/quadrature/gauss.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <numbers>

namespace ohmglow::severity {
namespace {

constexpr double kMostDeviations = 8;  ///< standard deviations; beyond them nothing is left

double density(double z) {
  return std::exp(-z * z / 2) / std::sqrt(2 * std::numbers::pi);
}

/// P(range < w) of n standard normal values: n ∫ φ(z) [Φ(z) − Φ(z − w)]^(n−1) dz, z the largest.
double below(double w, std::size_t n) {
  const auto share = [w, n](double z) {
    const double between = normal_below(z) - normal_below(z - w);
    return density(z) * std::pow(between, static_cast<double>(n - 1));
  };
  return static_cast<double>(n) *
         boost::math::quadrature::gauss<double, 60>::integrate(share, -kMostDeviations, kMostDeviations);
}

}  // namespace

double range_quantile(double confidence, std::size_t count) {
  if (count < 2) return 0;
  constexpr std::uintmax_t kMostSteps = 100;
  std::uintmax_t steps = kMostSteps;
  const auto [low, high] = boost::math::tools::toms748_solve(
      [&](double w) { return below(w, count) - confidence; }, 0.0, 2 * kMostDeviations,
      boost::math::tools::eps_tolerance<double>(40), steps);
  return (low + high) / 2;
}

}  // namespace ohmglow::severity
