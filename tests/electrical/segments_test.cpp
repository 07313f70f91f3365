// Readings are made by adding the resistances of the stretches (Kirchhoff) and solved back.
#include "offered/electrical/segments.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>

using namespace ohmglow;
using namespace ohmglow::electrical;

namespace {

constexpr double kSolved = 1e-9;

using Stretch = std::array<double, 3>;

std::vector<PlaceReading> read(const std::vector<Stretch>& stretches, const Meter& meter) {
  std::vector<PlaceReading> places;
  for (std::size_t k = 0; k < stretches.size(); ++k) {
    Stretch sum{0, 0, 0};
    for (std::size_t j = k; j < stretches.size(); ++j) {
      for (std::size_t p = 0; p < 3; ++p) sum.at(p) += stretches[j].at(p);
    }
    places.push_back({{Ohm{sum[0] + sum[1]}, Ohm{sum[1] + sum[2]}, Ohm{sum[2] + sum[0]}}, meter});
  }
  return places;
}

const Meter kMeter{Percent{0.2}, 1e-5};

}  // namespace

TEST_CASE("the stretches between places come back from their sums") {
  const std::vector<Stretch> truth{{.010, .012, .011}, {.020, .021, .055}, {.300, .301, .302}};
  const auto solved = solve_segments(read(truth, kMeter), {});
  REQUIRE(solved);
  REQUIRE(solved->size() == 3);
  for (std::size_t j = 0; j < 3; ++j) {
    for (std::size_t p = 0; p < 3; ++p) {
      CHECK((*solved)[j].resistance.at(p).value() == Approx(truth[j].at(p)).margin(kSolved));
    }
  }
  const Segment& bad = (*solved)[1];
  CHECK(bad.phase == Phase::three);
  CHECK(bad.excess.value() == Approx(.0345).margin(kSolved));
  CHECK(bad.probability > 0.99);
  CHECK((*solved)[0].probability < 0.01);
}

TEST_CASE("the uncertainty of a stretch is that of the difference of two readings") {
  // Excess at a place: (R_a + R_b)/2 − R_c, so u² = (u_a² + u_b²)/4 + u_c² (JCGM 100, 5.1.2); the
  // first stretch is the difference of two places, with both contributing.
  const auto places = read({{.02, .01, .01}, {.3, .3, .3}}, kMeter);
  const auto solved = solve_segments(places, {});
  REQUIRE(solved);
  double sum = 0;
  for (const PlaceReading& place : places) {
    for (std::size_t pair = 0; pair < 3; ++pair) {
      const double u = reading_u(place.pairs.at(pair).value(), 0.7, kMeter);
      sum += std::pow(u * (pair == 1 ? 1 : 0.5), 2);  // pair 2-3 does not touch phase 1
    }
  }
  CHECK((*solved)[0].excess_u.value() == Approx(std::sqrt(sum)).epsilon(1e-6));
}

TEST_CASE("one place alone gives the legs of resolve()") {
  const auto places = read({{.231, .181, .1815}}, kMeter);
  const auto solved = solve_segments(places, {});
  const auto resolved = resolve(places[0].pairs, Connection::wye, kMeter);
  REQUIRE(solved);
  CHECK((*solved)[0].excess.value() == Approx(resolved->excess.value()).margin(kSolved));
  CHECK((*solved)[0].excess_u.value() == Approx(resolved->excess_u.value()).epsilon(1e-6));
  CHECK((*solved)[0].probability <= resolved->phase_probability + kSolved);
}

TEST_CASE("a long sound cable makes no excess, with or without its expected resistance") {
  // 200 m of conductor add the same to every phase.
  const std::vector<Stretch> truth{{.0774, .0774, .0774}, {.3, .3, .3}};
  const std::vector<std::optional<CablePrior>> none;
  const std::vector<std::optional<CablePrior>> cable{CablePrior{Ohm{.0774}, Ohm{.00774}},
                                                     std::nullopt};
  for (const auto& prior : {none, cable}) {
    const auto solved = solve_segments(read(truth, kMeter), prior);
    REQUIRE(solved);
    CHECK(std::fabs((*solved)[0].excess.value()) < kSolved);
    CHECK((*solved)[0].probability < 0.5);
  }
}

TEST_CASE("a cable's expected resistance pulls a coarse meter's mean towards itself") {
  // Two measurements of one quantity are joined by their weights 1/u².
  const Meter coarse{Percent{2}, 0.0};
  const std::vector<Stretch> truth{{.010, .010, .010}, {.3, .3, .3}};
  const std::vector<std::optional<CablePrior>> sharp{CablePrior{Ohm{.020}, Ohm{1e-6}},
                                                     std::nullopt};
  const auto mean = [&](std::span<const std::optional<CablePrior>> prior) {
    const auto solved = solve_segments(read(truth, coarse), prior);
    const auto& r = (*solved)[0].resistance;
    return (r[0] + r[1] + r[2]).value() / 3;
  };
  CHECK(mean({}) == Approx(.010).margin(kSolved));
  CHECK(mean(sharp) == Approx(.020).epsilon(1e-3));
}

TEST_CASE("a cable's expected resistance does not pull on the excess of a bad joint in it") {
  // The joint's own third of the mean is no part of the cable.
  const std::vector<Stretch> truth{{.0987, .0387, .0387}, {.5, .5, .5}};
  const std::vector<std::optional<CablePrior>> cable{CablePrior{Ohm{.0387}, Ohm{.00387}},
                                                     std::nullopt};
  const auto solved = solve_segments(read(truth, kMeter), cable);
  REQUIRE(solved);
  CHECK((*solved)[0].excess.value() == Approx(.060).margin(kSolved));
}

TEST_CASE("contradicting triples and circuits without places are errors") {
  CHECK_FALSE(solve_segments({}, {}));
  CHECK_FALSE(
      solve_segments(std::vector<PlaceReading>(kMostPlaces + 1, {{Ohm{1}, Ohm{1}, Ohm{1}}}), {}));
  const std::vector<PlaceReading> bad{{{Ohm{.5}, Ohm{1.2}, Ohm{.6}}}};
  const auto solved = solve_segments(bad, {});
  REQUIRE_FALSE(solved);
  CHECK(solved.error().what.find("contradict") != std::string::npos);
}
