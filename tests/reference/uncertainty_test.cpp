// Uncertainties against the worked examples of the JCGM guides and EA-4/02, against an independent
// propagation, and against simulated truth.

#include "../diagnosis/judged.h"
#include "../findings_text.h"
#include "../python.h"
#include "assessment/draws.h"
#include "assessment/judge_measured.h"
#include "assessment/propagate.h"
#include "assessment/scene.h"
#include "assessment/trials.h"
#include "ohmglow/survey_folder.h"

#include <array>
#include <catch2/catch.hpp>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <fmt/format.h>
#include <iterator>
#include <numbers>
#include <random>

using namespace ohmglow;
using namespace ohmglow::assessment;
using radiometry::Contribution;
using radiometry::Estimate;
using radiometry::Input;
using radiometry::InputKind;

namespace {

/// The correlation coefficients of H.2 are printed with three digits.
constexpr double kPrintedCorrelation = 6e-4;

double correlation(const Estimate& a, const Estimate& b) {
  return Estimate::covariance(a, b) / (a.u() * b.u());
}

}  // namespace

TEST_CASE("a gauge block calibrated by comparison has u = 32 nm, as in H.1 of the GUM") {
  // JCGM 100:2008, H.1, table H.1, from memory: standard 25 nm, difference of the lengths 9.7 nm,
  // difference of the expansion coefficients 2.9 nm, of the temperatures 16.6 nm; u = 32 nm.
  const auto input = [](std::uint32_t scope, double u_nm) {
    return Estimate{0, {{{InputKind::noise, scope}, u_nm}}};
  };
  Estimate length = Estimate::combine(1, input(1, 25), 1, input(2, 9.7));
  length = Estimate::combine(1, length, -1, input(3, 2.9));
  length = Estimate::combine(1, length, -1, input(4, 16.6));
  CHECK(length.u() == Approx(32).epsilon(0).margin(0.5));
}

TEST_CASE("resistance and reactance measured at once share their inputs, as in H.2 of the GUM") {
  // JCGM 100:2008, H.2, from memory: five observations of V, I and φ taken together (table H.2) and
  // what they give (tables H.2 to H.4). R = (V/I) cos φ, X = (V/I) sin φ, Z = V/I.
  constexpr std::array<std::array<double, 3>, 5> kObserved{{{5.007, 19.663e-3, 1.0456},
                                                            {4.994, 19.639e-3, 1.0438},
                                                            {5.005, 19.640e-3, 1.0468},
                                                            {4.990, 19.685e-3, 1.0428},
                                                            {4.999, 19.678e-3, 1.0433}}};
  // Five observations vary in five independent ways: each is an input, and the errors of the means
  // are correlated by what they share.
  std::array<double, 3> mean{};
  for (const auto& row : kObserved)
    for (std::size_t q = 0; q < 3; ++q) mean[q] += row[q] / 5;
  const auto [V, I, phi] = mean;
  const auto form = [&](double value, double by_V, double by_I, double by_phi) {
    std::vector<Contribution> parts;
    for (std::uint32_t k = 0; k < 5; ++k) {
      const auto& row = kObserved[k];
      // The variance of a mean is the sum of squares over n (n - 1).
      parts.push_back(
          {{InputKind::noise, k},
           (by_V * (row[0] - mean[0]) + by_I * (row[1] - mean[1]) + by_phi * (row[2] - mean[2])) /
               std::sqrt(20)});
    }
    return Estimate{value, parts};
  };
  const double Z = V / I, R = Z * std::cos(phi), X = Z * std::sin(phi);
  const Estimate r = form(R, R / V, -R / I, -X);
  const Estimate x = form(X, X / V, -X / I, R);
  const Estimate z = form(Z, Z / V, -Z / I, 0);
  constexpr double kPrinted = 1e-3;
  CHECK(r.value() == Approx(127.732).epsilon(0).margin(kPrinted));
  CHECK(x.value() == Approx(219.847).epsilon(0).margin(kPrinted));
  CHECK(z.value() == Approx(254.260).epsilon(0).margin(kPrinted));
  CHECK(r.u() == Approx(0.071).epsilon(0).margin(kPrinted));
  CHECK(x.u() == Approx(0.295).epsilon(0).margin(kPrinted));
  CHECK(z.u() == Approx(0.236).epsilon(0).margin(kPrinted));
  CHECK(correlation(r, x) == Approx(-0.588).epsilon(0).margin(kPrintedCorrelation));
  CHECK(correlation(r, z) == Approx(-0.485).epsilon(0).margin(kPrintedCorrelation));
  CHECK(correlation(x, z) == Approx(0.993).epsilon(0).margin(kPrintedCorrelation));
}

TEST_CASE("a weight of 10 kg has the expanded uncertainty of EA-4/02, S2") {
  // EA-4/02 M, example S2, from memory: standard 22.5 mg, its drift ±15 mg, observed difference
  // 14.4 mg, eccentricity and air buoyancy ±10 mg each, all limits rectangular: U = 59 mg, k = 2.
  const double rectangular = std::sqrt(3.0);
  Estimate mass{0};
  std::uint32_t scope = 0;
  for (const double u : {22.5, 15 / rectangular, 14.4, 10 / rectangular, 10 / rectangular})
    mass = Estimate::combine(1, mass, 1, Estimate{0, {{{InputKind::noise, scope++}, u}}});
  CHECK(2 * mass.u() == Approx(59).epsilon(0).margin(0.6));
}

TEST_CASE("the counter-based generator gives its published answers") {
  // Known answers of philox4x32-10 in Random123 (Salmon et al. 2011), and what its release 1.14
  // computes.
  using C = PhiloxCounter;
  CHECK(philox4x32_10({0, 0, 0, 0}, {0, 0}) == C{0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8});
  CHECK(philox4x32_10({~0U, ~0U, ~0U, ~0U}, {~0U, ~0U}) ==
        C{0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd});
  CHECK(philox4x32_10({0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344}, {0xa4093822, 0x299f31d0}) ==
        C{0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1});
}

TEST_CASE("a truncated normal keeps its bounds and has the mean and deviation of its formula") {
  // Johnson, Kotz & Balakrishnan, Continuous univariate distributions 1, 13.10 (from memory): cut
  // at one deviation above the mean, mean -φ(1)/Φ(1) = -0.28760, variance
  // 1 - φ(1)/Φ(1) - (φ(1)/Φ(1))² = 0.62969.
  const Draws draws(3);
  constexpr int kDraws = 200'000;
  double sum = 0;
  double squares = 0;
  for (int t = 0; t < kDraws; ++t) {
    const double x = draws.truncated({InputKind::emissivity, 1}, t, 0.9, 0.1, 0, 1);
    REQUIRE(x > 0);
    REQUIRE(x <= 1);
    const double z = (x - 0.9) / 0.1;
    sum += z;
    squares += z * z;
  }
  const double mean = sum / kDraws;
  constexpr double kFourDeviations = 4 * 0.79 / 447;  // of the mean of 200 000
  CHECK(mean == Approx(-0.28760).epsilon(0).margin(kFourDeviations));
  CHECK(squares / kDraws - mean * mean == Approx(0.62969).epsilon(0).margin(2 * kFourDeviations));
}

TEST_CASE("trials of additive models have the intervals of the first supplement") {
  // JCGM 101:2008, 9.2, from memory: Y = X1 + X2 + X3 + X4, each of mean 0 and u = 1. Normal: u =
  // 2,
  // [-3.92, 3.92]; rectangular: u = 2, [-3.88, 3.88].
  // The ends of one run's interval wander by 0.04; of the mean of 100 seeds by a tenth.
  constexpr double kWandering = 0.015;
  constexpr int kSeeds = 100;
  const auto ends = [](const auto& draw) {
    std::array<double, 3> mean{};
    for (int seed = 0; seed < kSeeds; ++seed) {
      const Draws draws(static_cast<std::uint64_t>(seed));
      const auto sampled = sample(1, [&](std::uint64_t trial, std::span<double> y) {
        y[0] = 0;
        for (std::uint32_t i = 0; i < 4; ++i)
          y[0] += draw(draws, Input{InputKind::noise, i}, trial);
      });
      CHECK(sampled.is_stable);
      CHECK(sampled.trials >= 2 * diagnosis::kTrialsOfBlock);
      mean[0] += sampled.spreads[0].low / kSeeds;
      mean[1] += sampled.spreads[0].high / kSeeds;
      mean[2] += sampled.spreads[0].u / kSeeds;
    }
    return mean;
  };
  const auto normal = ends([](const Draws& draws, const Input& input, std::uint64_t trial) {
    return draws.normal(input, trial, 1);
  });
  CHECK(normal[0] == Approx(-3.92).epsilon(0).margin(kWandering));
  CHECK(normal[1] == Approx(3.92).epsilon(0).margin(kWandering));
  CHECK(normal[2] == Approx(2).epsilon(0).margin(kWandering));
  const auto rectangular = ends([](const Draws& draws, const Input& input, std::uint64_t trial) {
    return std::sqrt(3.0) * (2 * draws.uniform(input, trial) - 1);
  });
  CHECK(rectangular[0] == Approx(-3.88).epsilon(0).margin(kWandering));
  CHECK(rectangular[1] == Approx(3.88).epsilon(0).margin(kWandering));
  CHECK(rectangular[2] == Approx(2).epsilon(0).margin(kWandering));
}

TEST_CASE("outputs without a value in some trials are told by those that have one") {
  const auto sampled = sample(2, [](std::uint64_t trial, std::span<double> y) {
    y[0] = trial % 2 == 0 ? std::nan("") : static_cast<double>(trial % 4);  // 1 or 3
    y[1] = std::nan("");
  });
  CHECK(sampled.spreads[0].mean == Approx(2));
  CHECK(sampled.spreads[0].low == 1);
  CHECK(sampled.spreads[0].high == 3);
  CHECK(sampled.spreads[1].u == 0);
}

namespace {

/// A scene and two lugs in it.
struct Pair {
  Surroundings around;
  Spot hot{.mark = 0, .pixels = 9};
  Spot cool{.mark = 1, .pixels = 9};
};

Pair random_pair(std::mt19937_64& random) {
  const auto between = [&random](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  Pair pair;
  pair.around.band = &radiometry::long_wave();
  auto& scene = pair.around.scene;
  auto& u = pair.around.used.uncertainties;
  pair.around.air_is_given = true;
  scene.window_transmittance = Fraction{between(0.6, 0.95)};
  scene.window_reflectance = Fraction{between(0, 0.05)};
  scene.atmosphere_transmittance = Fraction{between(0.9, 1)};
  pair.around.set_air(Celsius{between(-5, 40)});
  pair.around.set_reflected(Celsius{between(-5, 40)});
  pair.around.saved.emissivity = Emissivity{between(0.9, 1)};
  u.reflected = KelvinDifference{between(0.2, 3)};
  u.air = KelvinDifference{between(0.2, 2)};
  u.camera = KelvinDifference{between(0.2, 2)};
  u.noise = KelvinDifference{between(0.02, 0.5)};
  u.nonuniformity = KelvinDifference{between(0.02, 0.5)};
  u.window_transmittance = between(0, 0.02);
  u.atmosphere_transmittance = between(0.001, 0.02);
  pair.around.air = Estimate{scene.air.value(), {{{InputKind::air, 0}, u.air.value()}}};
  pair.around.reflected =
      Estimate{scene.reflected.value(), {{{InputKind::reflected, 0}, u.reflected.value()}}};
  for (Spot* spot : {&pair.hot, &pair.cool}) {
    spot->emissivity = Emissivity{between(0.4, 0.98)};
    spot->emissivity_u = between(0.005, 0.05);
  }
  pair.cool.stored = Celsius{between(42, 60)};
  pair.hot.stored = Celsius{between(60, 120)};
  return pair;
}

std::string as_row(const Pair& pair) {
  const auto& s = pair.around.scene;
  const auto& u = pair.around.used.uncertainties;
  return fmt::format(
      "({}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}),\n",
      pair.hot.stored.value(), pair.cool.stored.value(), pair.hot.emissivity.value(),
      pair.cool.emissivity.value(), pair.hot.emissivity_u, pair.cool.emissivity_u,
      s.reflected.value(), s.air.value(), s.atmosphere_transmittance.value(),
      s.window_transmittance.value(), s.window_reflectance.value(),
      pair.around.saved.emissivity.value(), u.reflected.value(), u.air.value(), u.camera.value(),
      u.noise.value() / 3, u.nonuniformity.value(), u.window_transmittance,
      u.atmosphere_transmittance);
}

/// The balance with the band's radiance by the series of the black-body fraction, the window and
/// what it reflects at the air's temperature, and derivatives taken numerically by the library.
constexpr const char* kBalanceInPython = R"(
from math import exp, pi
from uncertainties import ufloat, wrap
C2, SIGMA = 14387.768775, 5.670374419e-8
def fraction(x):
    z, s = C2 / x, 0.0
    for n in range(1, 60):
        term = exp(-n * z) / n * (z**3 + 3*z*z/n + 6*z/n**2 + 6/n**3)
        s += term
        if term < 1e-17: break
    return 15 / pi**4 * s
def L(c):
    t = c + 273.15
    return SIGMA * t**4 / pi * (fraction(14 * t) - fraction(8 * t))
def inverse(l):
    t = 50.0
    for _ in range(60):
        step = (l - L(t)) / ((L(t + 1e-3) - L(t - 1e-3)) / 2e-3)
        t += step
        if abs(step) < 1e-11: break
    return t
def balance(stored, eps, refl, air, tau_a, tau_w, rho, saved):
    seen = saved * L(stored) + (1 - saved) * L(refl)
    leaving = (seen - (1 - tau_w - rho) * L(air) - rho * L(air)) / tau_w
    return inverse(((leaving - (1 - tau_a) * L(air)) / tau_a - (1 - eps) * L(refl)) / eps)
balance = wrap(balance)
for (s1, s2, e1, e2, ue1, ue2, refl, air, ta, tw, rho, saved, ur, ua, uc, un, uf, uw, ut) in CASES:
    camera, refl, air = ufloat(0, uc), ufloat(refl, ur), ufloat(air, ua)
    tw, ta = ufloat(tw, uw), ufloat(ta, ut)
    spot = lambda s: s + camera + ufloat(0, un) + ufloat(0, uf)
    hot = balance(spot(s1), ufloat(e1, ue1), refl, air, ta, tw, rho, saved)
    cool = balance(spot(s2), ufloat(e2, ue2), refl, air, ta, tw, rho, saved)
    for y in (hot, hot - cool, hot - air):
        print(repr(y.nominal_value), repr(y.std_dev))
)";

}  // namespace

TEST_CASE("two hundred random scenes have the uncertainties of an independent propagation") {
  // python3-uncertainties 3.1 (Lebigot): linear propagation that tracks what values share, with
  // numerical derivatives of the balance written anew.
  std::mt19937_64 random(101);
  std::vector<Pair> pairs;
  std::string rows = "CASES = [\n";
  for (int i = 0; i < 200; ++i) rows += as_row(pairs.emplace_back(random_pair(random)));
  const auto expected =
      numbers_from_python("balance_uncertainties", rows + "]\n" + kBalanceInPython);
  REQUIRE(expected.size() == 6 * pairs.size());
  // Temperatures: 1 mK of the table's interpolation. Uncertainties: its slopes, and derivatives by
  // differences.
  constexpr double kTable_k = 5e-3;
  constexpr double kDerivatives = 1e-3;
  const Scopes scopes{};
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    const Pair& pair = pairs[i];
    INFO("case " << i);
    const auto hot_c = pair.around.temperature_of(pair.hot);
    const auto cool_c = pair.around.temperature_of(pair.cool);
    REQUIRE(hot_c);
    REQUIRE(cool_c);
    const Estimate hot = estimate_temperature(*hot_c, pair.hot, pair.around, scopes);
    const Estimate cool = estimate_temperature(*cool_c, pair.cool, pair.around, scopes);
    const std::array<Estimate, 3> obtained{hot, Estimate::combine(1, hot, -1, cool),
                                           Estimate::combine(1, hot, -1, pair.around.air)};
    for (std::size_t q = 0; q < obtained.size(); ++q) {
      CHECK(obtained[q].value() == Approx(expected[6 * i + 2 * q]).epsilon(0).margin(kTable_k));
      CHECK(obtained[q].u() == Approx(expected[6 * i + 2 * q + 1]).epsilon(kDerivatives));
    }
  }
}

namespace {

constexpr int kSide = 12;  ///< of a lug's flat patch, pixels

/// A survey whose only data are random rows, and flat lugs to measure.
struct Simulated {
  Survey survey;
  std::vector<diagnosis::ImageResult> results;
  std::vector<Measured> measured;
};

/// Where the stored temperatures of the lugs lie, °C.
struct Between {
  double low = 35;
  double high = 90;
};

/// Emissivities run from 0.3 to 0.98 through the images; their uncertainty is 5 % of them.
Simulated simulate(std::size_t images, std::mt19937_64& random, const Between& stored_c = {}) {
  const auto between = [&random](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  Simulated s;
  s.measured.resize(images);
  PixelTables tables;
  for (std::size_t i = 0; i < images; ++i) {
    const double eps = 0.3 + 0.68 * static_cast<double>(i) / static_cast<double>(images - 1);
    ImageEntry entry;
    entry.file = fmt::format("{}.npy", i);
    entry.motor = fmt::format("M{}", i);
    entry.component = "terminal box";
    auto& p = entry.parameters;
    p.emissivity = Emissivity{eps};
    p.emissivity_u = 0.05 * eps;
    p.air_c = Celsius{between(10, 30)};
    p.reflected_c = Celsius{between(10, 30)};
    p.reflected_u_c = 1;
    p.camera_u_c = 1;
    imaging::StoredImage stored;
    stored.pixels = cv::Mat(kSide, 3 * kSide, CV_32F);
    stored.format = "npy";
    MarkFile marks{entry.file, 3 * kSide, kSide, {}};
    for (int lug = 0; lug < 3; ++lug) {
      const cv::Rect patch(lug * kSide, 0, kSide, kSide);
      stored.pixels(patch).setTo(cv::Scalar(between(stored_c.low, stored_c.high)));
      Mark mark{.name = fmt::format("T{}", lug + 1)};
      mark.phase = kPhases.at(static_cast<std::size_t>(lug));
      mark.shape = Rectangle{{patch.x + 2.0, 2}, {8, 8}};
      marks.marks.push_back(mark);
    }
    const imaging::ThermalImage image(std::move(stored),
                                      Declaration{1, 0, TemperatureUnit::celsius, "range"});
    const auto number = static_cast<std::uint32_t>(i);
    s.results.push_back(measure_with(radiometry::long_wave(), image, entry, marks, nullptr,
                                     s.survey.phase_names, Scopes{number, number}, tables,
                                     &s.measured[i]));
    s.survey.marks.emplace(entry.file, marks);
    s.survey.images.push_back(std::move(entry));
  }
  return s;
}

std::vector<Measured> measured_of(const Simulated& s, const std::vector<std::size_t>& images) {
  std::vector<Measured> its;
  for (const std::size_t image : images) its.push_back(s.measured[image]);
  return its;
}

/// How often an interval held the truth.
struct Held {
  int lugs = 0;
  int linear = 0;
  int sampled = 0;
  void count(const Estimate& estimate, const diagnosis::Spread& spread, double truth) {
    ++lugs;
    if (std::abs(truth - estimate.value()) <= 1.96 * estimate.u()) ++linear;
    if (truth >= spread.low && truth <= spread.high) ++sampled;
  }
  [[nodiscard]] double share_linear() const { return static_cast<double>(linear) / lugs; }
  [[nodiscard]] double share_sampled() const { return static_cast<double>(sampled) / lugs; }
};

/// What the truth may have been, drawn with another generator than the trials'.
class Truth {
 public:
  Truth(const Measured& how, const radiometry::InputUncertainties& u, std::mt19937_64& random)
      : random_(random), basis_(how.basis) {
    basis_.set_air(basis_.scene.air + error(u.air.value()));
    basis_.set_reflected(basis_.scene.reflected + error(u.reflected.value()));
    const auto camera = error(u.camera.value());
    for (Spot spot : how.lugs) {
      spot.stored =
          spot.stored + camera + error(u.noise.value() / 3) + error(u.nonuniformity.value());
      double eps = 0;
      do {
        eps = spot.emissivity.value() + error(spot.emissivity_u).value();
      } while (eps <= 0 || eps > 1);
      spot.emissivity = Emissivity{eps};
      const auto object = basis_.temperature_of(spot);
      REQUIRE(object);
      lugs_c.push_back(object->value());
    }
    air_c = basis_.scene.air.value();
  }

  std::vector<double> lugs_c;
  double air_c = 0;

 private:
  KelvinDifference error(double u) {
    return KelvinDifference{std::normal_distribution<double>(0, u)(random_)};
  }
  std::mt19937_64& random_;
  Basis basis_;
};

}  // namespace

TEST_CASE("95 % intervals hold the truth of 2 000 simulated lugs 93 to 97 % of the time") {
  // JCGM 101, 5.9.6: what a 95 % coverage interval is. Truth by std::normal_distribution about the
  // estimates, cut at the physical ends of the emissivity.
  constexpr std::size_t kImages = 667;
  constexpr double kLeast = 0.93;
  constexpr double kMost = 0.97;
  /// From here on linear propagation is asked to be as good.
  constexpr double kNearLinear = 0.6;
  std::mt19937_64 random(2026);
  Simulated s = simulate(kImages, random);
  using Clock = std::chrono::steady_clock;
  auto policy = records::read_policy("neta_mts", {}).value();
  // The truth drawn here is the lugs' own temperatures: what sound ones scatter by is not in it.
  policy.sound_scatter = {0, 0, "none"};
  diagnosis::Options options;
  const auto start = Clock::now();
  const auto a = test::judged(s.survey, s.results, policy, options,
                              [&](diagnosis::Assessment& motor, const auto& images) {
                                propagate(motor, measured_of(s, images), 0);
                              });
  const double ms =
      std::chrono::duration<double, std::milli>(Clock::now() - start).count() / kImages;

  std::map<std::string, Held> held;
  for (std::size_t i = 0; i < kImages; ++i) {
    const auto& image = a.images[i];
    const Truth truth(s.measured[i], image.used->uncertainties, random);
    for (std::size_t l = 0; l < image.lugs.size(); ++l) {
      const auto& lug = image.lugs[l];
      REQUIRE(lug.monte_carlo);
      CHECK(lug.monte_carlo->is_stable);
      const bool near_linear = lug.emissivity.value() >= kNearLinear;
      const auto count = [&](const char* what, const Estimate& linear,
                             const diagnosis::Spread& sampled, double true_rise) {
        held[what].count(linear, sampled, true_rise);
        held[std::string(what) + (near_linear ? ", near-linear" : ", low emissivity")].count(
            linear, sampled, true_rise);
      };
      count("over air", *lug.rise_over_air, *lug.monte_carlo->over_air,
            truth.lugs_c[l] - truth.air_c);
      const std::size_t reference = lug.reference.at(0).lug;
      if (reference == l) continue;
      count("over like", *lug.rise_over_like, *lug.monte_carlo->over_like,
            truth.lugs_c[l] - truth.lugs_c[reference]);
    }
  }
  std::printf("coverage of 95 %% intervals\n%-24s %6s %8s %12s\n", "", "lugs", "linear",
              "Monte Carlo");
  for (const auto& [what, count] : held) {
    std::printf("%-24s %6d %7.1f%% %11.1f%%\n", what.c_str(), count.lugs,
                100 * count.share_linear(), 100 * count.share_sampled());
  }
  // The lugs of an image share errors: parts of the 2 000 wander more than the whole.
  for (const char* what : {"over air", "over like"}) {
    CHECK(held[what].share_sampled() > kLeast);
    CHECK(held[what].share_sampled() < kMost);
    const Held& near_linear = held[std::string(what) + ", near-linear"];
    CHECK(near_linear.share_linear() > kLeast);
    CHECK(near_linear.share_linear() < kMost);
  }
  std::printf("judging with trials: %.1f ms an image\n", ms);
}

TEST_CASE("of lugs that are nearly equal, trials and linear propagation have one uncertainty") {
  // JCGM 101, 8.1. Where the coolest of equal lugs is chosen, both hold the choice and the scatter
  // of sound lugs as inputs; u of the trials is stable to 5 %.
  std::mt19937_64 random(7);
  const Simulated s = simulate(24, random, {55, 55.5});
  const auto policy = records::read_policy("neta_mts", {}).value();
  const auto a = test::judged(s.survey, s.results, policy, {},
                              [&](diagnosis::Assessment& motor, const auto& images) {
                                propagate(motor, measured_of(s, images), 0);
                              });
  int compared = 0;
  for (const auto& image : a.images) {
    for (const auto& lug : image.lugs) {
      REQUIRE(lug.monte_carlo);
      if (lug.emissivity.value() < 0.6 || !(lug.rise_over_like->u() > 0)) continue;
      CHECK(lug.reference_choice.value() > 0);
      CHECK(lug.sound_scatter.value() > 0);
      CHECK(lug.monte_carlo->over_like->u ==
            Approx(lug.rise_over_like->u()).epsilon(diagnosis::kTrialTolerance));
      ++compared;
    }
  }
  CHECK(compared > 20);
}

TEST_CASE("trials do not depend on the number of threads, and follow their seed") {
  std::mt19937_64 random(5);
  const Simulated s = simulate(6, random);
  const auto policy = records::read_policy("neta_mts", {}).value();
  const auto text = [&](unsigned jobs, std::uint64_t seed) {
    diagnosis::Options options;
    options.uncertainty = diagnosis::Uncertainty::monte_carlo;
    options.seed = seed;
    auto a = test::judged(s.survey, s.results, policy, options,
                          [&](diagnosis::Assessment& motor, const auto& images) {
                            propagate(motor, measured_of(s, images), jobs);
                          });
    add_budgets(a, s.measured);
    return by_hand::findings_text(a);
  };
  const std::string one = text(1, 1);
  CHECK(one == text(3, 1));
  CHECK(one != text(1, 2));
}

TEST_CASE("a budget's rows make up the combined uncertainty, each by its sensitivity") {
  // JCGM 100, 5.1.2: u² is the sum of (c u)².
  std::mt19937_64 random(6);
  const Simulated s = simulate(4, random);
  const auto policy = records::read_policy("neta_mts", {}).value();
  // Motor by motor, as the program does it: what judge() adds bears the image's place there.
  std::vector<diagnosis::Finding> findings;
  for (const auto& rows : diagnosis::cut(s.survey).motors) {
    std::vector<diagnosis::ImageResult> its;
    for (const std::size_t image : rows.images) its.push_back(s.results[image]);
    auto a = diagnosis::judge(rows.id,
                              diagnosis::rows_alone(s.survey, ImageRows::of(s.survey.images), rows),
                              std::move(its), policy, {});
    add_budgets(a, measured_of(s, rows.images));
    std::move(a.findings.begin(), a.findings.end(), std::back_inserter(findings));
  }
  REQUIRE_FALSE(findings.empty());
  constexpr double kRounding = 1e-12;
  for (const auto& finding : findings) {
    REQUIRE(finding.budget.size() == 3);
    CHECK(finding.budget[1].u == finding.rise_over_like->u());
    for (const auto& budget : finding.budget) {
      double squares = 0;
      double shares = 0;
      for (const auto& input : budget.inputs) {
        CHECK(input.u > 0);
        CHECK(input.sensitivity * input.u == Approx(input.u_k).epsilon(kRounding));
        squares += input.u_k * input.u_k;
        shares += input.share;
      }
      CHECK(std::sqrt(squares) == Approx(budget.u).epsilon(kRounding));
      CHECK(shares == Approx(1).epsilon(kRounding));
    }
    const auto& own = finding.budget[0].inputs.front();
    CHECK(own.kind == InputKind::emissivity);
    CHECK(plainly(own.of) == *finding.lug);
    CHECK(own.u == Approx(0.05 * own.value).epsilon(kRounding));
  }
}
