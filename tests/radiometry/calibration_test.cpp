// The fit of a calibration: refusals, uncertainties and invariances. Published and scipy values are
// in tests/reference.

#include "offered/radiometry/calibration.h"

#include "ohmglow/radiometry.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace ohmglow;
using namespace ohmglow::radiometry;

namespace {

std::vector<CalibrationPoint> exact_points(const SakumaHattori& truth) {
  const auto band = BandRadiance::from_sakuma_hattori(truth);
  std::vector<CalibrationPoint> points;
  for (double t = 0; t <= 120; t += 10)
    points.push_back({Celsius{t}, band->radiance(Celsius{t})->value(), std::nullopt});
  return points;
}

Error refusal(const std::vector<CalibrationPoint>& points) {
  const auto fit = fit_sakuma_hattori(points);
  REQUIRE_FALSE(fit);
  return fit.error();
}

}  // namespace

TEST_CASE("exact points give back the equation that made them") {
  // Own law: round trip. The points come from a table within 1 µK of the equation.
  const SakumaHattori truth{9.335907, 178.7685, 6815.4168};
  const auto fit = fit_sakuma_hattori(exact_points(truth));
  REQUIRE(fit);
  CHECK(fit->worst_k < 1e-5);
  CHECK(fit->coefficients.a_um == Approx(truth.a_um).epsilon(1e-4));
  CHECK(fit->coefficients.b_um_k == Approx(truth.b_um_k).epsilon(1e-3));
  CHECK(fit->degrees_of_freedom == 10);
}

TEST_CASE("a signal in another unit changes C in proportion and no temperature") {
  // Own law: C is the signal's scale.
  const SakumaHattori truth{8.780096, 216.0066, 9178.4803};
  auto points = exact_points(truth);
  const auto once = fit_sakuma_hattori(points);
  for (CalibrationPoint& point : points) point.signal *= 1e4;
  const auto scaled = fit_sakuma_hattori(points);
  REQUIRE(once);
  REQUIRE(scaled);
  CHECK(temperature_of_signal(scaled->coefficients, 1e4 * 80)->value() ==
        Approx(temperature_of_signal(once->coefficients, 80)->value()).epsilon(0).margin(1e-4));
}

TEST_CASE("the standard uncertainties are the scatter of the coefficients over many calibrations") {
  // Own law (JCGM 100, 2.2.3): the spread of repeated fits to noisy points is what u says.
  const SakumaHattori truth{9.335907, 178.7685, 6815.4168};
  constexpr double kRelative = 1e-3;
  constexpr int kRepeats = 400;
  std::mt19937_64 random(7);
  std::normal_distribution<double> normal;
  const auto exact = exact_points(truth);
  double sum = 0;
  double squares = 0;
  double u = 0;
  double chi_square = 0;
  for (int i = 0; i < kRepeats; ++i) {
    auto points = exact;
    for (CalibrationPoint& point : points) {
      point.u_signal = kRelative * point.signal;
      point.signal *= 1 + kRelative * normal(random);
    }
    const auto fit = fit_sakuma_hattori(points);
    REQUIRE(fit);
    const double miss = fit->coefficients.a_um - truth.a_um;
    sum += miss;
    squares += miss * miss;
    u += fit->u[0] / kRepeats;
    chi_square += fit->chi_square / kRepeats;
  }
  const double spread = std::sqrt(squares / kRepeats - (sum / kRepeats) * (sum / kRepeats));
  // A spread of 400 repeats is itself known to 1/√800; the equation is slightly curved in A.
  CHECK(u == Approx(spread).epsilon(0.15));
  // Chi square is 10 on average, with a standard deviation of √20 each.
  CHECK(chi_square == Approx(10).epsilon(0).margin(4 * std::sqrt(20.0 / kRepeats)));
}

TEST_CASE("too few points, a signal that does not rise, and half a column are refused by name") {
  const SakumaHattori truth{9.335907, 178.7685, 6815.4168};
  auto few = exact_points(truth);
  few.resize(3);
  CHECK(refusal(few).kind == ErrorKind::missing);
  CHECK(refusal({}).kind == ErrorKind::missing);
  auto repeated = few;
  for (int i = 0; i < 5; ++i) repeated.push_back(few.front());
  CHECK(refusal(repeated).kind == ErrorKind::missing);

  auto falling = exact_points(truth);
  std::swap(falling[4].signal, falling[5].signal);
  const Error error = refusal(falling);
  CHECK(error.what.find("rise") != std::string::npos);
  CHECK(error.found.find("50.00 °C") != std::string::npos);

  auto dark = exact_points(truth);
  dark[0].signal = -2;
  CHECK(refusal(dark).mend.find("offset") != std::string::npos);
  auto half = exact_points(truth);
  half[3].u_signal = 0.1;
  CHECK(refusal(half).what.find("u_signal") != std::string::npos);
  auto exact = exact_points(truth);
  for (auto& point : exact) point.u_signal = 0;
  CHECK(refusal(exact).kind == ErrorKind::invalid_value);
}

TEST_CASE("points may come in any order, and repeats at one temperature count each") {
  const SakumaHattori truth{9.335907, 178.7685, 6815.4168};
  auto points = exact_points(truth);
  std::reverse(points.begin(), points.end());
  points.push_back(points.front());
  const auto fit = fit_sakuma_hattori(points);
  REQUIRE(fit);
  CHECK(fit->worst_k < 1e-5);
  CHECK(fit->residuals_k.size() == points.size());
}
