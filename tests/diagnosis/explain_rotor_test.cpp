// What may lie behind a sweep and an air gap: the tables against their own rules, and what they say
// of motors built by hand. The tables are assumed; these tests hold them to the physics that they
// stand for (ROTOR facts: docs/method.md, "What a sweep can and cannot show").

#include "diagnosis/rotor_causes.h"
#include "ohmglow/explanations.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <set>

using namespace ohmglow;
using namespace ohmglow::diagnosis;

namespace {

constexpr double kTurn = 2 * std::numbers::pi;

struct Bench {
  Survey survey;

  explicit Bench(int poles) {
    Motor motor;
    motor.id = "M";
    motor.poles = poles;
    motor.rated_kw = 315;
    motor.rated_v = Volt{480};
    motor.rated_a = Ampere{450};
    motor.rated_rpm = poles == 2 ? 3570 : 1780;
    survey.motors.push_back(motor);
  }

  // A sweep of 36 angles: `size` of the mean swings `cycles` times a turn, shifted by a third of a
  // cycle from pair to pair where `shifted`; the first pair is `first_more` higher.
  Bench& sweep(int cycles, double size, bool shifted, double first_more = 0) {
    for (int i = 0; i < 36; ++i) {
      SweepReading row;
      row.motor = "M";
      row.sweep = "bought";
      row.angle_deg = 10 * i;
      for (std::size_t pair = 0; pair < 3; ++pair) {
        const double shift = shifted ? kTurn * static_cast<double>(pair) / 3 : 0;
        const double scatter = ((i * 7 + static_cast<int>(pair) * 5) % 11 - 5) * 2e-5;
        row.inductance.at(pair) =
            Henry{0.02 * (1 + size * std::cos(cycles * kTurn * i / 36 + shift) +
                          (pair == 0 ? first_more : 0) + scatter)};
      }
      survey.sweeps.push_back(row);
    }
    return *this;
  }

  // Eight places at four rotor angles, the rotor off by shares of 1.6 mm.
  Bench& gap(double fixed, double turning) {
    for (int turned = 0; turned < 360; turned += 90) {
      for (int at = 0; at < 360; at += 45) {
        AirGapReading row;
        row.motor = "M";
        row.end = MotorEnd::drive;
        row.rotor_deg = turned;
        row.position_deg = at;
        row.gap = Millimetre{1.6 * (1 - fixed * std::cos(kTurn * (at - 90) / 360) -
                                    turning * std::cos(kTurn * (at - turned) / 360))};
        survey.air_gaps.push_back(row);
      }
    }
    return *this;
  }

  Bench& shakes(double mm_s_rms) {
    ShopTest test;
    test.motor = "M";
    test.kind = ShopTestKind::vibration;
    test.values = {mm_s_rms, std::nullopt, std::nullopt};
    test.unit = "mm_s_rms";
    survey.shop_tests.push_back(test);
    return *this;
  }

  Bench& reads(Test test, std::array<double, 3> values) {
    Reading reading;
    reading.motor = "M";
    reading.test = test;
    reading.values = values;
    survey.readings.push_back(reading);
    return *this;
  }

  [[nodiscard]] Explained explained() const {
    const auto its = explain_rotor(survey, "M", rotor::rotors(survey));
    REQUIRE(its);
    return *its;
  }
  [[nodiscard]] std::string likeliest() const { return explained().explanations.front().id; }
  [[nodiscard]] bool saw(const std::string& fact) const {
    const auto seen = explained().seen;
    return std::find(seen.begin(), seen.end(), fact) != seen.end();
  }
};

}  // namespace

TEST_CASE("the tables of rotors: priors, facts of a kind and outcomes of a test sum to one") {
  double priors = 0;
  std::set<std::string_view> ids;
  for (const CauseRow& row : rotor_cause_rows()) {
    priors += row.prior;
    CHECK(ids.insert(row.id).second);
  }
  CHECK(priors == Approx(1).margin(1e-12));
  const auto kinds = rotor_fact_kinds();
  for (std::size_t k = 0; k < kinds.size(); ++k) {
    const auto first = static_cast<std::size_t>(kinds[k]);
    const std::size_t last =
        k + 1 < kinds.size() ? static_cast<std::size_t>(kinds[k + 1]) : kRotorFacts;
    for (std::size_t cause = 0; cause < kRotorCauses; ++cause) {
      double sum = 0;
      for (std::size_t f = first; f < last; ++f) {
        const double likelihood = row_of(static_cast<RotorFact>(f)).likelihood.at(cause);
        CHECK(likelihood > 0);
        sum += likelihood;
      }
      INFO(rotor_cause_rows()[cause].id << ", facts from " << first);
      CHECK(sum == Approx(1).margin(1e-12));
    }
  }
  for (const RotorTestRow& test : rotor_test_rows()) {
    for (std::size_t cause = 0; cause < kRotorCauses; ++cause) {
      double sum = 0;
      for (const RotorOutcome& outcome : test.outcomes) sum += outcome.likelihood.at(cause);
      INFO(test.id);
      CHECK(sum == Approx(1).margin(1e-12));
    }
  }
}

TEST_CASE("a gap that is out in one direction, or turns with the shaft, names what is off") {
  CHECK(Bench(4).gap(0.2, 0).likeliest() == "fixed_offset");
  CHECK(Bench(4).gap(0.02, 0.2).likeliest() == "turning_offset");
  CHECK(Bench(4).gap(0.01, 0.01).likeliest() == "rotor_in_order");
}

TEST_CASE("on four poles an even sweep takes nothing from an eccentric gap, on two it does") {
  const auto share = [](const Bench& bench) {
    for (const Explanation& e : bench.explained().explanations) {
      if (e.id == "turning_offset") return e.probability;
    }
    return -1.0;
  };
  const double four = share(Bench(4).sweep(0, 0, false));
  const double two = share(Bench(2).sweep(0, 0, false));
  CHECK(four > 0.04);  // the prior is 0.06
  CHECK(two < four / 2);
}

TEST_CASE("a poles' pattern on four poles is the rotor's own, never its offset") {
  const Bench bench = Bench(4).sweep(4, 0.004, true);
  CHECK(bench.likeliest() == "uneven_rotor");
  CHECK(bench.saw("sweep_poles"));
  CHECK(bench.explained().tests.front().id == "current_over_slip");
}

TEST_CASE("unequal pairs point to the winding, more so with unequal ohms") {
  const auto plain = Bench(4).sweep(0, 0, false, 0.01);
  CHECK(plain.likeliest() == "stator_winding");
  const auto ohms =
      Bench(4).sweep(0, 0, false, 0.01).reads(Test::winding_resistance, {0.02, 0.021, 0.022});
  CHECK(ohms.saw("pairs_differ"));
  CHECK(ohms.explained().explanations.front().probability >
        plain.explained().explanations.front().probability);
  for (const NextTest& test : ohms.explained().tests) CHECK(test.id != "winding_pairs");
}

TEST_CASE("vibration and currents enter where they were measured") {
  const Bench shaking = Bench(2).gap(0.01, 0).shakes(6);
  CHECK(shaking.saw("vibration_above"));
  CHECK(shaking.likeliest() == "mounting");
  CHECK(Bench(2).gap(0.01, 0).shakes(1).saw("vibration_within"));
  // What is a motor of 900 rpm allowed? Less, so that a low reading of it says nothing.
  Bench slow = Bench(8).gap(0.01, 0).shakes(2.5);
  slow.survey.motors[0].rated_rpm = 890;
  CHECK_FALSE(slow.saw("vibration_within"));
  const Bench unequal = Bench(4)
                            .gap(0.01, 0)
                            .reads(Test::line_voltage, {480, 480, 480})
                            .reads(Test::line_current, {400, 440, 480});
  CHECK(unequal.saw("currents_unequal"));
  // 2 % of the voltages explain 12 to 20 % of the currents (NEMA MG 1's 6 to 10 times).
  const Bench supply = Bench(4)
                           .gap(0.01, 0)
                           .reads(Test::line_voltage, {470, 480, 490})
                           .reads(Test::line_current, {400, 440, 480});
  CHECK(supply.saw("currents_even"));
}

TEST_CASE("a sweep that tells nothing explains nothing, and a policy's own priors count") {
  Bench none(4);
  CHECK_FALSE(explain_rotor(none.survey, "M", rotor::rotors(none.survey)));
  const Bench bench = Bench(4).gap(0.01, 0.01);
  const auto own =
      explain_rotor(bench.survey, "M", rotor::rotors(bench.survey), {{"rotor_in_order", 1e-6}});
  REQUIRE(own);
  CHECK(own->explanations.front().id != "rotor_in_order");
}

TEST_CASE("the latest sweep counts") {
  Bench bench = Bench(4).sweep(4, 0.004, true);
  for (SweepReading& row : bench.survey.sweeps) row.taken_at = Moment::parse("2026-03-04");
  bench.sweep(0, 0, false);
  for (std::size_t i = 36; i < 72; ++i) {
    bench.survey.sweeps[i].taken_at = Moment::parse("2026-05-04");
    bench.survey.sweeps[i].sweep = "repaired";
  }
  CHECK(bench.likeliest() == "rotor_in_order");
  CHECK(bench.saw("sweep_even"));
}
