// Responses and calibrations against flat bands, against each other, and against what cannot be.

#include "ohmglow/radiometry.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace ohmglow;
using namespace ohmglow::radiometry;

namespace {

/// The table's own promise.
constexpr double kInterpolation_k = 1e-3;
/// Quadrature of a response against the series of a flat band: both far below the table's error.
constexpr double kQuadrature = 1e-9;

SpectralResponse response(const std::vector<std::pair<double, double>>& points) {
  SpectralResponse result;
  result.file = "lens.csv";
  for (const auto& [um, value] : points) result.points.push_back({Micrometre{um}, value});
  return result;
}

}  // namespace

TEST_CASE("a response of one from 8 to 14 µm is the flat band") {
  // Own law: the same integral by Gauss-Legendre nodes and by the series.
  SpectralResponse fine;
  for (int i = 0; i <= 600; ++i) fine.points.push_back({Micrometre{8 + 0.01 * i}, 1});
  for (const SpectralResponse& flat : {response({{8, 1}, {14, 1}}), fine}) {
    const auto band = BandRadiance::for_response(flat);
    REQUIRE(band);
    for (double t = -60; t <= 1500; t += 7.3) {
      CAPTURE(t);
      CHECK(band->radiance(Celsius{t})->value() ==
            Approx(long_wave().radiance(Celsius{t})->value()).epsilon(kQuadrature));
      CHECK(band->slope(Celsius{t}) == Approx(long_wave().slope(Celsius{t})).epsilon(kQuadrature));
    }
  }
}

TEST_CASE("a response counts by its shape, not by its scale or by points without response") {
  // Own law: the balance is homogeneous in the radiances.
  const auto once = BandRadiance::for_response(response({{8, .4}, {10, 1}, {13.5, .7}}));
  const auto scaled = BandRadiance::for_response(
      response({{3, 0}, {8, 0}, {8.0000001, 40}, {10, 100}, {13.5, 70}, {13.5000001, 0}, {20, 0}}));
  REQUIRE(once);
  REQUIRE(scaled);
  constexpr double kSteepEdges = 1e-6;
  for (double t = -60; t <= 1500; t += 31)
    CHECK(scaled->radiance(Celsius{t})->value() ==
          Approx(once->radiance(Celsius{t})->value()).epsilon(kSteepEdges));
}

TEST_CASE("the inverse of a response and of a calibration undoes them") {
  // Own law.
  const auto bell = BandRadiance::for_response(response({{7, 0}, {10, 1}, {14.5, 0}}));
  const auto fitted = BandRadiance::from_sakuma_hattori({9.335907, 178.7685, 6815.4168});
  for (const auto& band : {bell, fitted}) {
    REQUIRE(band);
    for (double t = -60; t <= 1500; t += 0.77)
      CHECK(band->temperature(*band->radiance(Celsius{t}))->value() ==
            Approx(t).epsilon(0).margin(1e-9));
  }
}

TEST_CASE("a calibration's table is within a millikelvin of its equation") {
  // Sakuma-Hattori, Planckian form (BIPM CCT-WG5, 2008), inverted by hand: T = c2/(A ln(C/S+1)) −
  // B/A.
  constexpr double kC2_um_k = 14387.76877504;
  const SakumaHattori fit{8.748128, 173.0868, 8762.8149};
  const auto band = BandRadiance::from_sakuma_hattori(fit);
  REQUIRE(band);
  for (double t = -60; t <= 1500; t += 3.31) {
    const double s = band->radiance(Celsius{t})->value();
    const double by_hand_k =
        kC2_um_k / (fit.a_um * std::log(fit.c / s + 1)) - fit.b_um_k / fit.a_um;
    CAPTURE(t);
    CHECK(by_hand_k - 273.15 == Approx(t).epsilon(0).margin(kInterpolation_k));
  }
}

TEST_CASE("a response or calibration that cannot be is refused with what was found") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const auto& bad :
       {response({}), response({{8, 1}}), response({{8, 1}, {8, 1}}), response({{9, 1}, {8, 1}}),
        response({{0, 1}, {8, 1}}), response({{8, -1}, {9, 1}}), response({{8, nan}, {9, 1}}),
        response({{8, 0}, {9, 0}}), response({{nan, 1}, {9, 1}}), response({{0.1, 1}, {0.2, 1}})}) {
    const auto refused = BandRadiance::for_response(bad);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().kind == ErrorKind::invalid_value);
    CHECK_FALSE(refused.error().found.empty());
  }
  SpectralResponse long_one;
  for (std::size_t i = 0; i <= BandRadiance::kMostResponsePoints; ++i)
    long_one.points.push_back({Micrometre{8 + 0.001 * static_cast<double>(i)}, 1});
  CHECK(BandRadiance::for_response(long_one).error().kind == ErrorKind::too_large);
  for (const SakumaHattori& bad :
       {SakumaHattori{0, 1, 1}, SakumaHattori{9, -3000, 1}, SakumaHattori{9, 1, 0},
        SakumaHattori{nan, 1, 1}, SakumaHattori{9, 1, std::numeric_limits<double>::infinity()}}) {
    const auto refused = BandRadiance::from_sakuma_hattori(bad);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().kind == ErrorKind::invalid_value);
  }
}

TEST_CASE("each of the three ways to name a band makes its table and its words") {
  CHECK(BandRadiance::of(FlatBand{})->radiance(Celsius{20}) == long_wave().radiance(Celsius{20}));
  CHECK(
      BandRadiance::of(FlatBand{Micrometre{7.5}, Micrometre{13}})->radiance(Celsius{20})->value() ==
      Approx(45.9675801).epsilon(6e-9));  // scipy quadrature, see tests/reference
  CHECK(BandRadiance::of(SakumaHattori{9.335907, 178.7685, 6815.4168}));
  CHECK(plainly(text_of(FlatBand{})) == "8 to 14 µm, flat");
  CHECK(plainly(text_of(response({{7.5, 0}, {14, 1}}))) ==
        "the response of lens.csv, 7.5 to 14 µm");
  CHECK(plainly(text_of(SakumaHattori{9.5, 178, 6815})).find("A = 9.5 µm") != std::string::npos);
}
