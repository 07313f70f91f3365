#include "cases.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace ohmglow;
using namespace ohmglow::test;

namespace {

using Loads = PerPhase<std::optional<Ampere>>;

std::vector<diagnosis::ElectricalResult> worked_out(const Case& c, const Loads& loads = {}) {
  std::vector<const Reading*> readings;
  for (const Reading& reading : c.survey.readings) readings.push_back(&reading);
  const Motor* motor = c.survey.motors.empty() ? nullptr : &c.survey.motors[0];
  return diagnosis::work_out(readings, motor, c.policy, loads);
}

}  // namespace

TEST_CASE("a first pair that reads less at the end takes the cooling out of the pairs") {
  // A sound motor of 0.4 ohm a pair that cools by 4 K over four readings at equal steps: copper at
  // 60 °C loses 1/(234.5 + 60) = 0.34 % a kelvin (inferred-zero rule), so 0.45 % a step.
  Case c;
  const auto at = [](double celsius) { return 0.4 * (234.5 + celsius) / (234.5 + 60); };
  const double step = 4.0 / 3;
  Reading& cooling = c.ohms("M1", {at(60), at(60 - step), at(60 - 2 * step)});
  cooling.meter_u_pct = 0.1;
  cooling.value_1_again = at(56);
  Reading& plain = c.ohms("M1", {at(60), at(60 - step), at(60 - 2 * step)});
  plain.meter_u_pct = 0.1;
  Reading& same = c.ohms("M1", {0.4, 0.41, 0.4});
  same.meter_u_pct = 0.1;
  same.value_1_again = 0.4004;  // a tenth of a per cent: within the meter
  const auto r = worked_out(c);
  CHECK(r[0].drift_taken_off);
  CHECK(r[0].first_pair_drift->value() == Approx(-100 * 4 / 294.5).margin(1e-9));
  CHECK(r[0].unbalance->value() == Approx(0).margin(1e-9));
  CHECK(r[1].unbalance->value() > 0.4);
  CHECK_FALSE(r[1].first_pair_drift);
  CHECK_FALSE(r[2].drift_taken_off);
  CHECK(r[2].first_pair_drift->value() == Approx(0.1).margin(1e-9));
  CHECK(r[2].values[1] == 0.41);
}

TEST_CASE("a resistance reading is resolved, graded and referred to 25 °C") {
  // .520, .512, .508 Ω: 1.29870 % of the pairs; 0.512 Ω at 18 °C is 0.52619406 Ω at 25 °C with
  // k = 234.5 (computed independently with numpy).
  Case c;
  c.motor("M1").connection = Connection::delta;
  c.ohms("M1", {.520, .512, .508}).temperature_c = Celsius{18};
  const auto r = worked_out(c).at(0);
  REQUIRE(r.resolution);
  CHECK(r.unbalance->value() == Approx(1.29870).margin(5.1e-6));
  CHECK(r.resolution->windings);
  CHECK(*r.grade.band == 0);
  CHECK(r.grade.by == severity::DecidedBy::reading);
  CHECK(r.referred_25c->at(1).value() == Approx(0.52619406).margin(5.1e-9));
  CHECK_FALSE(r.excess_w);
}

TEST_CASE("without the winding's temperature nothing is referred") {
  Case c;
  c.ohms("M1", {.520, .512, .508});
  c.ohms("M1", {.520, .512, .508}).temperature_c = Celsius{-240};  // below copper's inferred zero
  CHECK_FALSE(worked_out(c)[0].referred_25c);
  CHECK_FALSE(worked_out(c)[1].referred_25c);
}

TEST_CASE("the watts are at the loads given, else at the line current of the reading's own day") {
  // I²R.
  Case c;
  c.ohms("M1", pairs_with(Phase::two, 0.01), "box", "2026-02-11");
  c.ohms("M1", pairs_with(Phase::two, 0.01), "box", "2026-02-12");
  c.read("M1", Test::line_current, {10, 20, 30}, "box", "2026-02-11T09:00");
  c.read("M1", Test::line_current, {10, 40, 30}, "box", "2026-02-11T10:00");
  const auto alone = worked_out(c);
  CHECK(alone[0].excess_at_a->value() == 40);
  CHECK(alone[0].excess_w->value() == Approx(16).margin(1e-9));
  CHECK_FALSE(alone[1].excess_w);
  const auto loaded = worked_out(c, {Ampere{50}, std::nullopt, Ampere{70}});
  CHECK(loaded[0].excess_at_a->value() == 60);  // the mean of those given
  CHECK(loaded[1].excess_w->value() == Approx(36).margin(1e-9));
}

TEST_CASE("voltages get both unbalances, the derating factor and the pair farthest from the mean") {
  // 400, 395, 388 V: NEMA 1.606086 %, negative sequence 1.763135 % (computed independently); the
  // low line is the farthest. Derating between 0.97 and 0.95 (NEMA MG 1 curve, read off).
  Case c;
  c.read("M1", Test::line_voltage, {400, 395, 388});
  const auto r = worked_out(c).at(0);
  CHECK(r.unbalance->value() == Approx(1.606086).margin(5.1e-7));
  CHECK(r.negative_sequence->value() == Approx(1.763135).margin(5.1e-7));
  CHECK(*r.derating < 0.97);
  CHECK(*r.derating > 0.95);
  CHECK(*r.farthest == 3);
}

TEST_CASE("currents get their unbalance and the phase farthest from the mean") {
  // 33, 29, 34 A: 9.375 % (computed independently).
  Case c;
  c.read("M1", Test::line_current, {33, 29, 34});
  const auto r = worked_out(c).at(0);
  CHECK(r.unbalance->value() == Approx(9.375).margin(1e-9));
  CHECK(*r.farthest == 2);
}

TEST_CASE("currents of a motor at rest are no problem, impossible values are") {
  // No source: what a meter can show.
  Case c;
  c.read("M1", Test::line_current, {0, 0, 0});
  c.read("M1", Test::line_current, {-5, 10, 10});
  c.read("M1", Test::line_voltage, {0, 0, 0});
  c.read("M1", Test::line_voltage, {100, 300, 100});
  c.ohms("M1", {0, 1, 1});
  const auto r = worked_out(c);
  CHECK(r[0].problem.empty());
  CHECK_FALSE(r[0].unbalance);
  for (std::size_t i = 1; i < r.size(); ++i) CHECK_FALSE(r[i].problem.empty());
}

TEST_CASE("a two-wire meter's leads are taken off, and their uncertainty widens the rest") {
  // {1.35, 1.3, 1.35} Ω less 0.3 Ω: 100·0.05/1.55 = 3.2258 % of the pairs. Leads known to 0.03 Ω
  // make about 0.03·√(2/3)/1.033 = 2.4 % of it: at 95 % that is no unbalance (3.2 − 1.645·2.4).
  Case c;
  Reading& bare = c.ohms("M1", {1.35, 1.3, 1.35});
  bare.lead_ohm = Ohm{0.3};
  Reading& unsure = c.ohms("M1", {1.35, 1.3, 1.35});
  unsure.lead_ohm = Ohm{0.3};
  unsure.lead_u_ohm = Ohm{0.03};
  c.ohms("M1", {1.35, 1.3, 1.35});
  const auto r = worked_out(c);
  CHECK(r[0].unbalance->value() == Approx(100 * 0.05 / 1.55).margin(1e-9));
  CHECK(r[0].resolution->legs[1].value() == Approx(0.5).margin(1e-9));
  CHECK(r[0].abnormal);
  CHECK(r[1].unbalance->value() == Approx(r[0].unbalance->value()).margin(1e-12));
  CHECK(r[1].resolution->pair_unbalance_u.value() == Approx(2.37).margin(0.05));
  CHECK_FALSE(r[1].abnormal);
  CHECK(r[2].unbalance->value() < 2.6);  // with the leads in it the same excess looks smaller
}

TEST_CASE("across the joints the highest is held against the lowest, by more than half of it") {
  // ANSI/NETA: more than 50 % above the lowest of similar connections (from memory). 0.5 mΩ at
  // 100 A are 5 W, which no lug of such a motor sheds under 1 K.
  Case c;
  c.motor("M1").rated_a = Ampere{100};
  const auto joint = [&c](std::array<double, 3> ohm) {
    Reading& reading = c.read("M1", Test::joint_resistance, ohm, "box");
    reading.meter_u_pct = 0;
    reading.resolution = 0;
  };
  joint({0.0015, 0.001, 0.001});
  joint({0.00151, 0.001, 0.001});
  const auto r = worked_out(c);
  REQUIRE(r[0].joint);
  CHECK(r[0].joint->over_lowest_pct == Approx(50).margin(1e-9));
  CHECK_FALSE(r[0].joint->bad);
  CHECK(r[1].joint->bad);
  CHECK(r[1].joint->phase == Phase::one);
  CHECK(r[1].joint->excess.value() == Approx(0.00051).margin(1e-12));
  // The default meter of 1 % leaves 60 % bad and 51 % open: its u of the quotient is 1.51·√2 %.
  c.survey.readings.clear();
  c.read("M1", Test::joint_resistance, {0.00151, 0.001, 0.001}, "box");
  c.read("M1", Test::joint_resistance, {0.0016, 0.001, 0.001}, "box");
  CHECK_FALSE(worked_out(c)[0].joint->bad);
  CHECK(worked_out(c)[1].joint->bad);
}

TEST_CASE("good joints of some micro-ohms part by half as well, and nobody need open them") {
  // 2 µΩ at 100 A are 20 mW.
  Case c;
  c.motor("M1").rated_a = Ampere{100};
  c.read("M1", Test::joint_resistance, {5e-6, 3e-6, 3e-6}, "box");
  CHECK_FALSE(worked_out(c).at(0).joint->bad);
}

TEST_CASE("a drop across a joint is worth what the current of its day tells") {
  // Ohm: 45 mV over 90 A are 0.5 mΩ.
  Case c;
  c.motor("M1").rated_a = Ampere{100};
  c.read("M1", Test::joint_drop, {0.045, 0.0036, 0.0038}, "box", "2026-03-01");
  const auto alone = worked_out(c);
  CHECK_FALSE(alone[0].joint);
  CHECK(alone[0].problem.find("says nothing without the current") != std::string::npos);
  // The images' currents of another day are not those of the drop.
  CHECK_FALSE(worked_out(c, {Ampere{90}, Ampere{90}, Ampere{90}})[0].joint);
  c.read("M1", Test::line_current, {90, 90, 90}, "box", "2026-03-01");
  const auto with_current = worked_out(c);
  REQUIRE(with_current[0].joint);
  CHECK(with_current[0].problem.empty());
  CHECK(with_current[0].joint->joints[0].value() == Approx(0.0005).margin(1e-12));
  CHECK(with_current[0].joint->bad);
}

TEST_CASE("results stand in the order of the readings") {
  Case c;
  c.read("M1", Test::line_voltage, {400, 400, 400}, "b");
  c.ohms("M1", {1, 1, 1}, "a");
  const auto r = worked_out(c);
  CHECK(r[0].place == "b");
  CHECK(r[1].place == "a");
  CHECK(r[1].test == Test::winding_resistance);
}

TEST_CASE(
    "the meter of the row decides the uncertainties, house rules stand in for what is empty") {
  // House rules: 0.2 %, 2 %, 0.5 % and a four-digit display.
  Case c;
  c.ohms("M1", {1.02, 1, 1.02});
  Reading& own = c.ohms("M1", {1.02, 1, 1.02});
  own.meter_u_pct = 1;
  own.resolution = 0.01;
  c.read("M1", Test::line_current, {33, 29, 34});
  const auto r = worked_out(c);
  CHECK(r[0].meter.u == Percent{0.2});
  CHECK(r[0].meter.least_count.value() == Approx(0.001));
  CHECK(r[1].meter.u == Percent{1});
  CHECK(r[1].resolution->excess_u > r[0].resolution->excess_u);
  CHECK(r[1].resolution->phase_probability < r[0].resolution->phase_probability);
  CHECK(r[2].meter.u == Percent{2});
  CHECK(r[2].unbalance_u->value() > 1);
}
