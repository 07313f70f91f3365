#include "../python.h"
#include "ohmglow/radiometry.h"
#include "radiometry/planck.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <vector>

using namespace ohmglow;
using namespace ohmglow::radiometry;

namespace {

/// Results of a few operations in double precision.
constexpr double kBandRounding = 1e-12;

struct Wavelengths {
  double from_um;
  double to_um;
};
constexpr std::array<Wavelengths, 4> kBands{{{8, 14}, {7.5, 13}, {3, 5}, {1.5, 1000}}};

BandRadiance band(const Wavelengths& w) {
  return BandRadiance::for_band(Micrometre{w.from_um}, Micrometre{w.to_um}).value();
}

}  // namespace

TEST_CASE("interpolation errs by less than a millikelvin from direct integration") {
  // scipy.integrate.quad over Planck's law with scipy.constants (CODATA 2018).
  constexpr double kMost_k = 1e-3;      // the promise of docs/method.md
  constexpr double kLongWave_k = 1e-6;  // what the nodes 1 K apart are meant to give there
  const std::vector<double> numbers = numbers_from_python("bands", R"py(
import numpy as np
from scipy import constants, integrate
c1, c2 = 2 * constants.h * constants.c**2, constants.h * constants.c / constants.k
rng = np.random.default_rng(70)
for low, high in ((8, 14), (7.5, 13), (3, 5), (1.5, 1000)):
    ts = np.concatenate([[-60, -59.5, 1499.5, 1500], rng.uniform(-60, 200, 120), rng.uniform(200, 1500, 60)])
    for t in ts:
        # In ln(wavelength): smooth for the widest band as well.
        f = lambda u: c1 * np.exp(-4 * u) / np.expm1(c2 / (np.exp(u) * (t + 273.15)))
        edges = np.linspace(np.log(low * 1e-6), np.log(high * 1e-6), 9)
        print(repr(float(t)), repr(float(sum(
            integrate.quad(f, a, b, epsabs=0, epsrel=1e-12)[0] for a, b in zip(edges, edges[1:])))))
)py");
  constexpr std::size_t kPerBand = 184;
  REQUIRE(numbers.size() == kBands.size() * kPerBand * 2);
  for (std::size_t b = 0; b < kBands.size(); ++b) {
    const BandRadiance table = band(kBands[b]);
    double worst_k = 0;
    for (std::size_t i = 0; i < kPerBand; ++i) {
      const double* row = &numbers[2 * (b * kPerBand + i)];
      const Celsius t{row[0]};
      const auto radiance = table.radiance(t);
      REQUIRE(radiance);
      worst_k = std::max(worst_k, std::abs(radiance->value() - row[1]) / table.slope(t));
    }
    CAPTURE(kBands[b].from_um, kBands[b].to_um, worst_k);
    CHECK(worst_k < (b == 0 ? kLongWave_k : kMost_k));
  }
}

TEST_CASE("the integral is accurate to 1e-12 where series meet and where little is left") {
  // scipy.integrate.quad of u³/(e^u - 1), which has no cancellation.
  constexpr double kRelative = 2e-12;  // quad's own epsrel is 1e-12
  const std::vector<double> numbers = numbers_from_python("integrals", R"py(
import numpy as np
from scipy import integrate
for low, high in ((.01, .02), (.5, .9), (.9, .999), (.999, 1.001), (.58, 1.02), (1, 1.01), (4.8, 8.5),
                  (20, 30), (.99, 50), (1e-3, 1)):
    print(low, high, repr(float(integrate.quad(lambda u: u**3 / np.expm1(u), low, high, epsabs=0, epsrel=1e-13)[0])))
)py");
  REQUIRE(numbers.size() == 30);
  for (std::size_t i = 0; i < numbers.size(); i += 3) {
    CAPTURE(numbers[i], numbers[i + 1]);
    // Beside the relative error of the difference stands the rounding of the whole, 6.5.
    CHECK(planck_integral(numbers[i], numbers[i + 1]) ==
          Approx(numbers[i + 2]).epsilon(kRelative).margin(5e-15));
  }
}

TEST_CASE("radiance rises strictly and its inverse leads back to the temperature") {
  // An inverse must undo its function; 1e-9 K is far below any use and far above rounding.
  constexpr double kRoundTrip_k = 1e-9;
  std::mt19937 random(7);
  std::uniform_real_distribution<double> anywhere(BandRadiance::kLowest.value(),
                                                  BandRadiance::kHighest.value());
  for (const Wavelengths& wavelengths : kBands) {
    const BandRadiance table = band(wavelengths);
    CAPTURE(wavelengths.from_um);
    double last = 0;
    bool rises = true;
    for (int i = 0; i <= 15600; ++i) {
      const double radiance = table.radiance(Celsius{-60 + 0.1 * i})->value();
      rises = rises && radiance > last;
      last = radiance;
    }
    CHECK(rises);
    double worst_k = 0;
    for (int i = 0; i < 20000; ++i) {
      const Celsius t{anywhere(random)};
      const auto back = table.temperature(*table.radiance(t));
      REQUIRE(back);
      worst_k = std::max(worst_k, std::abs((*back - t).value()));
    }
    CHECK(worst_k < kRoundTrip_k);
  }
}

TEST_CASE("the slope is the derivative of the radiance") {
  constexpr double kStep_k = 1e-3;
  constexpr double kRelative = 1e-7;  // rounding of the difference: 1e-16 · L / (L' · step)
  for (const double t : {-59.7, -10.25, 20.5, 80.75, 433.1, 1499.2}) {
    const double up = long_wave().radiance(Celsius{t + kStep_k})->value();
    const double down = long_wave().radiance(Celsius{t - kStep_k})->value();
    CHECK(long_wave().slope(Celsius{t}) == Approx((up - down) / (2 * kStep_k)).epsilon(kRelative));
  }
}

TEST_CASE("the table ends where it says and answers nothing beyond") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinity = std::numeric_limits<double>::infinity();
  CHECK(long_wave().radiance(BandRadiance::kLowest));
  CHECK(long_wave().radiance(BandRadiance::kHighest));
  for (const double t : {-60.001, 1500.001, nan, infinity, -infinity})
    CHECK_FALSE(long_wave().radiance(Celsius{t}));
  const double least = long_wave().radiance(BandRadiance::kLowest)->value();
  const double most = long_wave().radiance(BandRadiance::kHighest)->value();
  CHECK(long_wave().temperature(Radiance{least})->value() == Approx(-60).epsilon(kBandRounding));
  CHECK(long_wave().temperature(Radiance{most})->value() == Approx(1500).epsilon(kBandRounding));
  for (const double l :
       {std::nextafter(least, 0.0), std::nextafter(most, 1e9), 0.0, -1.0, nan, infinity, -infinity})
    CHECK_FALSE(long_wave().temperature(Radiance{l}));
}

TEST_CASE("a band that is none, or that no number can hold, is refused with both wavelengths") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinity = std::numeric_limits<double>::infinity();
  const std::vector<Wavelengths> wrong{{14, 8},     {8, 8},        {0, 14},    {-1, 14},
                                       {nan, 14},   {8, infinity}, {0.1, 0.2}, {8, 8.0000000000001},
                                       {1e-9, 1e-8}};
  for (const Wavelengths& w : wrong) {
    CAPTURE(w.from_um, w.to_um);
    const auto refused = BandRadiance::for_band(Micrometre{w.from_um}, Micrometre{w.to_um});
    REQUIRE_FALSE(refused);
    CHECK(refused.error().kind == ErrorKind::invalid_value);
    CHECK_FALSE(refused.error().found.empty());
  }
  const auto swapped = BandRadiance::for_band(Micrometre{14}, Micrometre{8});
  CHECK(sentence(swapped.error()).find("14.000 to 8.000 µm") != std::string::npos);
}

TEST_CASE("the share of a blackbody's radiation runs from nothing to all") {
  CHECK(blackbody_fraction(0) == 0);
  CHECK(blackbody_fraction(-5) == 0);
  CHECK(blackbody_fraction(std::numeric_limits<double>::infinity()) == Approx(1).epsilon(1e-15));
  double last = 0;
  for (double um_k = 200; um_k < 2e5; um_k *= 1.01) {
    const double share = blackbody_fraction(um_k);
    CHECK(share > last);
    last = share;
  }
}
