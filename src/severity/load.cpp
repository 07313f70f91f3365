#include "ohmglow/severity.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::severity {

std::optional<Projection> project_rise(KelvinDifference rise, Ampere load, Ampere rated) {
  if (!(load.value() > 0) || !(rated.value() > 0)) return std::nullopt;
  const double ratio = rated.value() / load.value();
  const auto projected = [rise, ratio](double exponent) {
    return rise * std::pow(ratio, exponent);
  };
  const auto [low, high] = std::minmax({projected(kLoadExponentLow), projected(kLoadExponentHigh)});
  if (!std::isfinite(low.value()) || !std::isfinite(high.value())) return std::nullopt;
  return Projection{projected(kLoadExponent), low, high};
}

double load_exponent_u() {
  return (kLoadExponentHigh - kLoadExponentLow) / std::sqrt(12.0);
}

std::optional<radiometry::Estimate> projected_estimate(const radiometry::Estimate& rise,
                                                       Ampere load, Percent load_u, Ampere rated,
                                                       std::uint32_t scope) {
  using radiometry::Estimate;
  using radiometry::InputKind;
  const auto projection = project_rise(KelvinDifference{rise.value()}, load, rated);
  if (!projection) return std::nullopt;
  const double ratio = rated.value() / load.value();
  const double projected = projection->rise.value();
  const Estimate by_load{
      0,
      {{{InputKind::load, scope}, -kLoadExponent * projected * load_u.value() / 100},
       {{InputKind::load_exponent, scope}, projected * std::log(ratio) * load_exponent_u()}}};
  return Estimate::combine(std::pow(ratio, kLoadExponent), rise, 1, by_load);
}

std::optional<double> relative_difference(KelvinDifference over_like, KelvinDifference over_air) {
  if (!(over_air.value() > 0)) return std::nullopt;
  return over_like.value() / over_air.value();
}

std::optional<KelvinDifference> balanced_spread(const std::vector<LoadedRise>& lugs,
                                                Ampere mean_load, double exponent) {
  if (lugs.size() < 2 || !(mean_load.value() > 0)) return std::nullopt;
  std::vector<double> balanced;
  balanced.reserve(lugs.size());
  for (const LoadedRise& lug : lugs) {
    if (!(lug.load.value() > 0)) return std::nullopt;
    const double ratio = lug.load.value() / mean_load.value();
    balanced.push_back(lug.over_air.value() / std::pow(ratio, exponent));
  }
  const auto [least, most] = std::minmax_element(balanced.begin(), balanced.end());
  return KelvinDifference{*most - *least};
}

}  // namespace ohmglow::severity
