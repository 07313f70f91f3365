// Like joints held against each other; uncertainties by the rule of JCGM 100 against numerical
// derivatives.
#include "ohmglow/electrical.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace ohmglow;
using namespace ohmglow::electrical;

namespace {

PerPhase<Ohm> joints(double a, double b, double c) {
  return {Ohm{a}, Ohm{b}, Ohm{c}};
}

}  // namespace

TEST_CASE("of three joints the highest is named, over the lowest and over the mean of the others") {
  // By hand: 90 over 40 is 125 % more; over (40 + 50)/2 it is 45.
  const auto found =
      compare_joints(joints(40e-6, 90e-6, 50e-6), default_meter(Test::joint_resistance));
  REQUIRE(found);
  CHECK(found->phase == Phase::two);
  CHECK(found->excess.value() == Approx(45e-6).margin(1e-15));
  CHECK(found->over_lowest.value() == Approx(125).margin(1e-9));
}

TEST_CASE("the uncertainties of a comparison of joints are those of numerical derivatives") {
  const Meter meter{Percent{2}, 1e-6, 0.5e-6};
  const std::array<double, 3> x{40e-6, 90e-6, 50e-6};
  const auto at = [](const std::array<double, 3>& v) {
    return *compare_joints(joints(v[0], v[1], v[2]), Meter{Percent{0}, 0.0});
  };
  double excess = 0;
  double over_lowest = 0;
  for (std::size_t i = 0; i < 3; ++i) {
    const double u = reading_u(x.at(i), 90e-6, meter);
    auto up = x;
    auto down = x;
    const double h = 1e-6 * x.at(i);
    up.at(i) += h;
    down.at(i) -= h;
    excess += std::pow((at(up).excess - at(down).excess).value() / (2 * h) * u, 2);
    over_lowest += std::pow((at(up).over_lowest - at(down).over_lowest).value() / (2 * h) * u, 2);
  }
  const auto found = compare_joints(joints(x[0], x[1], x[2]), meter);
  REQUIRE(found);
  CHECK(found->excess_u.value() == Approx(std::sqrt(excess)).epsilon(1e-4));
  CHECK(found->over_lowest_u.value() == Approx(std::sqrt(over_lowest)).epsilon(1e-4));
}

TEST_CASE("a joint that is not above zero is an error that names what was found") {
  // No source: leads or tips that short.
  for (const double bad : {0.0, -1e-6, std::numeric_limits<double>::infinity()}) {
    const auto found = compare_joints(joints(40e-6, bad, 50e-6), default_meter(Test::joint_drop));
    REQUIRE_FALSE(found);
    CHECK(found.error().kind == ErrorKind::invalid_value);
    CHECK(sentence(found.error()).find("above zero") != std::string::npos);
  }
}

TEST_CASE("what is not known of a two-wire meter's leads adds to each reading") {
  // In squares (JCGM 100, 5.1.2): 3 % of 1 and 0.04 are 0.05.
  CHECK(reading_u(1, 1, Meter{Percent{3}, 0.0, 0.04}) == Approx(0.05).margin(1e-12));
  CHECK(reading_u(1, 1, Meter{Percent{0}, 0.0, 0.04}) == Approx(0.04).margin(1e-12));
}
