// Camera bands and calibrations against published coefficients and scipy.

#include "../python.h"
#include "offered/radiometry/calibration.h"
#include "ohmglow/radiometry.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <string>
#include <vector>

using namespace ohmglow;
using namespace ohmglow::radiometry;

TEST_CASE("a fit to band radiances leaves the computed residuals") {
  // Form: BIPM CCT-WG5 (2008) (read). Greatest residual of a relative least squares fit from -20 to
  // 250 °C in steps of 5 K: computed with scipy, not by this project. Coefficients move together,
  // so that residuals are compared first.
  struct Row {
    double from_um;
    double to_um;
    double worst_k;
    double a_um;
    double b_um_k;
  };
  constexpr std::array<Row, 3> kRows{{{8, 14, .0053, 9.335907, 178.7685},
                                      {7.5, 14, .0042, 8.780096, 216.0066},
                                      {7.5, 13, .0047, 8.748128, 173.0868}}};
  constexpr double kLastDigit_k = 6e-5;  // printed to 0.1 mK
  constexpr double kPrinted = 1e-6;      // to seven digits
  for (const Row& row : kRows) {
    const auto band = BandRadiance::for_band(Micrometre{row.from_um}, Micrometre{row.to_um});
    std::vector<CalibrationPoint> points;
    for (double t = -20; t <= 250; t += 5)
      points.push_back({Celsius{t}, band->radiance(Celsius{t})->value(), std::nullopt});
    const auto fit = fit_sakuma_hattori(points);
    REQUIRE(fit);
    CAPTURE(row.from_um, row.to_um);
    CHECK(fit->worst_k == Approx(row.worst_k).epsilon(0).margin(kLastDigit_k));
    CHECK(fit->coefficients.a_um == Approx(row.a_um).epsilon(kPrinted));
    CHECK(fit->coefficients.b_um_k == Approx(row.b_um_k).epsilon(kPrinted));
  }
}

TEST_CASE("a noisy calibration is fitted as scipy.optimize.curve_fit does it") {
  // scipy.optimize.curve_fit with absolute_sigma, started from the published coefficients.
  const std::vector<double> numbers = numbers_from_python("calibration", R"py(
import numpy as np
from scipy import constants, optimize
c2 = constants.h * constants.c / constants.k * 1e6
def model(t, a, b, log_c):
    return np.exp(log_c) / np.expm1(c2 / (a * (t + 273.15) + b))
rng = np.random.default_rng(2008)
t = np.linspace(-20, 250, 28)
u = 0.002 * model(t, 9.335907, 178.7685, np.log(6815.4168)) + 0.01
s = model(t, 9.335907, 178.7685, np.log(6815.4168)) + u * rng.standard_normal(t.size)
p, cov = optimize.curve_fit(model, t, s, [9.3, 178, np.log(6815)], u, absolute_sigma=True,
                            xtol=1e-14, ftol=1e-14, gtol=1e-14, x_scale=[1, 100, 1], method='trf')
q, relative = optimize.curve_fit(model, t, s, [9.3, 178, np.log(6815)], s, absolute_sigma=False,
                                 xtol=1e-14, ftol=1e-14, gtol=1e-14, x_scale=[1, 100, 1], method='trf')
for row in zip(t, s, u):
    print(*map(repr, map(float, row)))
for best, c in ((p, cov), (q, relative)):
    chi = np.sum(((s - model(t, *best)) / (u if best is p else s))**2)
    c = np.diag([1, 1, np.exp(best[2])]) @ c @ np.diag([1, 1, np.exp(best[2])])
    print(*map(repr, map(float, [best[0], best[1], np.exp(best[2]), chi, *c.ravel()])))
)py");
  constexpr std::size_t kPoints = 28;
  constexpr std::size_t kResults = 13;
  REQUIRE(numbers.size() == 3 * kPoints + 2 * kResults);
  for (const bool weighed : {true, false}) {
    std::vector<CalibrationPoint> points;
    for (std::size_t i = 0; i < kPoints; ++i)
      points.push_back({Celsius{numbers[3 * i]}, numbers[3 * i + 1],
                        weighed ? std::optional(numbers[3 * i + 2]) : std::nullopt});
    const auto fit = fit_sakuma_hattori(points);
    REQUIRE(fit);
    const double* scipy = &numbers[3 * kPoints + (weighed ? 0 : kResults)];
    CAPTURE(weighed);
    // scipy's derivatives are differences; the three coefficients correlate by more than 0.99.
    constexpr double kCoefficient = 1e-4;
    constexpr double kCovariance = 1e-3;
    CHECK(fit->coefficients.a_um == Approx(scipy[0]).epsilon(kCoefficient));
    CHECK(fit->coefficients.b_um_k == Approx(scipy[1]).epsilon(kCoefficient));
    CHECK(fit->coefficients.c == Approx(scipy[2]).epsilon(kCoefficient));
    CHECK(fit->chi_square == Approx(scipy[3]).epsilon(1e-8));
    for (std::size_t i = 0; i < 3; ++i) {
      for (std::size_t j = 0; j < 3; ++j)
        CHECK(fit->covariance[i][j] == Approx(scipy[4 + 3 * i + j]).epsilon(kCovariance));
    }
  }
}

TEST_CASE("a table of a spectral response radiates what scipy integrates") {
  // scipy.integrate.quad over Planck's law with scipy.constants, numpy.interp between the points.
  const std::vector<std::pair<double, double>> lens{{7.2, 0},    {7.6, .31},  {8.4, .82},
                                                    {10.1, 1},   {11.9, .88}, {13.2, .55},
                                                    {14.3, .12}, {15.5, 0}};
  const std::vector<double> numbers = numbers_from_python("response", R"py(
import numpy as np
from scipy import constants, integrate
c1, c2 = 2 * constants.h * constants.c**2, constants.h * constants.c / constants.k
um = [7.2, 7.6, 8.4, 10.1, 11.9, 13.2, 14.3, 15.5]
response = [0, .31, .82, 1, .88, .55, .12, 0]
for t in (-60, -20, 0, 20, 45.5, 80, 150, 400, 1500):
    planck = lambda w: np.interp(w * 1e6, um, response) * c1 / w**5 / np.expm1(c2 / (w * (t + 273.15)))
    total = sum(integrate.quad(planck, a * 1e-6, b * 1e-6, epsabs=0, epsrel=1e-12)[0]
                for a, b in zip(um, um[1:]))
    print(t, repr(float(total)))
)py");
  REQUIRE(numbers.size() == 18);
  SpectralResponse table;
  for (const auto& [um, value] : lens) table.points.push_back({Micrometre{um}, value});
  const auto band = BandRadiance::for_response(table);
  REQUIRE(band);
  for (std::size_t i = 0; i < numbers.size(); i += 2) {
    CAPTURE(numbers[i]);
    CHECK(band->radiance(Celsius{numbers[i]})->value() == Approx(numbers[i + 1]).epsilon(1e-9));
  }
}

TEST_CASE("the published coefficients measure as the bands they were fitted to") {
  // Coefficients and their greatest deviations: computed with scipy over -20 to 250 °C.
  struct Row {
    double from_um;
    double to_um;
    SakumaHattori fit;
    double worst_k;
  };
  const std::array<Row, 3> rows{{{8, 14, {9.335907, 178.7685, 6815.4168}, .0053},
                                 {7.5, 14, {8.780096, 216.0066, 9178.4803}, .0042},
                                 {7.5, 13, {8.748128, 173.0868, 8762.8149}, .0047}}};
  constexpr double kTable_k = 1.2e-3;  // 1 mK of the table, 0.1 mK of the printed deviations
  for (const Row& row : rows) {
    const auto flat = BandRadiance::for_band(Micrometre{row.from_um}, Micrometre{row.to_um});
    const auto fitted = BandRadiance::of(row.fit);
    REQUIRE(fitted);
    for (double t = -20; t <= 250; t += 0.9) {
      CAPTURE(row.from_um, row.to_um, t);
      CHECK(flat->temperature(*fitted->radiance(Celsius{t}))->value() ==
            Approx(t).epsilon(0).margin(row.worst_k + kTable_k));
    }
  }
}
