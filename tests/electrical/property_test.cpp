// Random circuits forward-modelled by circuit theory (series, and the delta-to-wye transform of
// textbooks), read with a meter of the accuracy that the program assumes, and resolved. The shares
// demanded are the project's own; no source.
#include "offered/electrical/segments.h"

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace ohmglow;
using namespace ohmglow::electrical;

namespace {

constexpr int kCircuits = 10'000;
constexpr double kConfident = 0.95;
constexpr double kPhaseRight = 0.99;
constexpr double kSegmentRight = 0.95;
constexpr double kClear = 3;      // excess over its standard uncertainty
constexpr double kFewErrors = 3;  // standard deviations of a count

using Three = std::array<double, 3>;

struct Circuit {
  std::vector<Three> stretches;  // from the supply; the last holds the winding's legs
  std::size_t bad_stretch = 0;
  std::size_t bad_phase = 0;
};

class Maker {
 public:
  double uniform(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random_);
  }
  double decades(double low, double high) {
    return std::pow(10, uniform(std::log10(low), std::log10(high)));
  }
  std::size_t below(std::size_t n) {
    return std::uniform_int_distribution<std::size_t>(0, n - 1)(random_);
  }
  double normal() { return normal_(random_); }

  // The legs of a wye or a delta whose windings differ by a thousandth.
  Three winding(double leg_ohm) {
    constexpr double kSpread = 1e-3;
    Three w{};
    for (double& x : w) x = leg_ohm * (1 + kSpread * normal());
    if (below(2) == 0) return w;
    const double a = 3 * w[0];
    const double b = 3 * w[1];
    const double c = 3 * w[2];  // windings 1-2, 2-3, 3-1
    const double sum = a + b + c;
    return {a * c / sum, a * b / sum, b * c / sum};
  }

  // `most_excess` relative to a leg; 0 for a sound circuit.
  Circuit circuit(double least_excess, double most_excess) {
    Circuit made;
    const double leg = decades(1e-3, 10);
    const std::size_t cables = below(4);  // 1 to 4 stretches with the winding's
    for (std::size_t j = 0; j < cables; ++j) {
      const double cable = leg * decades(1e-3, 0.3);
      made.stretches.push_back({cable, cable, cable});
    }
    made.stretches.push_back(winding(leg));
    made.bad_stretch = below(made.stretches.size());
    made.bad_phase = below(3);
    if (most_excess > 0) {
      made.stretches[made.bad_stretch].at(made.bad_phase) +=
          leg * decades(least_excess, most_excess);
    }
    return made;
  }

  // Readings at every place, each with its own error and rounded to four digits.
  std::vector<PlaceReading> read(const Circuit& circuit) {
    std::vector<PlaceReading> places;
    for (std::size_t k = 0; k < circuit.stretches.size(); ++k) {
      const Three leg = legs_at(circuit, k);
      Three pair{leg[0] + leg[1], leg[1] + leg[2], leg[2] + leg[0]};
      for (double& r : pair) r *= 1 + kResistanceMeterU.value() / 100 * normal();
      const double step = four_digit_least_count(*std::max_element(pair.begin(), pair.end()));
      for (double& r : pair) r = std::round(r / step) * step;
      places.push_back({{Ohm{pair[0]}, Ohm{pair[1]}, Ohm{pair[2]}}, {kResistanceMeterU, step}});
    }
    return places;
  }

  static Three legs_at(const Circuit& circuit, std::size_t place) {
    Three sum{0, 0, 0};
    for (std::size_t j = place; j < circuit.stretches.size(); ++j) {
      for (std::size_t p = 0; p < 3; ++p) sum.at(p) += circuit.stretches[j].at(p);
    }
    return sum;
  }

 private:
  std::mt19937_64 random_{20260304};
  std::normal_distribution<double> normal_;
};

std::size_t highest(const Three& legs) {
  return static_cast<std::size_t>(std::max_element(legs.begin(), legs.end()) - legs.begin());
}

double excess_of(const Three& r, std::size_t phase) {
  return r.at(phase) - (r.at((phase + 1) % 3) + r.at((phase + 2) % 3)) / 2;
}

// Statements with a probability beside them, and how often they were wrong.
struct Tally {
  int made = 0;
  int wrong = 0;
  double allowed = 0;   // Σ (1 − p)
  double variance = 0;  // Σ p (1 − p)
  void count(double probability, bool right) {
    ++made;
    if (!right) ++wrong;
    allowed += 1 - probability;
    variance += probability * (1 - probability);
  }
  [[nodiscard]] bool keeps_its_word() const {
    return wrong <= allowed + kFewErrors * std::sqrt(variance) + 1;
  }
};

}  // namespace

TEST_CASE("of ten thousand random circuits the phase is named right wherever the excess is clear") {
  Maker maker;
  int clear = 0;
  int right = 0;
  Tally confident;
  for (int i = 0; i < kCircuits; ++i) {
    const Circuit circuit = maker.circuit(1e-3, 1);
    const Three truth = Maker::legs_at(circuit, 0);
    const PlaceReading reading = maker.read(circuit)[0];
    const auto r = resolve(reading.pairs, Connection::wye, reading.meter);
    REQUIRE(r);
    const bool named = index_of(r->phase) == highest(truth);
    if (excess_of(truth, highest(truth)) > kClear * r->excess_u.value()) {
      ++clear;
      if (named) ++right;
    }
    // Below the limit nothing is said about a phase.
    const bool said = r->pair_unbalance > kNormalPairUnbalance;
    if (said && r->phase_probability > kConfident) confident.count(r->phase_probability, named);
  }
  CHECK(clear > kCircuits / 3);
  CHECK(right >= kPhaseRight * clear);
  CHECK(confident.made > kCircuits / 4);
  CHECK(confident.keeps_its_word());
}

TEST_CASE(
    "of ten thousand random circuits the stretch is named right wherever the excess is clear") {
  Maker maker;
  int clear = 0;
  int right = 0;
  Tally confident;
  for (int i = 0; i < kCircuits; ++i) {
    const Circuit circuit = maker.circuit(1e-3, 1);
    const auto solved = solve_segments(maker.read(circuit), {});
    REQUIRE(solved);
    std::size_t largest = 0;
    double truth = 0;
    for (std::size_t j = 0; j < circuit.stretches.size(); ++j) {
      const Three& r = circuit.stretches[j];
      if (excess_of(r, highest(r)) <= truth) continue;
      truth = excess_of(r, highest(r));
      largest = j;
    }
    const auto best =
        std::max_element(solved->begin(), solved->end(),
                         [](const Segment& a, const Segment& b) { return a.excess < b.excess; });
    const bool place = static_cast<std::size_t>(best - solved->begin()) == largest;
    const bool phase = index_of(best->phase) == highest(circuit.stretches[largest]);
    if (truth > kClear * best->excess_u.value()) {
      ++clear;
      if (place) ++right;
    }
    if (best->probability > kConfident) confident.count(best->probability, place && phase);
  }
  CHECK(clear > kCircuits / 3);
  CHECK(right >= kSegmentRight * clear);
  CHECK(confident.made > kCircuits / 4);
  CHECK(confident.keeps_its_word());
}

TEST_CASE("of ten thousand sound circuits none is said to have a bad phase") {
  Maker maker;
  int said = 0;
  for (int i = 0; i < kCircuits; ++i) {
    const PlaceReading reading = maker.read(maker.circuit(0, 0))[0];
    const auto r = resolve(reading.pairs, Connection::unknown, reading.meter);
    REQUIRE(r);
    if (r->pair_unbalance > kNormalPairUnbalance && r->phase_probability > kConfident) ++said;
  }
  CHECK(said == 0);
}
