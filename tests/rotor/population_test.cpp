// Sweeps of known truth over all kinds of machine (pole pairs 1 to 4, fixed, turning and mixed
// offsets, anisotropy, bar ripple, unequal pairs, drift, noise of 0.01 to 0.3 %, uneven angles),
// made by the model of forward_model.h. Limits: a pattern that stands 5 u high is named in 95 % at
// least, one below 1 u in 2 % at most, each by kind. Tuned on seed 1; judged here on others.
#include "forward_model.h"
#include "ohmglow/rotor.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <iostream>
#include <map>
#include <string>

using namespace ohmglow;
using forward::Machine;
using rotor::Pattern;

namespace {

using Random = std::mt19937_64;

double between(Random& random, double low, double high) {
  return std::uniform_real_distribution<double>(low, high)(random);
}
double log_between(Random& random, double low, double high) {
  return std::exp(between(random, std::log(low), std::log(high)));
}
template <class Value>
Value one_of(Random& random, std::initializer_list<Value> values) {
  return values.begin()[std::uniform_int_distribution<std::size_t>(0, values.size() - 1)(random)];
}

struct Case {
  Machine machine;
  std::vector<double> angles;
  int a_turn = 36;
  bool has_overlap = false;
  bool is_even_steps = true;
};

struct Kind {
  std::string name;
  void (*shape)(Case&, Random&);
};

void nothing(Case&, Random&) {}
void with_fixed(Case& c, Random& r) {
  c.machine.es = between(r, 0.02, 0.3);
}
void with_turning(Case& c, Random& r) {
  c.machine.ed = between(r, 0.02, 0.3);
}
void with_both(Case& c, Random& r) {
  c.machine.es = between(r, 0.02, 0.25);
  c.machine.ed = between(r, 0.02, 0.25);
}
void with_anisotropy(Case& c, Random& r) {
  c.machine.rho = log_between(r, 1e-4, 0.05);
}
void with_ripple(Case& c, Random& r) {
  c.machine.c = between(r, 0, 0.005);
}
void with_unequal_pairs(Case& c, Random& r) {
  const double u = log_between(r, 1e-4, 0.03);
  c.machine.u = {u, between(r, -1, 0) * u, 0};
  c.machine.u[2] = -c.machine.u[0] - c.machine.u[1];
}
void with_drift(Case& c, Random& r) {
  c.machine.d = between(r, -0.005, 0.005);
}
void with_uneven_angles(Case& c, Random& r) {
  c.is_even_steps = false;
  with_both(c, r);
}
void with_all(Case& c, Random& r) {
  with_both(c, r);
  with_anisotropy(c, r);
  with_unequal_pairs(c, r);
  if (c.has_overlap) with_drift(c, r);
}

const std::vector<Kind> kKinds{{"even", nothing},
                               {"fixed", with_fixed},
                               {"turning", with_turning},
                               {"both", with_both},
                               {"anisotropy", with_anisotropy},
                               {"ripple", with_ripple},
                               {"unequal pairs", with_unequal_pairs},
                               {"drift", with_drift},
                               {"uneven angles", with_uneven_angles},
                               {"all at once", with_all}};

Case draw(const Kind& kind, Random& random) {
  Case c;
  Machine& m = c.machine;
  m.pole_pairs = one_of(random, {1, 2, 3, 4});
  m.fs_deg = between(random, 0, 360);
  m.fd_deg = between(random, 0, 360);
  m.q_deg = between(random, 0, 360);
  m.q2_deg = between(random, 0, 360);
  m.k = one_of(random, {0.0, 0.5, 1.0});
  m.S = log_between(random, 0.01, 1);
  m.noise = log_between(random, 1e-4, 3e-3);
  c.a_turn = one_of(random, {24, 36, 72});
  m.bars = std::uniform_int_distribution<int>(22, 70)(random);
  c.has_overlap = one_of(random, {true, false});
  kind.shape(c, random);
  if (m.d != 0) c.has_overlap = true;
  c.angles = forward::steps(c.a_turn, c.has_overlap ? 2 * c.a_turn : c.a_turn);
  if (!c.is_even_steps) {
    for (double& angle : c.angles) angle += between(random, -0.4, 0.4) * 360 / c.a_turn;
  }
  return c;
}

Motor motor_of(const Case& c) {
  Motor motor;
  motor.id = "M";
  motor.poles = 2 * c.machine.pole_pairs;
  motor.rotor_bars = c.machine.bars;
  return motor;
}

struct Tally {
  int of = 0;
  int wrong = 0;
  [[nodiscard]] double share() const { return of == 0 ? 0 : static_cast<double>(wrong) / of; }
};

struct Tallies {
  std::map<std::pair<std::string, std::string>, Tally> missed;   // by kind and pattern
  std::map<std::pair<std::string, std::string>, Tally> claimed;  // where there is next to none
  std::map<std::string, Tally> even;  // any pattern named on a machine that has none
  int aliased = 0;
};

bool is_aliased(const Case& c) {
  if (!c.is_even_steps) return false;
  const int rest = c.machine.bars % c.a_turn;
  const int poles = 2 * c.machine.pole_pairs;
  for (const int order : {0, 1, poles}) {
    if (rest == order || c.a_turn - rest == order) return true;
  }
  return false;
}

void judge_case(const Case& c, const std::string& kind, Random& random, Tallies& tallies) {
  const Motor motor = motor_of(c);
  const auto judged = rotor::judge(forward::sweep(c.machine, c.angles, random), &motor);
  REQUIRE(judged.has_value());
  REQUIRE(judged->shows(Pattern::aliased) == is_aliased(c));
  REQUIRE_FALSE(judged->cannot_tell.empty());
  if (is_aliased(c)) {
    ++tallies.aliased;
    return;
  }
  const Machine& m = c.machine;
  const double scatter = std::sqrt(m.noise * m.noise + m.c * m.c / 2);
  const double u = scatter * std::sqrt(2.0 / (3.0 * static_cast<double>(c.angles.size())));
  const int poles = 2 * m.pole_pairs;
  struct Truth {
    Pattern pattern;
    double over_u;
  };
  std::vector<Truth> truths{{Pattern::pole_pattern, forward::amplitude(m, poles, true) / u},
                            {Pattern::once_a_turn, forward::amplitude(m, 1, false) / u},
                            {Pattern::pairs_differ, forward::amplitude(m, 0, true) / u}};
  if (c.has_overlap) {
    double sum = 0;
    for (const double angle : c.angles) sum += std::pow(angle / 360 - 1, 2);
    truths.push_back({Pattern::drifting, std::fabs(m.d) * std::sqrt(3 * sum) / scatter});
  }
  bool is_even = true;
  for (const Truth& truth : truths) {
    const std::pair<std::string, std::string> key{kind, rotor::id_of(truth.pattern)};
    const bool is_named = judged->shows(truth.pattern);
    if (truth.over_u >= 5) {
      Tally& tally = tallies.missed[key];
      ++tally.of;
      tally.wrong += is_named ? 0 : 1;
    }
    if (truth.over_u <= 1) {
      Tally& tally = tallies.claimed[key];
      ++tally.of;
      tally.wrong += is_named ? 1 : 0;
    }
    is_even = is_even && truth.over_u < 0.1;
  }
  if (is_even) {
    Tally& tally = tallies.even[kind];
    ++tally.of;
    tally.wrong += judged->pattern == Pattern::sweep_even ? 0 : 1;
  }
}

Tallies run(std::uint64_t seed, int of_each) {
  Tallies tallies;
  Random random(seed);
  for (const Kind& kind : kKinds) {
    for (int i = 0; i < of_each; ++i) judge_case(draw(kind, random), kind.name, random, tallies);
  }
  return tallies;
}

struct Coverage {
  int drawn = 0, printed = 0, inside = 0;
};
Coverage coverage(std::uint64_t seed, int of_each, bool with_ripple) {
  Coverage count;
  Random random(seed);
  for (int i = 0; i < of_each; ++i) {
    Machine m;
    m.fs_deg = between(random, 0, 360);
    m.fd_deg = between(random, 0, 360);
    m.es = between(random, 0, 0.2);
    m.ed = between(random, 0.02, 0.3);
    m.k = one_of(random, {0.0, 0.5});
    m.S = between(random, 0.3, 1);
    m.noise = log_between(random, 1e-4, 3e-3);
    m.bars = 46;
    if (with_ripple) m.c = between(random, 0, 0.003);
    auto rows = forward::sweep(m, forward::steps(36, 40), random);
    rows.front().gap_share = m.S;
    rows.front().shaft_return = m.k;
    rows.front().anisotropy_excluded = true;
    Motor motor;
    motor.id = "M";
    motor.poles = 2;
    motor.rotor_bars = m.bars;
    const auto judged = rotor::judge(rows, &motor);
    REQUIRE(judged.has_value());
    ++count.drawn;
    if (!judged->eccentricity) continue;
    ++count.printed;
    const auto& its = *judged->eccentricity;
    REQUIRE(its.low <= its.value);
    REQUIRE(its.value <= its.high);
    if (its.low.value() <= 100 * m.ed && 100 * m.ed <= its.high.value()) ++count.inside;
  }
  return count;
}

constexpr std::uint64_t kJudged = 20261;
constexpr int kOfEach = 1200;

}  // namespace

TEST_CASE("patterns that stand 5 u high are named, and none is named where there is none") {
  const Tallies tallies = run(kJudged, kOfEach);
  // Nothing is judged on too few cases.
  constexpr int kEnough = 100;
  int kinds = 0;
  for (const auto& [key, tally] : tallies.missed) {
    if (tally.of < kEnough) continue;
    ++kinds;
    INFO(key.first << ", " << key.second << ": " << tally.wrong << " of " << tally.of << " missed");
    CHECK(tally.share() <= 0.05);
  }
  CHECK(kinds >= 10);
  for (const auto& [key, tally] : tallies.claimed) {
    if (tally.of < kEnough) continue;
    INFO(key.first << ", " << key.second << ": " << tally.wrong << " of " << tally.of
                   << " named below 1 u");
    CHECK(tally.share() <= 0.02);
  }
  for (const std::string kind : {"even", "ripple"}) {
    const Tally& tally = tallies.even.at(kind);
    INFO(kind << ": " << tally.wrong << " of " << tally.of << " even ones have a pattern");
    REQUIRE(tally.of >= kEnough);
    CHECK(tally.share() <= 0.02);
  }
  CHECK(tallies.aliased > 0);
}

TEST_CASE("the turning eccentricity of two poles lies in its 95 % interval") {
  for (const bool with_ripple : {false, true}) {
    const Coverage count = coverage(kJudged + 1, 3000, with_ripple);
    INFO((with_ripple ? "with ripple: " : "without ripple: ")
         << count.inside << " of " << count.printed << " of " << count.drawn);
    REQUIRE(count.printed > count.drawn / 3);
    const double share = static_cast<double>(count.inside) / count.printed;
    CHECK(share >= 0.93);
    CHECK(share <= 0.97);
  }
}

// The figures of docs/method.md: OHMGLOW_SEED says of which set.
TEST_CASE("figures of the population", "[.][figures]") {
  const char* seed = std::getenv("OHMGLOW_SEED");
  const std::uint64_t from = seed == nullptr ? 1 : std::strtoull(seed, nullptr, 10);
  const Tallies tallies = run(from, kOfEach);
  for (const auto& [key, tally] : tallies.missed) {
    std::cout << "missed  " << key.first << ", " << key.second << ": " << tally.wrong << " of "
              << tally.of << '\n';
  }
  for (const auto& [key, tally] : tallies.claimed) {
    std::cout << "claimed " << key.first << ", " << key.second << ": " << tally.wrong << " of "
              << tally.of << '\n';
  }
  for (const auto& [kind, tally] : tallies.even) {
    std::cout << "even    " << kind << ": " << tally.wrong << " of " << tally.of << '\n';
  }
  for (const bool with_ripple : {false, true}) {
    const Coverage count = coverage(from + 1, 3000, with_ripple);
    std::cout << "inside  " << (with_ripple ? "ripple" : "plain") << ": " << count.inside << " of "
              << count.printed << " of " << count.drawn << '\n';
  }
}
