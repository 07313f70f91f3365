#pragma once
/// A camera's calibration points, and the Sakuma–Hattori coefficients that fit them.

#include "ohmglow/quantity.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

namespace ohmglow::radiometry {

/// The camera's signal for a blackbody of known temperature.
struct CalibrationPoint {
  Celsius temperature{0};
  double signal = 0;               ///< above 0, any unit, no offset
  std::optional<double> u_signal;  ///< standard uncertainty, above 0; given for all points or none
};

/// The temperature that a calibration gives a signal; absent for a signal that is not above 0.
[[nodiscard]] std::optional<Celsius> temperature_of_signal(const SakumaHattori& calibration,
                                                           double signal);

struct CalibrationFit {
  SakumaHattori coefficients;
  /// Of A (µm), B (µm K) and C (the signal's unit). From the points' own uncertainties where they
  /// are given, else from the scatter about the fit.
  std::array<std::array<double, 3>, 3> covariance{};
  std::array<double, 3> u{};        ///< standard uncertainties of A, B and C
  std::vector<double> residuals_k;  ///< temperature by the fit less the given one, per point
  double worst_k = 0;               ///< the largest of them, without its sign
  double rms_k = 0;
  double chi_square = 0;  ///< weighted; near degrees_of_freedom where the u_signal are true
  std::size_t degrees_of_freedom = 0;
};

/// Three coefficients are fitted, and at least one point more must hold them to account.
inline constexpr std::size_t kLeastCalibrationPoints = 4;
inline constexpr std::size_t kMostCalibrationPoints = 100'000;

/// Weighted least squares in the signal: by 1/u_signal², or, where none is given, by 1/signal²
/// (the same relative uncertainty for every point). Levenberg–Marquardt with analytic derivatives.
/// Errors: missing for fewer than kLeastCalibrationPoints different temperatures; too_large;
/// invalid_value for a signal that is not above 0 or does not rise with temperature, and for
/// uncertainties that are not above 0 or given for some points only; not_measurable where the fit
/// does not settle or its signal does not rise from -60 to 1500 °C.
[[nodiscard]] Result<CalibrationFit> fit_sakuma_hattori(
    const std::vector<CalibrationPoint>& points);

}  // namespace ohmglow::radiometry
