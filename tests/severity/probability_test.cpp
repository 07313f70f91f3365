#include "../python.h"
#include "ohmglow/severity.h"
#include "severity/bivariate_normal.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numeric>
#include <optional>
#include <random>
#include <vector>

using namespace ohmglow;
using namespace ohmglow::severity;
using radiometry::Estimate;
using radiometry::InputKind;

namespace {

/// Results of a few operations in double precision.
constexpr double kProbabilityRounding = 1e-12;
/// scipy's bivariate normal is accurate to about 1e-10 where its maximal error is asked for.
constexpr double kScipy = 1e-8;

/// The limits of ANSI/NETA table 100.18 with the house rule for its gaps.
Policy neta_limits() {
  const auto band = [](const char* id, std::optional<Limit> like, Limit air) {
    Band result;
    result.id = id;
    result.over_like_k = like;
    result.over_air_k = air;
    return result;
  };
  Policy policy;
  policy.bands = {
      band("watch", Limit{1}, Limit{1}), band("plan", Limit{3, false}, Limit{10, false}),
      band("monitor", {}, Limit{20, false}), band("urgent", Limit{15, false}, Limit{40, false})};
  return policy;
}

/// Two estimates with these uncertainties and this correlation, by three inputs.
std::pair<Estimate, Estimate> correlated(double x, double u_x, double y, double u_y, double r) {
  return {Estimate(x, {{{InputKind::camera, 0}, u_x}}),
          Estimate(y, {{{InputKind::camera, 0}, r * u_y},
                       {{InputKind::air, 0}, std::sqrt(1 - r * r) * u_y}})};
}

}  // namespace

TEST_CASE("the bivariate normal distribution is that of scipy") {
  const std::vector<double> numbers = numbers_from_python("bivariate", R"py(
import numpy as np
from scipy import stats
rng = np.random.default_rng(1956)
cases = [(0, 0, .3), (0, 0, -.9), (0, 1.2, .5), (0, -1.2, .5), (1.2, 0, -.5), (-1.2, 0, -.5), (-2, 2, .7), (2, -2, -.7),
         (3, 3, .999), (-3, -3, .999), (1, 1, -.999), (8, -8, .2), (-6, -6, .9)]
cases += [(h, k, r) for h, k, r in zip(rng.normal(size=200) * 2, rng.normal(size=200) * 2, rng.uniform(-.995, .995, 200))]
for h, k, r in cases:
    p = stats.multivariate_normal.cdf([h, k], [0, 0], [[1, r], [r, 1]], abseps=1e-12, releps=1e-12)
    print(repr(float(h)), repr(float(k)), repr(float(r)), repr(float(p)))
)py");
  REQUIRE(numbers.size() == 4 * 213);
  for (std::size_t i = 0; i < numbers.size(); i += 4) {
    const double* n = &numbers[i];
    CAPTURE(n[0], n[1], n[2]);
    CHECK(normal_below(n[0], n[1], n[2]) == Approx(n[3]).epsilon(0).margin(kScipy));
  }
}

TEST_CASE("whole correlation leaves one variable") {
  CHECK(normal_below(1, 2, 1) == Approx(normal_below(1)).epsilon(kProbabilityRounding));
  CHECK(normal_below(1, 2, 1 - 1e-16) == Approx(normal_below(1)).epsilon(kProbabilityRounding));
  CHECK(normal_below(1, 0.5, -1) ==
        Approx(normal_below(1) - normal_below(-0.5)).epsilon(kProbabilityRounding));
  CHECK(normal_below(-1, 0.5, -1) == 0);
  CHECK(normal_below(1e300, 0.5, 0.3) == Approx(normal_below(0.5)).epsilon(kProbabilityRounding));
  CHECK(normal_below(-1e300, 0.5, 0.3) == 0);
}

TEST_CASE("band probabilities from two correlated rises are those of scipy") {
  // scipy.stats.multivariate_normal: P(band k or worse) = 1 - P(both rises below its limits).
  const std::vector<double> numbers = numbers_from_python("band_probabilities", R"py(
import numpy as np
from scipy import stats
like, air = [1, 3, 15, 15], [1, 10, 20, 40]
rng = np.random.default_rng(100)
for _ in range(100):
    x, y, ux, uy, r = rng.uniform(-2, 20), rng.uniform(-2, 50), rng.uniform(.05, 4), rng.uniform(.2, 6), rng.uniform(-.9, .98)
    cov = [[ux * ux, r * ux * uy], [r * ux * uy, uy * uy]]
    least = [1 - stats.multivariate_normal.cdf([a, b], [x, y], cov, abseps=1e-12, releps=1e-12) for a, b in zip(like, air)]
    print(*(repr(float(v)) for v in (x, y, ux, uy, r, *(np.array(least) - np.append(least[1:], 0)))))
)py");
  REQUIRE(numbers.size() == 100 * 9);
  for (std::size_t i = 0; i < numbers.size(); i += 9) {
    const double* n = &numbers[i];
    CAPTURE(n[0], n[1], n[2], n[3], n[4]);
    const auto [like, air] = correlated(n[0], n[2], n[1], n[3], n[4]);
    const auto p = band_probabilities(neta_limits(), like, air);
    REQUIRE(p.size() == 4);
    for (std::size_t k = 0; k < 4; ++k) CHECK(p[k] == Approx(n[5 + k]).epsilon(0).margin(kScipy));
  }
}

TEST_CASE("a rise on a limit is as likely above it as below") {
  // By symmetry of the normal distribution.
  const auto p = band_probabilities(neta_limits(), Estimate(3, {{{InputKind::noise, 0}, 0.1}}), {});
  CHECK(p[0] == Approx(0.5).epsilon(kProbabilityRounding));
  CHECK(p[1] == Approx(0.5).epsilon(kProbabilityRounding));
  CHECK(p[2] == 0);
  CHECK(p[3] == Approx(0).epsilon(0).margin(1e-12));
}

TEST_CASE("a lone lug is weighed by its rise over air") {
  const auto p = band_probabilities(neta_limits(), {}, Estimate(30, {{{InputKind::air, 0}, 5}}));
  // Standard normal table: P(Z < 2) = 0.97725, so 0.02275 above 40 and below 20.
  CHECK(p[3] == Approx(0.02275).epsilon(0).margin(5e-6));
  CHECK(p[2] == Approx(1 - 2 * 0.02275).epsilon(0).margin(1e-5));
  CHECK(std::accumulate(p.begin(), p.end(), 0.0) == Approx(1).epsilon(0).margin(1e-8));
}

TEST_CASE("without a rise no band has a probability") {
  CHECK(band_probabilities(neta_limits(), {}, {}) == std::vector<double>(4, 0.0));
}

TEST_CASE("exact rises have the probability one of the band that they are graded into") {
  const Policy policy = neta_limits();
  const std::vector<double> likes{0.99, 1, 3, 3.01, 15, 15.01};
  const std::vector<double> airs{0.99, 1, 10, 10.01, 20, 20.01, 40, 40.01};
  for (const double like : likes) {
    for (const double air : airs) {
      CAPTURE(like, air);
      std::vector<double> certain(4, 0.0);
      if (const Grade g = grade(policy, like, air); g.band) certain[*g.band] = 1;
      CHECK(band_probabilities(policy, Estimate(like), Estimate(air)) == certain);
    }
  }
}

TEST_CASE("an exact rise beside an uncertain one decides alone where it reaches a limit") {
  const Estimate air(15, {{{InputKind::air, 0}, 1}});
  const auto p = band_probabilities(neta_limits(), Estimate(16), air);
  CHECK(p == std::vector<double>{0, 0, 0, 1});
  const auto q = band_probabilities(neta_limits(), Estimate(2), air);
  CHECK(q[0] + q[1] == Approx(1).epsilon(0).margin(1e-6));
}

TEST_CASE("probabilities are how often random rises are graded into each band") {
  // An independent law: the frequencies of a simulation, 4e5 draws, so that three standard
  // deviations of a frequency are below 0.0025.
  constexpr int kDraws = 400'000;
  constexpr double kThreeDeviations = 0.0025;
  std::mt19937_64 random(101);
  std::normal_distribution<double> normal;
  const Policy policy = neta_limits();
  const auto [like, air] = correlated(12, 3, 22, 6, 0.7);
  std::vector<double> frequency(4, 0.0);
  for (int i = 0; i < kDraws; ++i) {
    const double common = normal(random);
    const double own = normal(random);
    const Grade g = grade(policy, 12 + 3 * common, 22 + 6 * (0.7 * common + std::sqrt(0.51) * own));
    if (g.band) frequency[*g.band] += 1.0 / kDraws;
  }
  const auto p = band_probabilities(policy, like, air);
  for (std::size_t k = 0; k < 4; ++k)
    CHECK(p[k] == Approx(frequency[k]).epsilon(0).margin(kThreeDeviations));
}

TEST_CASE("the range of equal lugs is that of Pearson and Hartley") {
  // Biometrika Tables I, table 29, upper percentage points of the studentized range with infinite
  // degrees of freedom: 95 % and 99 %, n = 2 to 5 (from memory; scipy agrees to four decimals).
  const std::vector<std::pair<std::size_t, std::pair<double, double>>> table{
      {2, {2.772, 3.643}}, {3, {3.314, 4.120}}, {4, {3.633, 4.403}}, {5, {3.858, 4.603}}};
  constexpr double kPrintedDecimals = 6e-4;
  for (const auto& [count, quantiles] : table) {
    CAPTURE(count);
    CHECK(range_quantile(0.95, count) ==
          Approx(quantiles.first).epsilon(0).margin(kPrintedDecimals));
    CHECK(range_quantile(0.99, count) ==
          Approx(quantiles.second).epsilon(0).margin(kPrintedDecimals));
  }
  CHECK(range_quantile(0.95, 1) == 0);
  CHECK(range_quantile(0.95, 0) == 0);
}

TEST_CASE("the range and the gap of equal lugs are those of scipy") {
  // The studentized range, and the distance from the largest to the next by quadrature.
  const std::vector<double> numbers = numbers_from_python("order_statistics", R"py(
import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import norm, studentized_range
for n in (2, 3, 4, 6, 12):
    for p in (.9, .95, .96, .99, .995):
        above = lambda g: n * quad(lambda z: norm.pdf(z) * norm.cdf(z - g)**(n - 1), -12, 12, epsabs=1e-12)[0]
        print(n, p, repr(float(studentized_range.ppf(p, n, np.inf))), repr(float(brentq(lambda g: above(g) - (1 - p), 0, 15))))
)py");
  REQUIRE(numbers.size() == 4 * 25);
  constexpr double kQuadrature = 1e-6;
  for (std::size_t i = 0; i < numbers.size(); i += 4) {
    const auto count = static_cast<std::size_t>(numbers[i]);
    const double confidence = numbers[i + 1];
    CAPTURE(count, confidence);
    CHECK(range_quantile(confidence, count) ==
          Approx(numbers[i + 2]).epsilon(0).margin(kQuadrature));
    CHECK(gap_quantile(confidence, count) == Approx(numbers[i + 3]).epsilon(0).margin(kQuadrature));
  }
  // Of two the gap is the range.
  CHECK(gap_quantile(0.95, 2) == Approx(range_quantile(0.95, 2)).epsilon(1e-9));
  CHECK(gap_quantile(0.95, 1) == 0);
}
