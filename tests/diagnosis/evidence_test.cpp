#include "cases.h"

#include <catch2/catch.hpp>

using namespace ohmglow;
using namespace ohmglow::test;

namespace {

Case hot_with(std::array<double, 3> ohms, std::optional<double> area_cm2, double load_a) {
  Case c;
  Motor& motor = c.motor("M1");
  motor.connection = Connection::wye;
  motor.rated_a = Ampere{100};
  if (area_cm2) motor.lug_area_cm2 = SquareCentimetre{*area_cm2};
  c.see(Picture("a.tif", "M1", "box", {60, 40, 40}).load(load_a));
  c.ohms("M1", ohms, "box", "2026-02-11");
  return c;
}

}  // namespace

TEST_CASE("every line of evidence names its source, for even components too") {
  // Design: each number with its rule's source.
  Case c = hot_with({1, 1, 1}, 12, 30);
  c.motor("M2");
  c.see(Picture("b.tif", "M2", "box", {20.2, 20.3, 20.1}));
  c.ohms("M2", {1, 1, 1}, "box");
  c.read("M1", Test::line_voltage, {400, 395, 388}, "box");
  const Assessment a = c.judge();
  std::size_t lines = 0;
  for (const ComponentResult& component : a.components) {
    CHECK(component.evidence.size() >= 3);
    for (const auto& line : component.evidence) {
      CHECK_FALSE(line.text.empty());
      CHECK_FALSE(line.source.empty());
      ++lines;
    }
  }
  CHECK(lines > 10);
}

TEST_CASE("a finding's evidence names the row of the policy that decided") {
  const Assessment a = hot_with({1, 1, 1}, 12, 90).judge();
  const auto& evidence = a.findings.at(0).evidence;
  REQUIRE(says(evidence, "T1 (phase 1): rise over like 20.0 ± 0.00 K: above 15 K → urgent"));
  CHECK(evidence[0].source == "row 4");
}

TEST_CASE("the pair unbalance is printed beside that of the legs, with its limit") {
  // .520, .512, .508: 1.29870 % of the pairs, 2.59740 % of the legs (computed with numpy).
  const Assessment a = hot_with({.520, .512, .508}, 12, 90).judge();
  CHECK(says(a.components[0].evidence,
             "pair unbalance 1.3 % (legs 2.6 %) of winding resistance at box, 2026-02-11: above "
             "1 % → watch"));
}

TEST_CASE("on a small motor heat alone is told to be invisible to the meter, in numbers") {
  // 12 cm² at 20 K shed 10·12e-4·20 = 0.24 to 0.384 W; at 10 A that is 2.4 to 3.84 mΩ, and
  // 100·x/(3·0.5 + x) = 0.1597 to 0.2553 %. The limit of 1 % needs x = 1.5/99 = 15.2 mΩ, 1.52 W.
  const Assessment a = hot_with({1, 1, 1}, 12, 10).judge();
  REQUIRE(a.components[0].verdict == Verdict::heat_only);
  const auto& evidence = a.components[0].evidence;
  CHECK(says(evidence, "from 15.2 mΩ on, which would be 1.5 W at 10.0 A"));
  const std::string line = line_with(evidence, "shed at least");
  CHECK(line.find("0.24 to 0.38 W") != std::string::npos);
  CHECK(line.find("2.40 mΩ to 3.84 mΩ") != std::string::npos);
  CHECK(line.find("cannot see this heat") != std::string::npos);
}

TEST_CASE(
    "on a motor of milliohms the same heat would have to show, and the readings contradict it") {
  // Legs of 2.5 mΩ: 2.4 to 3.84 mΩ make 24 to 34 % in the pairs.
  const Assessment a = hot_with({.005, .005, .005}, 12, 10).judge();
  REQUIRE(a.components[0].verdict == Verdict::heat_only);
  CHECK(says(a.components[0].evidence, "the readings contradict the heat"));
}

TEST_CASE("between the two the readings may or may not see the heat") {
  // Legs of 0.1 Ω: 2.4 to 3.84 mΩ make 0.79 to 1.26 %.
  const Assessment a = hot_with({.2, .2, .2}, 12, 10).judge();
  CHECK(says(a.components[0].evidence, "may or may not see"));
}

TEST_CASE("without the lug's area or the current the missing number is named") {
  CHECK(says(hot_with({1, 1, 1}, std::nullopt, 10).judge().components[0].evidence,
             "needs lug_area_cm2"));
  CHECK(says(hot_with({1, 1, 1}, 12, 0).judge().components[0].evidence, "needs the load current"));
}

TEST_CASE("a confirmed fault is held against the area that its watts would need") {
  // 20 mΩ at 60 A: 72 W for 20 K: 0.278 K/W; 72/(16·20) to 72/(10·20) m² = 2250 to 3600 cm².
  const Assessment a = hot_with(pairs_with(Phase::one, 0.02), 12, 60).judge();
  REQUIRE(a.components[0].verdict == Verdict::confirmed);
  const std::string line = line_with(a.components[0].evidence, "still-air cooling");
  CHECK(line.find("72 W for 20.0 K over like is 0.28 K/W") == 0);
  CHECK(line.find("2250 to 3600 cm²") != std::string::npos);
  CHECK(line.find("leaves along cable and stud") != std::string::npos);
}

TEST_CASE("an excess too small for the heat of the lug is said not to explain it") {
  // 20 mΩ at 1 A: 20 mW for 20 K, where 12 cm² alone shed 0.24 W or more.
  const Assessment a = hot_with(pairs_with(Phase::one, 0.02), 12, 1).judge();
  CHECK(says(a.components[0].evidence, "does not explain all of the heat"));
}

TEST_CASE("readings at two places locate the excess between them") {
  // Kirchhoff: what one place has more than the next sits between the two.
  Case c = hot_with(pairs_with(Phase::one, 0.050), 12, 50);
  c.ohms("M1", pairs_with(Phase::one, 0.002), "motor leads", "2026-02-11");
  const Assessment a = c.judge();
  const std::string line = line_with(a.components[0].evidence, "by place");
  CHECK(line.find("50.0 mΩ at box, 2.00 mΩ at motor leads") != std::string::npos);
  CHECK(line.find("48.0 mΩ, lies between box and motor leads") != std::string::npos);
}

TEST_CASE("an excess that both places see lies beyond the farther one") {
  Case c = hot_with(pairs_with(Phase::one, 0.050), 12, 50);
  c.ohms("M1", pairs_with(Phase::one, 0.048), "motor leads", "2026-02-11");
  CHECK(says(c.judge().components[0].evidence, "48.0 mΩ, lies beyond motor leads"));
}

TEST_CASE("the stretch with the excess names what was looked at there and what was not") {
  // circuit.csv: starter, disconnect, box; readings at starter and box, an image of the box alone.
  Case c = hot_with(pairs_with(Phase::one, 0.002), 12, 50);
  auto& upstream = c.ohms("M1", pairs_with(Phase::one, 0.060), "Starter", "2026-02-11");
  for (double& value : upstream.values) value += 2 * 0.0387;
  const auto place = [&c](const char* name, double order, const char* size) {
    CircuitPlace row;
    row.motor = "M1";
    row.place = name;
    row.order = order;
    row.size = size;
    if (*size != 0) row.length_m = Metre{50};
    c.survey.circuit.push_back(row);
  };
  place("box", 3, "");
  place("starter", 1, "50 mm2");
  place("disconnect", 2, "50 mm2");
  const Assessment a = c.judge();
  const auto& segments = a.motors.at(0).segments;
  REQUIRE(segments.size() == 2);
  CHECK(segments[0].from == "starter");
  CHECK(segments[0].to == "box");
  CHECK(segments[0].phase == Phase::one);
  CHECK(segments[0].excess.value() == Approx(0.058).margin(1e-9));
  CHECK(segments[0].probability > 0.99);
  CHECK(segments[0].expected_cable->value() == Approx(0.0387).margin(1e-9));  // 100 m, IEC 60228
  CHECK(segments[0].imaged == std::vector<std::string>{"box"});
  CHECK(segments[0].not_imaged == std::vector<std::string>{"starter", "disconnect"});
  CHECK(segments[1].to.empty());
  CHECK(says(a.components[0].evidence,
             "looked at there: box; not yet looked at: starter, disconnect"));
  CHECK(says(a.components[0].evidence, "its cable makes 38.7 mΩ"));
}

TEST_CASE("only what the voltages do not explain of a current unbalance is left for the circuit") {
  // 400, 395, 388 V are 1.606 % and, six to ten times, 9.6 to 16.1 % of current at rated load.
  Case c = hot_with({1, 1, 1}, 12, 100);
  c.images[0].load_a = {Ampere{110}, Ampere{100}, Ampere{90}};
  CHECK(says(c.judge().components[0].evidence, "no line_voltage reading"));
  c.read("M1", Test::line_voltage, {400, 395, 388}, "box", "2026-02-11");
  CHECK(says(c.judge().components[0].evidence, "the voltages explain 9.6 to 16 %: nothing beyond"));
  c.survey.readings.back().values = {400, 400, 400};
  c.survey.readings.back().meter_u_pct = 0.1;
  CHECK(says(c.judge().components[0].evidence, "are left for the motor circuit"));
  c.survey.motors[0].locked_rotor_a = Ampere{650};
  CHECK(line_with(c.judge().components[0].evidence, "the voltages explain 0.0 to 0.0 %") != "");
}

TEST_CASE("a rise at a limit is printed with the decimals that tell the side") {
  // 15.01 K is above 15 K; one decimal would print 15.0.
  Case c;
  c.motor("M1");
  c.see(Picture("a.tif", "M1", "box", {55.01, 40, 40}));
  CHECK(says(c.judge().components[0].evidence, "15.010 ± 0.00 K: above 15 K → urgent"));
  c.images[0].lugs[0].temperature_c = exact(54.99);
  CHECK(says(c.judge().components[0].evidence, "14.990 ± 0.00 K: above 3 K → plan"));
}

TEST_CASE("a voltage unbalance above five percent is told not to run at all") {
  // NEMA MG 1.
  Case c = hot_with({1, 1, 1}, 12, 50);
  c.read("M1", Test::line_voltage, {400, 380, 360}, "box", "2026-02-11");
  CHECK(says(c.judge().components[0].evidence, "do not run"));
}

TEST_CASE("the cautions say what the tool must state") {
  // 29 CFR 1910.333 and .335 (read in secondary texts), paraphrased; the four statements that the
  // project's list of safety words demands.
  std::string all;
  for (const std::string& caution : diagnosis::cautions()) all += caution + "\n";
  for (const char* part : {"ualified people", "arc-flash", "de-energised", "locked out",
                           "verified dead", "nothing in this result is permission",
                           "low load understates", "does not prove", "local codes"}) {
    CHECK(all.find(part) != std::string::npos);
  }
}
