#include "ohmglow/severity.h"
#include "severity/bivariate_normal.h"
#include "severity/columns.h"

#include <algorithm>
#include <optional>
#include <vector>

namespace ohmglow::severity {
namespace {

using radiometry::Estimate;

/// A rise and the limit that it may reach.
struct Race {
  const Estimate& rise;
  Limit limit;

  [[nodiscard]] bool is_exact() const { return !(rise.u() > 0); }
  /// The limit's distance above the rise, in standard uncertainties.
  [[nodiscard]] double distance() const { return (limit.value - rise.value()) / rise.u(); }
  [[nodiscard]] double reached() const {
    if (is_exact()) return limit.reached_by(rise.value()) ? 1 : 0;
    return normal_below(-distance());
  }
};

std::optional<Race> race(const std::optional<Estimate>& rise, const Policy& policy, Column column,
                         std::size_t from) {
  const auto limit = first_limit(policy, column, from);
  if (!rise || !limit) return std::nullopt;
  return Race{*rise, *limit};
}

double either_reached(const Race& a, const Race& b) {
  if (a.is_exact() || b.is_exact()) return std::max(a.reached(), b.reached());
  const double correlation = Estimate::covariance(a.rise, b.rise) / (a.rise.u() * b.rise.u());
  return 1 - normal_below(a.distance(), b.distance(), std::clamp(correlation, -1.0, 1.0));
}

/// Probability of the band `from` or a more severe one: that either rise reaches the lowest limit
/// from there on, just as grade() decides.
double at_least(const Policy& policy, std::size_t from, const std::optional<Estimate>& over_like,
                const std::optional<Estimate>& over_air) {
  const auto like = race(over_like, policy, &Band::over_like_k, from);
  const auto air = race(over_air, policy, &Band::over_air_k, from);
  if (like && air) return either_reached(*like, *air);
  if (like) return like->reached();
  return air ? air->reached() : 0;
}

}  // namespace

std::vector<double> band_probabilities(const Policy& policy,
                                       const std::optional<Estimate>& over_like,
                                       const std::optional<Estimate>& over_air) {
  std::vector<double> probabilities(policy.bands.size());
  double more_severe = 0;
  for (std::size_t i = policy.bands.size(); i-- > 0;) {
    const double reached = at_least(policy, i, over_like, over_air);
    probabilities[i] = std::max(0.0, reached - more_severe);
    more_severe = reached;
  }
  return probabilities;
}

}  // namespace ohmglow::severity
