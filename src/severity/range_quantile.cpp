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

using Integral = boost::math::quadrature::gauss<double, 60>;

/// P(range < w) of n standard normal values: n ∫ φ(z) [Φ(z) − Φ(z − w)]^(n−1) dz, z the largest.
double range_below(double w, std::size_t n) {
  const auto share = [w, n](double z) {
    const double between = normal_below(z) - normal_below(z - w);
    return density(z) * std::pow(between, static_cast<double>(n - 1));
  };
  return static_cast<double>(n) * Integral::integrate(share, -kMostDeviations, kMostDeviations);
}

double gap_below(double g, std::size_t n) {
  const auto above = [g, n](double z) {
    return density(z) * std::pow(normal_below(z - g), static_cast<double>(n - 1));
  };
  return 1 - static_cast<double>(n) * Integral::integrate(above, -kMostDeviations, kMostDeviations);
}

template <class Below>
double quantile_of(const Below& below, double confidence) {
  constexpr int kBits = 40;
  std::uintmax_t steps = 100;
  const auto [low, high] = boost::math::tools::toms748_solve(
      [&](double x) { return below(x) - confidence; }, 0.0, 2 * kMostDeviations,
      boost::math::tools::eps_tolerance<double>(kBits), steps);
  return (low + high) / 2;
}

}  // namespace

double range_quantile(double confidence, std::size_t count) {
  if (count < 2) return 0;
  return quantile_of([count](double w) { return range_below(w, count); }, confidence);
}

double gap_quantile(double confidence, std::size_t count) {
  if (count < 2) return 0;
  return quantile_of([count](double g) { return gap_below(g, count); }, confidence);
}

}  // namespace ohmglow::severity
