#include "ohmglow/electrical.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::electrical {

Result<JointExcess> compare_joints(const PerPhase<Ohm>& joints, const Meter& meter) {
  const auto [lowest, highest] = std::minmax_element(joints.begin(), joints.end());
  if (!(lowest->value() > 0) || !std::isfinite(highest->value())) {
    return fail(Error{.what = "the resistance of a joint is above zero",
                      .found = plainly(resistance(*lowest)),
                      .expected = "a finite number above 0 Ω",
                      .mend = "measure this joint again"});
  }
  const auto phase = static_cast<std::size_t>(highest - joints.begin());
  const double high = highest->value();
  const double low = lowest->value();
  const auto u = [&](std::size_t i) { return reading_u(joints.at(i).value(), high, meter); };
  const std::size_t a = (phase + 1) % 3;
  const std::size_t b = (phase + 2) % 3;
  // The quotient's u by linear propagation (JCGM 100, 5.1.6); the lowest's own u is that of `low`.
  const double ratio_u =
      high / low * std::hypot(u(phase) / high, reading_u(low, high, meter) / low);
  return JointExcess{.phase = kPhases.at(phase),
                     .excess = *highest - (joints.at(a) + joints.at(b)) * 0.5,
                     .excess_u = Ohm{std::hypot(u(phase), u(a) / 2, u(b) / 2)},
                     .over_lowest = Percent{100 * (high / low - 1)},
                     .over_lowest_u = Percent{100 * ratio_u}};
}

}  // namespace ohmglow::electrical
