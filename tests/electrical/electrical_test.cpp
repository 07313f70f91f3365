#include "ohmglow/electrical.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace ohmglow;
using namespace ohmglow::electrical;

namespace {

// Sums and quotients of a few doubles.
constexpr double kRounding = 1e-12;

PerPair<Ohm> pairs(double r12, double r23, double r31) {
  return {Ohm{r12}, Ohm{r23}, Ohm{r31}};
}

// What a meter reads on three delta windings with a resistance in each line lead.
PerPair<Ohm> delta_read(std::array<double, 3> w, std::array<double, 3> lead) {
  const auto parallel = [](double a, double b) { return a * b / (a + b); };
  return pairs(parallel(w[0], w[1] + w[2]) + lead[0] + lead[1],
               parallel(w[1], w[2] + w[0]) + lead[1] + lead[2],
               parallel(w[2], w[0] + w[1]) + lead[2] + lead[0]);
}

}  // namespace

TEST_CASE("an unbalance needs a mean above zero") {
  // The quotient has no meaning otherwise (NEMA MG 1 definition).
  CHECK_FALSE(unbalance({0, 0, 0}));
  CHECK_FALSE(unbalance({-1, -2, -3}));
  CHECK_FALSE(unbalance({1, 2, std::numeric_limits<double>::quiet_NaN()}));
  CHECK_FALSE(unbalance({1, 2, std::numeric_limits<double>::infinity()}));
  CHECK(unbalance({0, 5, 5})->value() == Approx(100).margin(kRounding));
}

TEST_CASE("near balance the negative sequence is exact instead of rounding noise") {
  // From V1 = 1, V2 = e: with the lines 1+e, 1−e/2, 1−e/2 to first order u2 = e (expansion of the
  // phasors); the plain formula in double loses everything below about 1e-6 %.
  for (const double e : {1e-6, 1e-9, 1e-12}) {
    const double line = 1 + e;
    const double kept = line - 1;  // what of e survives in the sum
    const auto u2 = negative_sequence({Volt{line}, Volt{1 - kept / 2}, Volt{1 - kept / 2}});
    REQUIRE(u2);
    CHECK(u2->value() == Approx(100 * kept).epsilon(1e-3));
  }
}

TEST_CASE("three voltages that close no triangle have no negative sequence") {
  // Line voltages of a three-wire system add to zero (Kirchhoff).
  CHECK_FALSE(negative_sequence({Volt{100}, Volt{40}, Volt{50}}));
  CHECK_FALSE(negative_sequence({Volt{0}, Volt{0}, Volt{0}}));
  CHECK_FALSE(negative_sequence({Volt{-400}, Volt{400}, Volt{400}}));
  CHECK(negative_sequence({Volt{100}, Volt{50}, Volt{50}})->value() == Approx(100));
  CHECK(negative_sequence({Volt{400}, Volt{400}, Volt{0}})->value() == Approx(100));
}

TEST_CASE("the derating factor is linear between its points and absent for no unbalance at all") {
  // The read-off is a table; between two of its rows the mean of both holds (house rule).
  CHECK(*derating_factor(Percent{2.25}) == Approx(0.94).margin(kRounding));
  CHECK(*derating_factor(Percent{0.75}) == Approx(0.995).margin(kRounding));
  CHECK(*derating_factor(Percent{1.25}) == Approx(0.98).margin(kRounding));
  CHECK_FALSE(derating_factor(Percent{-0.1}));
  CHECK_FALSE(derating_factor(Percent{std::numeric_limits<double>::quiet_NaN()}));
}

TEST_CASE("a common temperature correction leaves the unbalance as it is") {
  // The factor cancels in the quotient; a difference of 1 °C between pairs would make 0.39 % of
  // copper at 20 °C.
  const auto at = [](double r) {
    return refer_resistance(Ohm{r}, Celsius{18}, Celsius{25}).value();
  };
  CHECK(unbalance({at(.520), at(.512), at(.508)})->value() ==
        Approx(unbalance({.520, .512, .508})->value()).margin(kRounding));
  CHECK(100 * (refer_resistance(Ohm{1}, Celsius{20}, Celsius{21}).value() - 1) ==
        Approx(0.39).margin(0.005));
}

TEST_CASE("the phase common to the two high pairs is named") {
  // Kirchhoff: a joint in lead k adds to both pairs that touch k and to no other.
  const double x = 0.02;
  const auto on1 = resolve(pairs(1 + x, 1, 1 + x), Connection::wye);
  const auto on2 = resolve(pairs(1 + x, 1 + x, 1), Connection::unknown);
  const auto on3 = resolve(pairs(1, 1 + x, 1 + x), Connection::delta);
  CHECK(on1->phase == Phase::one);
  CHECK(on2->phase == Phase::two);
  CHECK(on3->phase == Phase::three);
  for (const auto& resolved : {*on1, *on2, *on3}) {
    CHECK(resolved.excess.value() == Approx(x).margin(kRounding));
    CHECK(resolved.points_to == PointsTo::lead);
  }
  CHECK_FALSE(on1->windings);
  CHECK_FALSE(on2->windings);
  CHECK(on3->windings);
  CHECK(plainly(on3->note).find("lead they share") != std::string::npos);
}

TEST_CASE("an unknown connection names a phase only where wye and delta name the same lead") {
  // Circuit theory: one pair alone high is a low phase of a wye or a high winding of a delta.
  const auto both = resolve(pairs(1.02, 1, 1.02), Connection::unknown);
  CHECK(both->phase_agreed);
  CHECK(both->may_mean(Phase::one));
  CHECK_FALSE(both->may_mean(Phase::two));
  const auto torn = resolve(pairs(1.02, 1, 1), Connection::unknown);
  CHECK_FALSE(torn->phase_agreed);
  CHECK(torn->points_to == PointsTo::unclear);
  CHECK(torn->may_mean(Phase::one));
  CHECK(torn->may_mean(Phase::two));
  CHECK_FALSE(torn->may_mean(Phase::three));
  CHECK(plainly(torn->note).find("It may be either lead of pair 1-2") != std::string::npos);
  CHECK(resolve(pairs(1.02, 1, 1), Connection::wye)->phase_agreed);
}

TEST_CASE("a wye shows half its leg unbalance in the pairs") {
  // Two legs in series make a pair: (R + x − mean of legs)/R against (x/3)/(2R).
  const auto r = resolve(pairs(1.00, 1.02, 1.01), Connection::wye);
  CHECK(r->leg_unbalance.value() == Approx(2 * r->pair_unbalance.value()).margin(1e-9));
}

TEST_CASE("one high winding of a delta points into the winding, one high lead to the lead") {
  // The readings are made by series and parallel connection of the windings.
  const auto winding = resolve(delta_read({1, 1.05, 1}, {0, 0, 0}), Connection::delta);
  REQUIRE(winding);
  CHECK(winding->points_to == PointsTo::winding);
  CHECK(winding->windings->at(1).value() == Approx(1.05).margin(kRounding));
  CHECK(plainly(winding->note).find("Only pair 2-3 is high") == 0);

  const auto lead = resolve(delta_read({1, 1, 1}, {0, 0.03, 0}), Connection::delta);
  REQUIRE(lead);
  CHECK(lead->points_to == PointsTo::lead);
  CHECK(lead->phase == Phase::two);
  CHECK(lead->excess.value() == Approx(0.03).margin(kRounding));
}

TEST_CASE("three different pairs of a delta, or three alike, point nowhere") {
  // House rule: a middle value in the middle third takes no side.
  CHECK(resolve(pairs(1.00, 1.02, 1.01), Connection::delta)->points_to == PointsTo::unclear);
  CHECK(resolve(pairs(1, 1, 1), Connection::delta)->points_to == PointsTo::unclear);
  CHECK(resolve(pairs(1.00, 1.03, 1.009), Connection::delta)->points_to == PointsTo::winding);
  CHECK(resolve(pairs(1.00, 1.03, 1.021), Connection::delta)->points_to == PointsTo::lead);
}

TEST_CASE("one pair alone high in a wye is said to be one phase low") {
  // Kirchhoff: a leg that reads low lowers both pairs that touch it.
  const auto r = resolve(pairs(2.0, 1.9, 1.9), Connection::wye);
  CHECK(plainly(r->note).find("Only pair 1-2 is high: the third phase reads low") !=
        std::string::npos);
}

TEST_CASE("readings that break the triangle relation are an error with their numbers") {
  // Each leg is above zero, so each pair is less than the two others together.
  const auto r = resolve(pairs(0.5, 1.2, 0.6), Connection::wye);
  REQUIRE_FALSE(r);
  CHECK(r.error().kind == ErrorKind::invalid_value);
  const std::string text = sentence(r.error());
  CHECK(text.find("pair 2-3 must read less than 3-1 and 1-2 together") != std::string::npos);
  CHECK(text.find("1.20 Ω against 600 mΩ + 500 mΩ = 1.10 Ω") != std::string::npos);
  CHECK_FALSE(delta_windings(pairs(0.5, 1.2, 0.6)));
  CHECK_FALSE(resolve(pairs(0.5, 1.0, 0.5), Connection::wye));  // a leg of exactly zero
}

TEST_CASE("a resistance that is not above zero is an error that names the pair") {
  // No source: a meter cannot read it on a winding.
  const double bad = GENERATE(0.0, -0.5, std::numeric_limits<double>::quiet_NaN(),
                              std::numeric_limits<double>::infinity());
  const auto r = resolve(pairs(0.5, bad, 0.5), Connection::wye);
  REQUIRE_FALSE(r);
  CHECK(sentence(r.error()).find("pair 2-3 is not") != std::string::npos);
}

TEST_CASE("resistances too large to be added are an error, not an infinite unbalance") {
  // No source: robustness.
  CHECK_FALSE(resolve(pairs(1e308, 1e308, 1e308), Connection::wye));
}

TEST_CASE("tiny and huge readings resolve alike") {
  // The relations are homogeneous: scaling the readings scales the legs.
  for (const double scale : {1e-6, 1.0, 1e6}) {
    const auto r = resolve(pairs(1.02 * scale, scale, 1.02 * scale), Connection::wye);
    REQUIRE(r);
    CHECK(r->excess.value() / scale == Approx(0.02).margin(kRounding));
    CHECK(r->phase == Phase::one);
  }
}

TEST_CASE("of a balanced motor no phase is said to stand out") {
  // At most 1 % between the pairs is normal (common practice, no source).
  const auto even = resolve({Ohm{0.0607}, Ohm{0.06068}, Ohm{0.06066}}, Connection::wye);
  REQUIRE(even);
  CHECK(plainly(even->note).find("no phase stands out") != std::string::npos);
  const auto torn = resolve({Ohm{0.0607}, Ohm{0.0625}, Ohm{0.0616}}, Connection::wye);
  REQUIRE(torn);
  CHECK(plainly(torn->note).find("more than one phase is off") != std::string::npos);
}
