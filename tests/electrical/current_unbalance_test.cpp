// Symmetrical components (Fortescue 1918; textbook): a motor of impedances Z1 at its load and Z2 on
// voltages of a positive and a negative sequence, solved in phasors here.
#include "offered/electrical/current_unbalance.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <complex>
#include <numbers>

using namespace ohmglow;
using namespace ohmglow::electrical;

namespace {

using Phasor = std::complex<double>;
const Meter kExact{Percent{0}, 0.0};

Phasor turned(double degrees) {
  return std::polar(1.0, degrees * std::numbers::pi / 180);
}

// Magnitudes of a + b with opposite phase order.
std::array<double, 3> magnitudes(Phasor positive, Phasor negative) {
  std::array<double, 3> m{};
  for (int k = 0; k < 3; ++k) {
    m.at(static_cast<std::size_t>(k)) =
        std::abs(positive * turned(-120.0 * k) + negative * turned(120.0 * k));
  }
  return m;
}

PerPair<Volt> volts(const std::array<double, 3>& v) {
  return {Volt{v[0]}, Volt{v[1]}, Volt{v[2]}};
}

}  // namespace

TEST_CASE("phasors of a motor whose Z2 is its locked-rotor impedance lie in the expected range") {
  // 400 V, 100 A at full load, 650 A with the rotor locked, any angle between the sequences.
  const double u2 = 0.02;
  for (double angle = 0; angle < 360; angle += 15) {
    const auto voltages = magnitudes(400, 400 * u2 * turned(angle));
    const auto currents = magnitudes(100, 650 * u2 * turned(angle - 40));
    const auto expected = expected_current_unbalance(volts(voltages), kExact,
                                                     {Ampere{100}, Ampere{650}}, Ampere{100});
    REQUIRE(expected);
    CHECK(expected->from_locked_rotor);
    const double measured = unbalance(currents)->value();
    CHECK(measured >= expected->low.value());
    CHECK(measured <= expected->high.value());
    CHECK_FALSE(remainder_of(Percent{measured}, Percent{0.1}, *expected).significant);
  }
}

TEST_CASE("without the locked-rotor current the six to ten times of NEMA MG 1 stand in") {
  // NEMA MG 1 (secondary text): current unbalance is about 6 to 10 times that of the voltages. An
  // example of plant literature (secondary text): 2.5 % of voltage and about 28 % of current, which
  // the rule's upper end of 25 % all but reaches.
  const auto expected =
      expected_current_unbalance({Volt{460}, Volt{467}, Volt{450}}, kExact, {}, Ampere{80});
  REQUIRE(expected);
  CHECK(expected->low.value() == Approx(6 * 1.960784).epsilon(1e-6));
  CHECK(expected->high.value() == Approx(10 * 1.960784).epsilon(1e-6));
  CHECK_FALSE(expected->from_locked_rotor);
}

TEST_CASE("at half load the same voltages make twice the current unbalance") {
  // I2 = V2/Z2 does not know the load.
  const PerPair<Volt> v{Volt{400}, Volt{395}, Volt{388}};
  for (const std::optional<Ampere> locked : {std::optional<Ampere>{}, std::optional(Ampere{600})}) {
    const MotorRating motor{Ampere{100}, locked};
    const auto full = expected_current_unbalance(v, kExact, motor, Ampere{100});
    const auto half = expected_current_unbalance(v, kExact, motor, Ampere{50});
    CHECK(half->high.value() == Approx(2 * full->high.value()));
    CHECK(half->low.value() == Approx(2 * full->low.value()));
  }
}

TEST_CASE("only what exceeds the expectation by twice its uncertainty is left for the circuit") {
  const ExpectedUnbalance expected{Percent{6}, Percent{10}, Percent{0.6}, false};
  const Remainder much = remainder_of(Percent{14}, Percent{0.8}, expected);
  CHECK(much.value.value() == Approx(4));
  CHECK(much.u.value() == Approx(1.0));
  CHECK(much.significant);
  CHECK_FALSE(remainder_of(Percent{11.5}, Percent{0.8}, expected).significant);
  CHECK(remainder_of(Percent{3}, Percent{0.8}, expected).value == Percent{0});
}

TEST_CASE("balanced voltages explain no current unbalance") {
  const auto expected =
      expected_current_unbalance({Volt{400}, Volt{400}, Volt{400}}, kExact, {}, Ampere{80});
  CHECK(expected->high.value() == Approx(0).margin(1e-12));
  CHECK_FALSE(expected_current_unbalance({Volt{400}, Volt{400}, Volt{400}}, kExact, {}, Ampere{0}));
  CHECK_FALSE(expected_current_unbalance({Volt{400}, Volt{100}, Volt{100}}, kExact, {}, Ampere{9}));
}
