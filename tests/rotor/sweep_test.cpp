// Sweeps made by the model of forward_model.h, each with one thing to see. What must be said of
// each is the house's rule on patterns (docs/method.md, "Rotor and air gap").
#include "forward_model.h"
#include "ohmglow/rotor.h"

#include <catch2/catch.hpp>
#include <set>

using namespace ohmglow;
using namespace ohmglow::rotor;
using forward::Machine;

namespace {

Motor machine_with(int poles, std::optional<int> bars = std::nullopt) {
  Motor motor;
  motor.id = "M";
  motor.poles = poles;
  motor.rotor_bars = bars;
  return motor;
}

Sweep judged(const Machine& machine, const std::vector<double>& angles, const Motor* motor) {
  std::mt19937_64 random(7);
  const auto sweep = judge(forward::sweep(machine, angles, random), motor);
  REQUIRE(sweep.has_value());
  return *sweep;
}

}  // namespace

TEST_CASE("the test's own model agrees with the closed form it was not made from") {
  // (C) closed form l0 [1 - k b^2p + (1 - k) b^2p cos 2p(a - f)] against the test's quadrature.
  for (const int p : {1, 2, 3, 4}) {
    for (const double k : {0.0, 0.5, 1.0}) {
      const Machine m{.pole_pairs = p, .es = 0.1, .fs_deg = 30, .ed = 0.05, .fd_deg = 10, .k = k};
      for (int t = 0; t < 360; t += 50) {
        CHECK(forward::F(m, 1, t) ==
              Approx(inductance_factor({0.1, 30, 0.05, 10}, p, k, pair_axis_deg(1, p), t))
                  .epsilon(1e-12));
      }
    }
  }
}

TEST_CASE("a quiet sweep of an even machine is even, and says that this proves nothing") {
  const Motor motor = machine_with(4, 44);
  const Sweep sweep = judged({.pole_pairs = 2, .noise = 1e-4}, forward::steps(36, 40), &motor);
  CHECK(sweep.pattern == Pattern::sweep_even);
  CHECK(sweep.also.empty());
  REQUIRE_FALSE(sweep.cannot_tell.empty());
  CHECK(plainly(sweep.cannot_tell.front()).find("no proof of an even gap") != std::string::npos);
  CHECK(sweep.closing.has_value());
  CHECK_FALSE(sweep.eccentricity.has_value());
  for (const PairSweep& pair : sweep.pairs) CHECK(pair.mean.value() == Approx(0.02).epsilon(1e-3));
}

TEST_CASE("patterns are told apart, the rotor's own first") {
  const Motor four = machine_with(4);
  const auto one_turn = forward::steps(36, 36);
  const Sweep anisotropic = judged({.pole_pairs = 2, .rho = 0.01, .noise = 2e-4}, one_turn, &four);
  CHECK(anisotropic.pattern == Pattern::pole_pattern);
  const Harmonic* pole = anisotropic.find(4, Sequence::negative);
  REQUIRE(pole != nullptr);
  // rho 1 % swings by 0.5 %.
  CHECK(std::fabs(pole->amplitude.value() - 0.5) <= 4 * pole->u.value());
  for (const PairSweep& pair : anisotropic.pairs) CHECK(pair.peaks.size() == 4);
  const Sweep mixed =
      judged({.pole_pairs = 2, .es = 0.15, .ed = 0.1, .noise = 2e-4}, one_turn, &four);
  CHECK(mixed.pattern == Pattern::once_a_turn);
  const Sweep unequal =
      judged({.pole_pairs = 2, .u = {0.01, -0.004, -0.006}, .noise = 2e-4}, one_turn, &four);
  CHECK(unequal.pattern == Pattern::pairs_differ);
  const Sweep drifting =
      judged({.pole_pairs = 2, .d = 0.004, .noise = 2e-4}, forward::steps(36, 40), &four);
  CHECK(drifting.pattern == Pattern::drifting);
  CHECK(std::fabs(drifting.closing->value() - 0.4) < 0.05);
  const Sweep all = judged({.pole_pairs = 2,
                            .es = 0.15,
                            .ed = 0.1,
                            .u = {0.01, -0.004, -0.006},
                            .rho = 0.01,
                            .noise = 2e-4},
                           one_turn, &four);
  CHECK(all.pattern == Pattern::pole_pattern);
  CHECK(all.shows(Pattern::once_a_turn));
  CHECK(all.shows(Pattern::pairs_differ));
  CHECK(all.cannot_tell.size() >= 3);
}

TEST_CASE("1.2 % of scatter is too noisy, and 0.3 % is not") {
  const Motor motor = machine_with(4);
  CHECK(judged({.pole_pairs = 2, .noise = 0.012}, forward::steps(36, 36), &motor)
            .shows(Pattern::too_noisy));
  CHECK_FALSE(judged({.pole_pairs = 2, .noise = 0.003}, forward::steps(36, 36), &motor)
                  .shows(Pattern::too_noisy));
}

TEST_CASE("bars that fold onto an order are refused at equal steps alone") {
  // 36 steps with 34, 35, 36, 37 or 38 bars fold onto 2, 1, 0, 1 and 2 (C).
  for (const int bars : {34, 35, 36, 37, 38}) {
    const Motor two = machine_with(2, bars);
    const Machine m{.c = 0.002, .bars = bars, .noise = 1e-4};
    const Sweep sweep = judged(m, forward::steps(36, 36), &two);
    INFO(bars);
    CHECK(sweep.pattern == Pattern::aliased);
    CHECK(plainly(sweep.next_test).find("steps a turn") != std::string::npos);
    auto uneven = forward::steps(36, 36);
    for (std::size_t i = 0; i < uneven.size(); ++i) uneven[i] += static_cast<double>(i * 7 % 5) - 2;
    CHECK_FALSE(judged(m, uneven, &two).shows(Pattern::aliased));
  }
  const Motor two = machine_with(2, 46);
  CHECK_FALSE(judged({.noise = 1e-4}, forward::steps(36, 36), &two).shows(Pattern::aliased));
  const Motor uncounted = machine_with(2);
  CHECK_FALSE(judged({.noise = 1e-4}, forward::steps(36, 36), &uncounted).shows(Pattern::aliased));
}

TEST_CASE("at mains frequency a sweep says how little of the gap a sound cage leaves in it") {
  const auto says = [](std::optional<Hertz> frequency, std::optional<double> share) {
    std::vector<SweepReading> rows;
    for (int i = 0; i < 36; ++i) {
      SweepReading row;
      row.angle_deg = 10 * i;
      row.inductance = {Henry{1}, Henry{1}, Henry{1}};
      row.frequency_hz = frequency;
      row.gap_share = share;
      rows.push_back(row);
    }
    const auto sweep = judge(rows, nullptr);
    REQUIRE(sweep.has_value());
    const auto& open = sweep->cannot_tell;
    return std::any_of(open.begin(), open.end(), [](const Sentence& s) {
      return plainly(s) ==
             "At 60 Hz a sound cage leaves about 1.5 % of a change of the gap in the reading.";
    });
  };
  CHECK(says(Hertz{60}, std::nullopt));
  CHECK_FALSE(says(Hertz{60}, 0.3));
  CHECK_FALSE(says(Hertz{1}, std::nullopt));
  CHECK_FALSE(says(std::nullopt, std::nullopt));
}

TEST_CASE("a gap three times the usual one of its motor is questioned, and a usual one is not") {
  // 110 kW, two poles: 1.24 mm.
  const auto questioned = [](double gap_mm, std::optional<double> rated_kw) {
    std::vector<AirGapReading> rows;
    for (int i = 0; i < 8; ++i) {
      AirGapReading row;
      row.position_deg = 45 * i;
      row.gap = Millimetre{gap_mm};
      rows.push_back(row);
    }
    const auto notes = air_gaps(rows, 2, rated_kw).at(0).notes;
    return std::any_of(notes.begin(), notes.end(), [](const Sentence& s) {
      return plainly(s) ==
             "A motor of this size usually has a gap of about 1.2 mm: check the unit.";
    });
  };
  CHECK_FALSE(questioned(1.3, 110));
  CHECK(questioned(0.05, 110));  // inches taken for millimetres
  CHECK(questioned(50, 110));    // mils
  CHECK_FALSE(questioned(50, std::nullopt));
}

TEST_CASE("rows in any order give the same, and too few angles give an error") {
  const Motor motor = machine_with(2);
  std::mt19937_64 random(3);
  auto rows = forward::sweep({.ed = 0.2, .noise = 1e-4}, forward::steps(36, 36), random);
  const auto sorted = judge(rows, &motor);
  std::shuffle(rows.begin(), rows.end(), random);
  const auto shuffled = judge(rows, &motor);
  REQUIRE(sorted.has_value());
  REQUIRE(shuffled.has_value());
  CHECK(sorted->pattern == shuffled->pattern);
  CHECK(sorted->harmonics.back().amplitude == shuffled->harmonics.back().amplitude);
  rows.resize(7);
  const auto few = judge(rows, &motor);
  REQUIRE_FALSE(few.has_value());
  CHECK(few.error().kind == ErrorKind::missing);
}

TEST_CASE("an eccentricity in per cent needs two poles and three words on the machine") {
  const Motor two = machine_with(2);
  const Motor four = machine_with(4);
  std::mt19937_64 random(11);
  const auto rows = forward::sweep({.ed = 0.2, .noise = 1e-4}, forward::steps(36, 40), random);
  const auto said = [&](std::optional<double> share, std::optional<double> shaft,
                        std::optional<bool> excluded, const Motor& motor) {
    auto told = rows;
    told.front().gap_share = share;
    told.front().shaft_return = shaft;
    told.front().anisotropy_excluded = excluded;
    return judge(told, &motor)->eccentricity;
  };
  const auto full = said(1, 0, true, two);
  REQUIRE(full.has_value());
  CHECK(full->low.value() <= 20);
  CHECK(full->high.value() >= 20);
  CHECK(full->high.value() - full->low.value() < 1);
  CHECK_FALSE(said(std::nullopt, 0, true, two).has_value());
  CHECK_FALSE(said(1, std::nullopt, true, two).has_value());
  CHECK_FALSE(said(1, 0, std::nullopt, two).has_value());
  CHECK_FALSE(said(1, 0, false, two).has_value());
  CHECK_FALSE(said(1, 1, true, two).has_value());
  CHECK_FALSE(said(1, 0, true, four).has_value());
}

TEST_CASE("without poles, or with too few angles for them, their pattern is said to be unsought") {
  const Sweep unknown = judged({.noise = 1e-4}, forward::steps(36, 36), nullptr);
  const Motor eight = machine_with(8);
  const Sweep coarse = judged({.pole_pairs = 4, .noise = 1e-4}, forward::steps(12, 12), &eight);
  for (const Sweep* sweep : {&unknown, &coarse}) {
    CHECK_FALSE(sweep->shows(Pattern::pole_pattern));
    CHECK_FALSE(sweep->pairs[0].peak_drift.has_value());
    bool is_said = false;
    for (const Sentence& open : sweep->cannot_tell) {
      is_said = is_said || plainly(open).find("pattern") != std::string::npos;
    }
    CHECK(is_said);
  }
}

TEST_CASE("a value is held against its limit with its uncertainty") {
  // JCGM 106:2012, 8.3: guard bands at 95 % to one side, 1.645 u.
  CHECK(at_most(5, 0, 5) == Conformity::pass);
  CHECK(at_most(5.0001, 0, 5) == Conformity::fail);
  CHECK(at_most(5, 0.1, 5) == Conformity::too_close);
  CHECK(at_most(4.83, 0.1, 5) == Conformity::pass);
  CHECK(at_most(4.84, 0.1, 5) == Conformity::too_close);
  CHECK(at_most(5.16, 0.1, 5) == Conformity::too_close);
  CHECK(at_most(5.17, 0.1, 5) == Conformity::fail);
}

TEST_CASE("the gauge's step makes a close gap too close, and a lost gap forbids a pass") {
  const auto end_of = [](const std::vector<double>& gaps, std::optional<double> step_mm,
                         std::optional<int> poles, bool with_lost) {
    std::vector<AirGapReading> rows;
    for (std::size_t i = 0; i < gaps.size(); ++i) {
      AirGapReading row;
      row.motor = "M";
      row.end = MotorEnd::drive;
      row.position_deg = 360.0 * static_cast<double>(i) / static_cast<double>(gaps.size());
      row.gap = Millimetre{gaps[i]};
      if (step_mm) row.resolution = Millimetre{*step_mm};
      rows.push_back(row);
    }
    if (with_lost) {
      rows.push_back(rows.front());
      rows.back().gap.reset();
    }
    const auto ends = air_gaps(rows, poles);
    REQUIRE(ends.size() == 1);
    return ends.front();
  };
  const std::vector<double> near{1.005, 1.048, 0.999, 0.948};
  CHECK(end_of(near, std::nullopt, 4, false).result == Conformity::pass);
  CHECK(end_of(near, 0.05, 2, false).result == Conformity::too_close);
  CHECK(end_of(near, std::nullopt, std::nullopt, false).result == Conformity::not_done);
  CHECK(end_of(near, std::nullopt, 4, true).result == Conformity::not_done);
  CHECK(end_of({1.0, 1.3, 1.0, 0.7}, 0.05, 4, true).result == Conformity::fail);
  CHECK(end_of({1.0, 1.0, 1.0}, std::nullopt, 4, false).result == Conformity::not_done);
  // u of one gap among n: step/√12 · √((1 − 1/n)² + (n − 1)/n²) / mean, about an even gap.
  const AirGap even = end_of({1.0, 1.0, 1.0, 1.0}, 0.05, 4, false);
  CHECK(even.max_deviation_u.value() ==
        Approx(100 * 0.05 / std::sqrt(12.0) * std::sqrt(0.75)).epsilon(1e-9));
  bool says_29 = false;
  for (const Sentence& note : even.notes) {
    says_29 = says_29 || plainly(note).find("29 %") != std::string::npos;
  }
  CHECK(says_29);
}

TEST_CASE("places at unequal steps give the same offset, and the latest day of an end counts") {
  std::vector<GapPlace> places;
  for (const double at : {0.0, 35.0, 100.0, 170.0, 200.0, 301.0}) {
    places.push_back({at, 1.6 * (1 - 0.07 * std::cos((at - 215) * forward::kDegree))});
  }
  const auto harmonic = gap_harmonic(places);
  REQUIRE(harmonic.has_value());
  CHECK(harmonic->mean_mm == Approx(1.6).epsilon(1e-12));
  CHECK(harmonic->eccentricity == Approx(0.07).epsilon(1e-10));
  CHECK(harmonic->smallest_at_deg == Approx(215).epsilon(1e-10));
  CHECK_FALSE(gap_harmonic(std::span(places).first(2)).has_value());
  std::vector<AirGapReading> rows;
  for (const char* day : {"2026-03-04", "2026-05-04"}) {
    for (int i = 0; i < 4; ++i) {
      AirGapReading row;
      row.end = MotorEnd::opposite;
      row.taken_at = Moment::parse(day);
      row.position_deg = 90 * i;
      row.gap = Millimetre{std::string(day) == "2026-05-04" ? 1.5 : 1.0};
      rows.push_back(row);
    }
  }
  const auto ends = air_gaps(rows, 2);
  REQUIRE(ends.size() == 1);
  CHECK(ends[0].mean.value() == 1.5);
  CHECK(ends[0].taken_at->text == "2026-05-04");
}
