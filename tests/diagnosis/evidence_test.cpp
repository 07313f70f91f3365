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
      CHECK_FALSE(plainly(line.text).empty());
      CHECK_FALSE(plainly(line.source).empty());
      ++lines;
    }
  }
  CHECK(lines > 10);
}

TEST_CASE("a finding's evidence names the row of the policy that decided") {
  const Assessment a = hot_with({1, 1, 1}, 12, 90).judge();
  const auto& evidence = a.findings.at(0).evidence;
  REQUIRE(says(evidence, "T1 (phase 1): rise over like 20.0 K: above 15 K → urgent"));
  CHECK(plainly(evidence[0].source) == "row 4");
}

TEST_CASE("the pair unbalance is printed beside that of the legs, with its limit") {
  // .520, .512, .508: 1.29870 % of the pairs, 2.59740 % of the legs (computed with numpy).
  const Assessment a = hot_with({.520, .512, .508}, 12, 90).judge();
  CHECK(says(a.components[0].evidence,
             "winding resistance at box, 2026-02-11: pairs 1.30 % unbalanced, legs 2.60 %: above "
             "1 % → watch"));
}

TEST_CASE("on a small motor heat alone is told to be invisible to the meter, in numbers") {
  // 12 cm² at 60 °C beside 40 °C in air of 20 °C, conductors of 100 A/6 to 100 A/2 mm²: 0.8668 to
  // 7.206 W by the same balance written in numpy; at 20 A that is 2.17 to 18.0 mΩ, and
  // 100·x/(3·2.5 + x) = 0.0289 to 0.2396 %. The limit of 1 % needs x = 7.5/99 = 75.8 mΩ, 30.3 W.
  const Assessment a = hot_with({5, 5, 5}, 12, 20).judge();
  REQUIRE(a.components[0].verdict == Verdict::heat_only);
  const auto& evidence = a.components[0].evidence;
  CHECK(says(evidence, "of 75.8 mΩ or more, which gives 30 W at 20.0 A"));
  const std::string line = line_with(evidence, "a lug of 12 cm² that is 20.0 K over like");
  CHECK(line.find("0.87 to 7.2 W") != std::string::npos);
  CHECK(line.find("At 20.0 A that takes 2.17 mΩ to 18.0 mΩ") != std::string::npos);
  CHECK(line.find("0.03 to 0.24 %") != std::string::npos);
  CHECK(line.find("too little to see there. Measure across the joint itself") != std::string::npos);
}

TEST_CASE(
    "on a motor of milliohms the same heat would have to show, and the readings contradict it") {
  // Legs of 2.5 mΩ: 8.67 to 72 mΩ make 54 to 91 % in the pairs.
  const Assessment a = hot_with({.005, .005, .005}, 12, 10).judge();
  REQUIRE(a.components[0].verdict == Verdict::heat_only);
  CHECK(says(a.components[0].evidence,
             "a joint this hot would show there, so the heat must have another cause"));
}

TEST_CASE("between the two the readings may or may not see the heat") {
  // Legs of 0.5 Ω: 8.67 to 72 mΩ make 0.57 to 4.6 %.
  const Assessment a = hot_with({1, 1, 1}, 12, 10).judge();
  CHECK(says(a.components[0].evidence, "may or may not show"));
}

TEST_CASE("without the lug's area its bounds come from the conductor") {
  // 9.4 D² of a barrel 1.6 times the conductor: 5.1 to 15.3 cm² for 16.7 to 50 mm² (100 A at 6 to 2
  // A/mm²), from 0.6 times the least to twice the most.
  CHECK(says(hot_with({1, 1, 1}, std::nullopt, 10).judge().components[0].evidence,
             "a lug of 3 to 31 cm² that is 20.0 K over like"));
}

TEST_CASE("without the conductor or the current the missing number is named") {
  Case no_rating = hot_with({1, 1, 1}, 12, 10);
  no_rating.survey.motors[0].rated_a.reset();
  CHECK(says(no_rating.judge().components[0].evidence,
             "rated current or conductor size (circuit.csv) not known"));
  CHECK(says(hot_with({1, 1, 1}, 12, 0).judge().components[0].evidence, "load current not known"));
}

TEST_CASE("a confirmed fault is held against the rise that its watts would make") {
  // Conductors of 16.7 to 50 mm², lug 12 cm² (numpy): 2 W stand 5.8 to 45 K over like lugs.
  const Assessment a = hot_with(pairs_with(Phase::one, 0.02), 12, 10).judge();
  REQUIRE(a.components[0].verdict == Verdict::confirmed);
  const std::string line = line_with(a.components[0].evidence, "That should raise");
  CHECK(line.find("20.0 mΩ at 10.0 A gives 2.0 W. That should raise a lug of 12 cm² by") == 0);
  CHECK(line.find("measured 20.0 K over like: they agree") != std::string::npos);
}

TEST_CASE("an excess too small for the heat of the lug, or too large for it, is told so") {
  // 20 mΩ at 1 A: 20 mW make 0.06 to 0.5 K; at 60 A 72 W make 161 K and more (numpy).
  CHECK(says(hot_with(pairs_with(Phase::one, 0.02), 12, 1).judge().components[0].evidence,
             "more than it explains"));
  CHECK(says(hot_with(pairs_with(Phase::one, 0.02), 12, 60).judge().components[0].evidence,
             "less than all of it would make here, so part of it is elsewhere"));
}

TEST_CASE("the voltage across a bad contact is held against softening and melting") {
  // Holm: tin softens at 70 mV and melts at 130 mV (from memory). 20 mΩ × 10 A = 200 mV.
  const Assessment a = hot_with(pairs_with(Phase::one, 0.02), 12, 10).judge();
  CHECK(says(a.components[0].evidence, "if all of it is in one contact, 200 mV"));
  CHECK(says(a.components[0].evidence, "melt tin, soften copper"));
  CHECK_FALSE(says(hot_with(pairs_with(Phase::one, 0.02), 12, 3).judge().components[0].evidence,
                   "in one contact"));
}

TEST_CASE("a conductor of circuit.csv narrows the rise that the watts would make") {
  Case c = hot_with(pairs_with(Phase::one, 0.02), 12, 10);
  const std::string wide = line_with(c.judge().components[0].evidence, "That should raise");
  CircuitStop row;
  row.motor = "M1";
  row.place = "box";
  row.size = "35 mm2";
  row.length_m = Metre{1};
  c.survey.circuit.push_back(row);
  CHECK(line_with(c.judge().components[0].evidence, "That should raise") != wide);
}

TEST_CASE("an even image says whether it contradicts the reading or could not show it") {
  // Heat goes with the current squared: 20 mΩ make 72 W at 60 A and 20 mW at 1 A.
  Case c = hot_with(pairs_with(Phase::one, 0.02), 12, 60);
  for (auto& lug : c.images[0].lugs) lug.temperature_c = exact(40);
  const Assessment loaded = c.judge();
  REQUIRE(loaded.components[0].verdict == Verdict::reading_only);
  CHECK(says(loaded.components[0].evidence, "this lug is too cool for that"));
  // At 1 % of rated current no fault would show: the image is no witness at all.
  c.images[0].load_a = {Ampere{1}, Ampere{1}, Ampere{1}};
  CHECK(c.judge().components[0].verdict == Verdict::not_judged);
  // With the rating not known and the conductor given the warm lugs are judged.
  c.survey.motors[0].rated_a.reset();
  c.stop("M1", "box").size = "35 mm2";
  CHECK(says(c.judge().components[0].evidence, "too little to see. Image again at"));
  c.images[0].load_a = {};
  CHECK(says(c.judge().components[0].evidence, "load current not known"));
}

TEST_CASE("readings at two places locate the excess between them") {
  // Kirchhoff: what one place has more than the next sits between the two.
  Case c = hot_with(pairs_with(Phase::one, 0.050), 12, 50);
  c.ohms("M1", pairs_with(Phase::one, 0.002), "motor leads", "2026-02-11");
  const Assessment a = c.judge();
  const std::string line = line_with(a.components[0].evidence, "by place");
  CHECK(line.find("50.0 mΩ at box, 2.00 mΩ at motor leads") != std::string::npos);
  CHECK(line.find("largest part, 48.0") != std::string::npos);
  CHECK(line.find(" mΩ in phase 1, is between box and motor leads") != std::string::npos);
}

TEST_CASE("an excess that both places see lies beyond the farther one") {
  Case c = hot_with(pairs_with(Phase::one, 0.050), 12, 50);
  c.ohms("M1", pairs_with(Phase::one, 0.048), "motor leads", "2026-02-11");
  const Assessment a = c.judge();
  CHECK(says(a.components[0].evidence, "largest part, 48.0"));
  CHECK(says(a.components[0].evidence, " mΩ in phase 1, is beyond motor leads"));
}

TEST_CASE("the stretch with the excess names what was looked at there and what was not") {
  // circuit.csv: starter, disconnect, box; readings at starter and box, an image of the box alone.
  Case c = hot_with(pairs_with(Phase::one, 0.002), 12, 50);
  auto& upstream = c.ohms("M1", pairs_with(Phase::one, 0.060), "Starter", "2026-02-11");
  for (double& value : upstream.values) value += 2 * 0.0387;
  const auto place = [&c](const char* name, double order, const char* size) {
    CircuitStop row;
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
  CHECK(says(a.components[0].evidence, "imaged there: box; not imaged yet: starter, disconnect"));
  CHECK(says(a.components[0].evidence, "the cable alone makes 38.7 mΩ"));
}

TEST_CASE("only what the voltages do not explain of a current unbalance is left for the circuit") {
  // 400, 395, 388 V are 1.606 % and, six to ten times, 9.6 to 16.1 % of current at rated load.
  Case c = hot_with({1, 1, 1}, 12, 100);
  c.images[0].load_a = {Ampere{110}, Ampere{100}, Ampere{90}};
  CHECK(says(c.judge().components[0].evidence, "no line voltages were measured"));
  c.read("M1", Test::line_voltage, {400, 395, 388}, "box", "2026-02-11");
  CHECK(says(c.judge().components[0].evidence,
             "the supply voltages explain 9.6 to 16.1 %: the rest is within"));
  c.survey.readings.back().values = {400, 400, 400};
  c.survey.readings.back().meter_u_pct = 0.1;
  CHECK(says(c.judge().components[0].evidence, "remain for the motor circuit"));
  c.survey.motors[0].locked_rotor_a = Ampere{650};
  CHECK(line_with(c.judge().components[0].evidence, "the supply voltages explain 0.0 to 0.0 %") !=
        "");
}

TEST_CASE("a rise at a limit is printed with the decimals that tell the side") {
  // 15.01 K is above 15 K; one decimal would print 15.0.
  Case c;
  c.motor("M1");
  c.see(Picture("a.tif", "M1", "box", {55.01, 40, 40}));
  CHECK(says(c.judge().components[0].evidence, "15.010 K: above 15 K → urgent"));
  c.images[0].lugs[0].temperature_c = exact(54.99);
  CHECK(says(c.judge().components[0].evidence, "14.990 K: above 3 K → plan"));
}

TEST_CASE("a voltage unbalance above five percent is told not to run at all") {
  // NEMA MG 1.
  Case c = hot_with({1, 1, 1}, 12, 50);
  c.read("M1", Test::line_voltage, {400, 380, 360}, "box", "2026-02-11");
  CHECK(says(c.judge().components[0].evidence, "do not run"));
}

TEST_CASE("a hot lug beside a cold one of its phase is told that the cold one is bad") {
  // Two equal runs of 1 mΩ, one joint 1 mΩ more: they share 1 : 2, and the sister of the bad one
  // makes 1.78 times its heat.
  Case c;
  c.rated_motor("M1");
  Picture p("a.tif", "M1", "box", {60, 40, 40});
  p.lug(0, 40.2);
  p.image.lugs[3].name = "T1b";
  c.see(p.load(90));
  const std::string told =
      line_with(c.judge().components[0].evidence, "shares its phase's current");
  CHECK(told.find("T1 (phase 1) shares its phase's current with T1b") == 0);
  CHECK(told.find("the colder of the two is likely the bad one") != std::string::npos);
  c.images[0].lugs[3].temperature_c = exact(60);
  CHECK_FALSE(says(c.judge().components[0].evidence, "shares its phase's current"));
}

TEST_CASE("how long the load was on is asked for once, where it was not recorded") {
  const Assessment a = hot_with({1, 1, 1}, 12, 90).judge();
  const auto& lines = a.components[0].evidence;
  CHECK(std::count_if(lines.begin(), lines.end(), [](const auto& line) {
          return plainly(line.text).find("running_min") != std::string::npos;
        }) == 1);
  Case recorded = hot_with({1, 1, 1}, 12, 90);
  recorded.survey.images[0].parameters.running_min = 60;
  CHECK_FALSE(says(recorded.judge().components[0].evidence, "running_min"));
}

TEST_CASE("the cautions say what the tool must state") {
  // 29 CFR 1910.333 and .335 (read in secondary texts), paraphrased; the four statements that the
  // project's list of safety words demands.
  std::string all;
  for (const Sentence& caution : diagnosis::cautions()) all += plainly(caution) + "\n";
  for (const char* part : {"ualified people", "arc-flash", "dead equipment only", "locked out",
                           "verified dead", "Nothing in this result is permission",
                           "low load understates", "not prove", "local codes"}) {
    CHECK(all.find(part) != std::string::npos);
  }
}
