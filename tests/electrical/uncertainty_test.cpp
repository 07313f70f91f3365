// Linear propagation by the rule of JCGM 100, held against numerical derivatives and against draws
// from the same distributions; no published table of these figures is known.
#include "ohmglow/electrical.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace ohmglow;
using namespace ohmglow::electrical;

namespace {

// Numerical derivatives with a step of 1e-6 of the value.
constexpr double kDerivative = 1e-4;
// Three standard errors of a share estimated from 200 000 draws, at most 3·0.5/√200000.
constexpr int kDraws = 200'000;
constexpr double kShare = 0.0034;

PerPair<Ohm> ohms_of(const std::array<double, 3>& v) {
  return {Ohm{v[0]}, Ohm{v[1]}, Ohm{v[2]}};
}

// √Σ(∂f/∂x·u)² by central differences.
template <class F>
double propagated(F f, std::array<double, 3> x, const Meter& meter) {
  double sum = 0;
  const double largest = std::max({x[0], x[1], x[2]});
  for (std::size_t i = 0; i < 3; ++i) {
    auto up = x;
    auto down = x;
    const double h = 1e-6 * x.at(i);
    up.at(i) += h;
    down.at(i) -= h;
    sum += std::pow((f(up) - f(down)) / (2 * h) * reading_u(x.at(i), largest, meter), 2);
  }
  return std::sqrt(sum);
}

}  // namespace

TEST_CASE("a least count counts as a rectangular distribution beside the share of the reading") {
  // JCGM 100, F.2.2.1: the standard uncertainty of an indication with resolution δ is 0.29 δ.
  CHECK(reading_u(5, 5, Meter{Percent{0}, 1.0}) == Approx(0.29).margin(0.005));
  CHECK(reading_u(5, 5, Meter{Percent{1}, 0.0}) == Approx(0.05).margin(1e-12));
  CHECK(reading_u(3, 4, Meter{Percent{0}, {}}) == Approx(0.001 / std::sqrt(12.0)));
  CHECK(four_digit_least_count(0.412) == Approx(1e-4));
  CHECK(four_digit_least_count(999.9) == Approx(0.1));
  CHECK(four_digit_least_count(0) == 0);
}

TEST_CASE("the uncertainties of unbalance and excess are those of numerical derivatives") {
  const std::array<double, 3> x{0.520, 0.512, 0.508};
  const Meter meter{Percent{0.3}, 0.001};
  const auto r = resolve(ohms_of(x), Connection::wye, meter);
  REQUIRE(r);
  const auto spread = [](const std::array<double, 3>& v) { return unbalance(v)->value(); };
  const auto excess = [](const std::array<double, 3>& v) {
    return resolve(ohms_of(v), Connection::wye)->excess.value();
  };
  CHECK(r->pair_unbalance_u.value() == Approx(propagated(spread, x, meter)).epsilon(kDerivative));
  CHECK(r->excess_u.value() == Approx(propagated(excess, x, meter)).epsilon(kDerivative));
  CHECK(unbalance_u({230, 225, 238}, meter).value() ==
        Approx(propagated(spread, {230, 225, 238}, meter)).epsilon(kDerivative));
}

TEST_CASE("the heat's uncertainty joins those of the resistance and, twice, of the current") {
  // P = I²R: relative 2 u_I and u_R.
  const Watt u = excess_heat_u(Ohm{0.01}, Ohm{0.001}, Ampere{50}, Percent{2});
  CHECK(u.value() == Approx(25 * std::hypot(0.1, 0.04)).epsilon(1e-12));
}

TEST_CASE("the probability of the highest leg is the share of draws in which it is the highest") {
  // Monte Carlo (JCGM 101) against the integral.
  const std::array<double, 3> x =
      GENERATE(std::array<double, 3>{1.004, 1.001, 1.003}, std::array<double, 3>{1.003, 1.0, 1.0},
               std::array<double, 3>{1.0, 1.0005, 0.9995});
  const Meter meter{Percent{0.2}, 0.001};
  const auto r = resolve(ohms_of(x), Connection::wye, meter);
  REQUIRE(r);
  std::mt19937_64 random{20260304};
  std::normal_distribution<double> normal;
  int highest = 0;
  for (int i = 0; i < kDraws; ++i) {
    std::array<double, 3> v{};
    for (std::size_t k = 0; k < 3; ++k)
      v.at(k) = x.at(k) + reading_u(x.at(k), 1.004, meter) * normal(random);
    const PerPhase<Ohm> leg = legs(ohms_of(v));
    const auto top =
        static_cast<std::size_t>(std::max_element(leg.begin(), leg.end()) - leg.begin());
    if (top == index_of(r->phase)) ++highest;
  }
  CHECK(r->phase_probability == Approx(double(highest) / kDraws).margin(kShare));
}

TEST_CASE("readings alike leave the phase open, exact ones settle it") {
  // By symmetry one third; a meter of uncertainty 0 leaves nothing open.
  CHECK(resolve(ohms_of({1, 1, 1}), Connection::wye)->phase_probability ==
        Approx(1.0 / 3).margin(1e-9));
  const Meter exact{Percent{0}, 0.0};
  CHECK(resolve(ohms_of({1.001, 1, 1.001}), Connection::wye, exact)->phase_probability == 1);
  CHECK(resolve(ohms_of({1.001, 1, 1}), Connection::wye, exact)->phase_probability == 0.5);
  CHECK(resolve(ohms_of({1, 1, 1}), Connection::wye, exact)->phase_probability == Approx(1.0 / 3));
}
