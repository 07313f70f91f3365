#pragma once
/// Constants of nature, each with its unit, value and source; none stands inside a formula.

namespace ohmglow::radiometry {

/// Planck constant, J s. Exact: SI Brochure, 9th ed. (2019), 2.2; CODATA 2018.
inline constexpr double kPlanck_j_s = 6.62607015e-34;
/// Speed of light in vacuum, m/s. Exact: SI Brochure, 9th ed. (2019), 2.2; CODATA 2018.
inline constexpr double kLight_m_s = 299792458.0;
/// Boltzmann constant, J/K. Exact: SI Brochure, 9th ed. (2019), 2.2; CODATA 2018.
inline constexpr double kBoltzmann_j_k = 1.380649e-23;

/// First radiation constant for spectral radiance, 2hc², W m²/sr. From the three above.
inline constexpr double kFirstRadiance_w_m2_sr = 2 * kPlanck_j_s * kLight_m_s * kLight_m_s;
/// Second radiation constant, hc/k, m K. From the three above.
inline constexpr double kSecond_m_k = kPlanck_j_s * kLight_m_s / kBoltzmann_j_k;

/// One metre, in micrometres.
inline constexpr double kMicrometresPerMetre = 1e6;

}  // namespace ohmglow::radiometry
