#include "ohmglow/severity.h"

#include <array>
#include <catch2/catch.hpp>
#include <limits>
#include <vector>

using namespace ohmglow;
using namespace ohmglow::severity;

namespace {

/// Results of a few operations in double precision.
constexpr double kRounding = 1e-12;
/// The computed values have three decimals.
constexpr double kPrinted = 6e-4;

std::optional<Projection> projected(double rise, double load, double rated) {
  return project_rise(KelvinDifference{rise}, Ampere{load}, Ampere{rated});
}

}  // namespace

TEST_CASE("a rise is projected to rated load with three exponents") {
  // ΔT2 = ΔT1 (I2/I1)^n with n = 1.9, 1.7 and 2.1 (Python). A lug in still air with radiation, its
  // conductors attached and a metallic contact gives 1.70 to 2.18.
  const auto p = projected(12, 50, 100);
  REQUIRE(p);
  CHECK(p->low.value() == Approx(38.988).epsilon(0).margin(kPrinted));
  CHECK(p->rise.value() == Approx(44.786).epsilon(0).margin(kPrinted));
  CHECK(p->high.value() == Approx(51.445).epsilon(0).margin(kPrinted));
  const auto q = projected(5, 40, 100);
  CHECK(q->low.value() == Approx(23.739).epsilon(0).margin(kPrinted));
  CHECK(q->high.value() == Approx(34.249).epsilon(0).margin(kPrinted));
}

TEST_CASE("from forty per cent of load the factor is 4.75 to 6.85") {
  // Computed: 2.5^1.7 and 2.5^2.1.
  const auto p = projected(1, 0.4, 1);
  CHECK(p->low.value() == Approx(4.748).epsilon(0).margin(5e-4));
  CHECK(p->high.value() == Approx(6.850).epsilon(0).margin(5e-4));
}

TEST_CASE("above rated load the projection goes down and its ends stay in order") {
  // 20 K at 90 A to 60 A with n = 1.8 is 9.640 K (computed), between the ends 1.7 and 2.1.
  const auto p = projected(20, 90, 60);
  CHECK(p->low < p->rise);
  CHECK(p->rise < p->high);
  CHECK(p->low.value() < 9.640);
  CHECK(p->high.value() > 9.640);
  const auto cold = projected(-3, 50, 100);
  CHECK(cold->low < cold->high);
}

TEST_CASE("at rated load a rise is what it is") {
  const auto p = projected(7.5, 42, 42);
  CHECK(p->low.value() == 7.5);
  CHECK(p->rise.value() == 7.5);
  CHECK(p->high.value() == 7.5);
}

TEST_CASE("without a current there is no projection") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK_FALSE(projected(5, 0, 100));
  CHECK_FALSE(projected(5, -3, 100));
  CHECK_FALSE(projected(5, nan, 100));
  CHECK_FALSE(projected(5, 40, 0));
  CHECK_FALSE(projected(5, 1e-300, 100));
}

TEST_CASE("the relative difference of hot, like and air temperatures") {
  // DL/T 664 formula (from memory): hot 62, like 42, air 32 °C give 66.667 % (computed).
  const auto d = relative_difference(Celsius{62} - Celsius{42}, Celsius{62} - Celsius{32});
  REQUIRE(d);
  CHECK(100 * *d == Approx(66.667).epsilon(0).margin(kPrinted));
  CHECK_FALSE(relative_difference(KelvinDifference{5}, KelvinDifference{0}));
  CHECK_FALSE(relative_difference(KelvinDifference{5}, KelvinDifference{-2}));
}

TEST_CASE("heat that follows the squares of the currents has no spread when balanced") {
  // Joule: the rises of like joints go with I². Currents 100, 92, 108 A, mean 100 A.
  const auto lugs = [](double extra_k) {
    std::vector<LoadedRise> result;
    for (const double load : {100.0, 92.0, 108.0})
      result.push_back({KelvinDifference{20 * (load / 100) * (load / 100)}, Ampere{load}});
    result[1].over_air = result[1].over_air + KelvinDifference{extra_k};
    return result;
  };
  CHECK(balanced_spread(lugs(0), Ampere{100})->value() == Approx(0).epsilon(0).margin(1e-12));
  CHECK(balanced_spread(lugs(8.464), Ampere{100})->value() == Approx(10).epsilon(kRounding));
}

TEST_CASE("the air that all three lugs warm takes a smaller power of the currents") {
  // Rises that go with the current itself leave nothing at n = 1, and 108/100·20 − 92/100·20
  // undivided.
  std::vector<LoadedRise> lugs;
  for (const double load : {100.0, 92.0, 108.0})
    lugs.push_back({KelvinDifference{20 * load / 100}, Ampere{load}});
  CHECK(balanced_spread(lugs, Ampere{100}, 1)->value() == Approx(0).epsilon(0).margin(1e-12));
  CHECK(balanced_spread(lugs, Ampere{100}, 0)->value() == Approx(3.2).epsilon(kRounding));
}

TEST_CASE("heat is not balanced without every current") {
  const std::vector<LoadedRise> two{{KelvinDifference{10}, Ampere{50}},
                                    {KelvinDifference{20}, Ampere{0}}};
  CHECK_FALSE(balanced_spread(two, Ampere{50}));
  CHECK_FALSE(balanced_spread({{KelvinDifference{10}, Ampere{50}}}, Ampere{50}));
  CHECK_FALSE(balanced_spread(
      {{KelvinDifference{10}, Ampere{50}}, {KelvinDifference{20}, Ampere{50}}}, Ampere{0}));
}
