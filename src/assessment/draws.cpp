#include "assessment/draws.h"

#include <Random123/philox.h>
#include <algorithm>
#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <numbers>

namespace ohmglow::assessment {
namespace {

/// Truncation farther from the mean than this changes nothing that a trial could show.
constexpr double kFarTail = 8;

double below(double z) {
  return std::erfc(-z / std::numbers::sqrt2) / 2;
}

/// The z that a standard normal variable stays below with probability p.
double quantile(double p) {
  using boost::math::policies::policy;
  using boost::math::policies::promote_double;
  return -std::numbers::sqrt2 * boost::math::erfc_inv(2 * p, policy<promote_double<false>>{});
}

}  // namespace

PhiloxCounter philox4x32_10(PhiloxCounter c, PhiloxKey key) {
  const auto drawn = r123::Philox4x32_R<10>()({{c[0], c[1], c[2], c[3]}}, {{key[0], key[1]}});
  return {drawn[0], drawn[1], drawn[2], drawn[3]};
}

Draws::Draws(std::uint64_t seed)
    : key_{static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32)} {}

double Draws::uniform(const radiometry::Input& input, std::uint64_t trial) const {
  const auto words =
      philox4x32_10({static_cast<std::uint32_t>(trial), static_cast<std::uint32_t>(trial >> 32),
                     input.scope, static_cast<std::uint32_t>(input.kind)},
                    key_);
  // 53 bits, centred in their cells so that neither end is drawn.
  const std::uint64_t bits = ((std::uint64_t{words[0]} << 32) | words[1]) >> 12;
  return (static_cast<double>(bits) + 0.5) * 0x1p-52;
}

double Draws::normal(const radiometry::Input& input, std::uint64_t trial, double u) const {
  return u > 0 ? u * quantile(uniform(input, trial)) : 0;
}

double Draws::truncated(const radiometry::Input& input, std::uint64_t trial, double mean, double u,
                        double low, double high) const {
  if (!(u > 0)) return mean;
  const double to_low = (low - mean) / u;
  const double to_high = (high - mean) / u;
  const double p_low = to_low < -kFarTail ? 0 : below(to_low);
  const double p_high = to_high > kFarTail ? 1 : below(to_high);
  const double drawn = mean + u * quantile(p_low + (p_high - p_low) * uniform(input, trial));
  return std::clamp(drawn, low, high);
}

}  // namespace ohmglow::assessment
