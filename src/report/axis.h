#pragma once
/// A linear axis with round numbers on it.

#include <vector>

namespace ohmglow::report {

/// 1, 2 or 5 times a power of ten, so that `span` holds about `count` steps.
[[nodiscard]] double round_step(double span, int count);

/// From values to a drawing's coordinate; `at_low` and `at_high` may run either way.
struct Axis {
  double low = 0;
  double high = 1;
  double at_low = 0;
  double at_high = 1;
  double step = 1;

  [[nodiscard]] double at(double value) const;
  /// Multiples of the step from low to high, both included where they are one.
  [[nodiscard]] std::vector<double> ticks() const;
  /// Decimals that tell two ticks apart.
  [[nodiscard]] int places() const;
};

}  // namespace ohmglow::report
