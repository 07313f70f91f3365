#pragma once

namespace ohmglow::severity {

/// P(X < h) of a standard normal X.
[[nodiscard]] double normal_below(double h);

/// P(X < h and Y < k) of standard normal X, Y with a correlation in [-1, 1].
[[nodiscard]] double normal_below(double h, double k, double correlation);

}  // namespace ohmglow::severity
