#include "../python.h"
#include "ohmglow/radiometry.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <set>
#include <string>
#include <vector>

using namespace ohmglow;
using namespace ohmglow::radiometry;

namespace {
/// Results of a few operations in double precision.
constexpr double kRounding = 1e-12;
}  // namespace

TEST_CASE("ten resistors compared with one standard share its whole uncertainty") {
  // JCGM 100:2008, 5.2.2, example (from memory): ten 1000 Ω resistors calibrated against the same
  // standard with u = 100 mΩ in series have u = 1 Ω, where independence would give 0.32 Ω.
  Estimate shared(0);
  Estimate independent(0);
  for (std::uint32_t i = 0; i < 10; ++i) {
    shared = Estimate::combine(1, shared, 1, Estimate(1000, {{{InputKind::camera, 0}, 0.1}}));
    independent =
        Estimate::combine(1, independent, 1, Estimate(1000, {{{InputKind::noise, i}, 0.1}}));
  }
  CHECK(shared.value() == Approx(10000).epsilon(kRounding));
  CHECK(shared.u() == Approx(1).epsilon(kRounding));
  CHECK(independent.u() == Approx(std::sqrt(10) * 0.1).epsilon(kRounding));
}

TEST_CASE("a common error leaves a difference and stays in each value") {
  const Estimate hot(70, {{{InputKind::noise, 1}, 0.03}, {{InputKind::camera, 0}, 1.0}});
  const Estimate cool(50, {{{InputKind::camera, 0}, 1.0}, {{InputKind::noise, 2}, 0.04}});
  const Estimate rise = Estimate::combine(1, hot, -1, cool);
  CHECK(rise.value() == Approx(20).epsilon(kRounding));
  CHECK(rise.u() == Approx(0.05).epsilon(kRounding));
  CHECK(hot.u() == Approx(std::hypot(1.0, 0.03)).epsilon(kRounding));
  CHECK(Estimate::covariance(hot, cool) == Approx(1).epsilon(kRounding));
  CHECK(Estimate::covariance(rise, cool) == Approx(-0.0016).epsilon(kRounding));
}

TEST_CASE("an input named twice counts once, with both parts added") {
  const Estimate twice(1, {{{InputKind::reflected, 3}, -0.5},
                           {{InputKind::air, 3}, 0.2},
                           {{InputKind::reflected, 3}, 0.5}});
  REQUIRE(twice.parts().size() == 2);
  CHECK(twice.u() == Approx(0.2).epsilon(kRounding));
  CHECK(twice.parts()[0].input < twice.parts()[1].input);
}

TEST_CASE("the same kind of input in another scope is another input") {
  const Estimate a(1, {{{InputKind::emissivity, 1}, 0.3}});
  const Estimate b(1, {{{InputKind::emissivity, 2}, 0.4}});
  CHECK(Estimate::covariance(a, b) == 0);
  CHECK(Estimate::combine(1, a, -1, b).u() == Approx(0.5).epsilon(kRounding));
}

TEST_CASE("an exact number has no uncertainty") {
  CHECK(Estimate(5).u() == 0);
  CHECK(Estimate(5).parts().empty());
}

TEST_CASE("uncertainties of chained combinations are those of matrix algebra") {
  // numpy: u² = c J Jᵀ cᵀ (JCGM 100:2008, eq. 13 in matrix form).
  const std::vector<double> numbers = numbers_from_python("estimates", R"py(
import numpy as np
rng = np.random.default_rng(100)
for _ in range(50):
    jacobian = rng.normal(size=(3, 6)) * (rng.uniform(size=(3, 6)) < .6)
    a, b, c, d = rng.normal(size=4)
    z = d * (a * jacobian[0] + b * jacobian[1]) + c * jacobian[2]
    print(*(repr(float(x)) for x in [*jacobian.ravel(), a, b, c, d, np.sqrt(z @ z), z @ jacobian[1]]))
)py");
  constexpr std::size_t kColumns = 24;
  REQUIRE(numbers.size() == 50 * kColumns);
  for (std::size_t i = 0; i < numbers.size(); i += kColumns) {
    const double* n = &numbers[i];
    const auto row = [n](int r) {
      std::vector<Contribution> parts;
      for (int j = 5; j >= 0; --j) {  // unsorted, zeros left out
        const Input input{j % 2 == 0 ? InputKind::noise : InputKind::air,
                          static_cast<std::uint32_t>(j / 2)};
        if (n[6 * r + j] != 0) parts.push_back({input, n[6 * r + j]});
      }
      return Estimate(0, parts);
    };
    const Estimate inner = Estimate::combine(n[18], row(0), n[19], row(1));
    const Estimate outer = Estimate::combine(n[21], inner, n[20], row(2));
    CHECK(outer.u() == Approx(n[22]).epsilon(1e-10).margin(1e-14));
    CHECK(Estimate::covariance(outer, row(1)) == Approx(n[23]).epsilon(1e-10).margin(1e-12));
  }
}

TEST_CASE("an emissivity that no one gave an uncertainty gets the house rule's") {
  // House rule (docs/method.md), no published source.
  CHECK(default_emissivity_u(Emissivity{1}) == 0.02);
  CHECK(default_emissivity_u(Emissivity{.8}) == 0.02);
  CHECK(default_emissivity_u(Emissivity{.79}) == 0.05);
  CHECK(default_emissivity_u(Emissivity{.5}) == 0.05);
  CHECK(default_emissivity_u(Emissivity{.49}) == 0.15);
  CHECK(default_emissivity_u(Emissivity{.05}) == 0.15);
}

TEST_CASE("every kind of input has a name of its own") {
  std::set<std::string> names;
  for (const InputKind kind : {InputKind::emissivity, InputKind::reflected, InputKind::air,
                               InputKind::atmosphere_transmittance, InputKind::window_transmittance,
                               InputKind::window, InputKind::camera, InputKind::noise})
    names.insert(std::string(name_of(kind)));
  CHECK(names.size() == 8);
  CHECK(name_of(InputKind::noise) == "noise");
}
