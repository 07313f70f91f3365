#pragma once
/// Planck's law integrated over a band, to about 1e-13 of the result.

#include "ohmglow/quantity.h"

namespace ohmglow::radiometry {

/// ∫ from x to infinity of u³/(e^u - 1) du, x ≥ 0. At 0 it is π⁴/15.
[[nodiscard]] double planck_tail(double x);

/// ∫ from `low` to `high` of u³/(e^u - 1) du, 0 ≤ low ≤ high.
[[nodiscard]] double planck_integral(double low, double high);

/// A blackbody's radiance in a flat band, W/(m² sr), and its derivative to temperature.
struct BandValue {
  double radiance;
  double slope;
};
[[nodiscard]] BandValue band_value(Micrometre from, Micrometre to, Kelvin t);

}  // namespace ohmglow::radiometry
