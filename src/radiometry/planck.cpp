#include "radiometry/planck.h"

#include "ohmglow/radiometry.h"
#include "radiometry/constants.h"

#include <array>
#include <cmath>
#include <limits>
#include <numbers>

namespace ohmglow::radiometry {
namespace {

/// ∫ from 0 to infinity of u³/(e^u - 1) du = π⁴/15 (Riemann ζ(4) Γ(4)).
constexpr double kWholeIntegral =
    std::numbers::pi * std::numbers::pi * std::numbers::pi * std::numbers::pi / 15;

/// Below this argument the power series takes over: the exponential one would need ever more terms,
/// and a narrow band of two large tails would be lost in their difference.
constexpr double kPowerSeriesBelow = 1.0;

/// Bernoulli numbers B2, B4, … B20 (Abramowitz & Stegun, table 23.2). With x ≤ 1 the term after
/// the last is below 1e-16.
constexpr std::array<double, 10> kBernoulli{1.0 / 6,       -1.0 / 30,      1.0 / 42, -1.0 / 30,
                                            5.0 / 66,      -691.0 / 2730,  7.0 / 6,  -3617.0 / 510,
                                            43867.0 / 798, -174611.0 / 330};

/// ∫ from 0 to x, x < 1: x/(e^x - 1) = Σ B_n xⁿ/n! (Abramowitz & Stegun 23.1.1), times x²,
/// termwise.
double planck_head(double x) {
  double sum = 1.0 / 3 - x / 8;
  double power = 1;  // x^2k / (2k)!
  for (std::size_t k = 1; k <= kBernoulli.size(); ++k) {
    const double order = 2 * static_cast<double>(k);
    power *= x * x / (order * (order - 1));
    sum += kBernoulli[k - 1] * power / (order + 3);
  }
  return x * x * x * sum;
}

/// Σ e^(-nx) (x³/n + 3x²/n² + 6x/n³ + 6/n⁴), Chang & Rhee (1984).
double exponential_series(double x) {
  const double step = std::exp(-x);
  double decay = 1;
  double sum = 0;
  for (double n = 1; n < 1000; ++n) {
    decay *= step;
    const double inverse = 1 / n;
    const double term =
        decay * inverse * (x * x * x + inverse * (3 * x * x + inverse * (6 * x + inverse * 6)));
    sum += term;
    if (term <= sum * (std::numeric_limits<double>::epsilon() / 8)) break;
  }
  return sum;
}

/// x⁴/(e^x - 1), which the derivative of the integral to ln T is made of.
double edge(double x) {
  return x * x * x * x / std::expm1(x);
}

}  // namespace

double planck_tail(double x) {
  return x < kPowerSeriesBelow ? kWholeIntegral - planck_head(x) : exponential_series(x);
}

double planck_integral(double low, double high) {
  if (high < kPowerSeriesBelow) return planck_head(high) - planck_head(low);
  return planck_tail(low) - planck_tail(high);
}

BandValue band_value(Micrometre from, Micrometre to, Kelvin t) {
  const double c2_over_t = kSecond_m_k * kMicrometresPerMetre / t.value();
  const double low = c2_over_t / to.value();
  const double high = c2_over_t / from.value();
  const double t_over_c2 = t.value() / kSecond_m_k;
  const double scale = kFirstRadiance_w_m2_sr * t_over_c2 * t_over_c2 * t_over_c2 * t_over_c2;
  const double integral = planck_integral(low, high);
  return {scale * integral, scale / t.value() * (4 * integral + edge(low) - edge(high))};
}

double blackbody_fraction(double wavelength_temperature_um_k) {
  if (!(wavelength_temperature_um_k > 0)) return 0;
  const double x = kSecond_m_k * kMicrometresPerMetre / wavelength_temperature_um_k;
  return planck_tail(x) / kWholeIntegral;
}

}  // namespace ohmglow::radiometry
