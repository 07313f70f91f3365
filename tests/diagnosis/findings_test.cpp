// Rulings of the project's design (findings, bands raised by readings, motors) unless a test names
// another source.
#include "cases.h"

#include <catch2/catch.hpp>

using namespace ohmglow;
using namespace ohmglow::test;
using severity::DecidedBy;

namespace {

std::string band(const Assessment& a, const Finding& f) {
  return std::string(a.band_id(f.grade));
}

}  // namespace

TEST_CASE("each lug whose rise over like reaches a band is a finding") {
  Case c;
  c.motor("M1");
  c.see(Picture("a.tif", "M1", "box", {62, 46, 42}));
  const Assessment a = c.judge();
  REQUIRE(a.findings.size() == 2);
  CHECK(*a.findings[0].lug == "T1");
  CHECK(*a.findings[0].image == "a.tif");
  CHECK(band(a, a.findings[0]) == "urgent");
  CHECK(plainly(a.findings[0].action) == "repair now");
  CHECK(*a.findings[0].temperature_c == 62);
  CHECK(*a.findings[0].reference_c == 42);
  CHECK(*a.findings[1].lug == "T2");
  CHECK_FALSE(a.findings[0].cautions.empty());
}

TEST_CASE(
    "where no lug is hot the hottest is a finding from monitor over air on, as warmth alone") {
  // The policy names the row from which warmth over air alone counts beside like lugs.
  Case c;
  c.motor("M1");
  c.see(Picture("a.tif", "M1", "box", {45, 45.9, 45.2}));
  c.see(Picture("b.tif", "M1", "starter", {20.1, 20.4, 20.2}));
  const Assessment a = c.judge();
  REQUIRE(a.findings.size() == 1);
  CHECK(*a.findings[0].lug == "T2");
  CHECK(a.findings[0].grade.by == DecidedBy::air);
  CHECK(band(a, a.findings[0]) == "monitor");
  CHECK(plainly(a.findings[0].action) == "look at load and ventilation");
  CHECK(a.findings[0].verdict == Verdict::no_reading);
  CHECK(a.warm_even.empty());  // the starter reaches no row at all
}

TEST_CASE("lugs that are warm alike below monitor stand beside the list, not in it") {
  Case c;
  c.motor("M1");
  c.see(Picture("a.tif", "M1", "box", {38, 38.4, 38.2}));  // plan over air
  c.ohms("M1", {1, 1, 1}, "box", "2026-02-11");
  const Assessment a = c.judge();
  CHECK(a.findings.empty());
  REQUIRE(a.warm_even.size() == 1);
  const diagnosis::Aside& aside = a.warm_even[0];
  CHECK(aside.motor == "M1");
  CHECK(aside.component == "box");
  CHECK(*aside.image == "a.tif");
  CHECK(*aside.lug == "T2");
  CHECK(a.band_id(aside.grade) == "plan");
  CHECK(aside.verdict == Verdict::even);
  CHECK(plainly(aside.why) == "all lugs are equally warm: 18.4 K over air");
  CHECK(plainly(aside.next_step) == "look at load and ventilation");
  CHECK(*a.motors[0].verdict == Verdict::even);
}

TEST_CASE("the strict policy makes a finding of every row over air") {
  // The strict reading of the table is the same one with warmth alone counting from watch on.
  Case c;
  c.motor("M1");
  c.policy.air_alone_from = 0;
  c.see(Picture("a.tif", "M1", "box", {24, 24.4, 24.2}));
  const Assessment a = c.judge();
  REQUIRE(a.findings.size() == 1);
  CHECK(band(a, a.findings[0]) == "watch");
  CHECK(a.warm_even.empty());
  // A policy that names no row makes none, whatever the warmth.
  c.policy.air_alone_from.reset();
  c.images[0].lugs[0].temperature_c = exact(64.4);
  c.images[0].lugs[1].temperature_c = exact(64.4);
  c.images[0].lugs[2].temperature_c = exact(64.4);
  CHECK(c.judge().findings.empty());
  CHECK(c.judge().warm_even.size() == 1);
}

TEST_CASE("warmth over air counts at the policy's confidence") {
  // 20 K begin monitor; 21 K with u = 0.5 K are 20.18 K at 95 % one-sided (1.645 u), with 0.7 K
  // 19.85 K.
  const auto findings_with_u = [](double u_k) {
    Case c;
    c.motor("M1");
    Picture p("a.tif", "M1", "box", {41, 41, 41});
    p.image.used->air_c = Estimate{20, {Contribution{Input{InputKind::air, 0}, u_k}}};
    c.see(p);
    return c.judge();
  };
  CHECK(findings_with_u(0.5).findings.size() == 1);
  const Assessment open = findings_with_u(0.7);
  CHECK(open.findings.empty());
  REQUIRE(open.warm_even.size() == 1);
  CHECK(open.band_id(open.warm_even[0].grade) == "monitor");  // the table's letter stays
}

TEST_CASE("a lone lug is judged by the air column, whatever row the policy names") {
  Case c;
  c.motor("M1");
  c.policy.air_alone_from.reset();
  c.see(Picture("a.tif", "M1", "box", {22}));
  const Assessment a = c.judge();
  REQUIRE(a.findings.size() == 1);
  CHECK(band(a, a.findings[0]) == "watch");
  CHECK(plainly(a.findings[0].action) == "look again");
}

TEST_CASE("a watch rise within the scatter of sound lugs stands beside the list") {
  // Rises over air of 15 K scatter by 1.5 K: three lugs part by 1 K without any fault.
  Case c;
  c.policy = scattering_neta();
  c.rated_motor("M1");
  c.see(Picture("a.tif", "M1", "box", {35, 35.9, 36}).load(100));
  c.ohms("M1", {1, 1, 1}, "box", "2026-02-11");
  const Assessment a = c.judge();
  CHECK(a.components[0].verdict == Verdict::even);
  CHECK(a.findings.empty());
  REQUIRE(a.warm_even.size() == 1);
  CHECK(*a.warm_even[0].lug == "T3");
  CHECK(*a.warm_even[0].load_pct == Approx(100));
  CHECK(plainly(a.warm_even[0].why).find("is within chance: sound lugs differ by up to") !=
        std::string::npos);
  // The lug keeps the table's letter, and is not hot.
  CHECK(lug(a, 0, 2).grade.band);
  CHECK_FALSE(lug(a, 0, 2).hot);
}

TEST_CASE("even lugs above the conductor's limit are a finding though the air is not known") {
  Case c;
  c.motor("M1").conductor_limit_c = Celsius{90};
  Picture p("a.tif", "M1", "box", {95, 95.2, 95.1});
  p.image.used->air_c.reset();
  c.see(p);
  const Assessment a = c.judge();
  REQUIRE(a.findings.size() == 1);
  CHECK(a.findings[0].grade.by == DecidedBy::limit);
  CHECK(*a.findings[0].lug == "T2");
}

TEST_CASE("a reading raises the band of the lug whose phase it names") {
  // x = 0.1 mΩ on 0.25 mΩ a leg: 100·0.1/(0.75 + 0.1) = 11.8 % of the pairs, above 10 %. At 90 A
  // that is 0.81 W, of the size of the heat: 4 K over like of 42 °C take 0.15 to 1.46 W (Python).
  Case c;
  c.rated_motor("M1");
  // watch and plan over like, monitor over air
  c.see(Picture("a.tif", "M1", "box", {44, 46, 42}).load(90));
  c.ohms("M1", pairs_with(Phase::two, 0.0001, 0.0005), "box", "2026-02-11");
  const Assessment a = c.judge();
  REQUIRE(a.findings.size() == 2);
  CHECK(*a.findings[0].lug == "T2");
  CHECK(band(a, a.findings[0]) == "urgent");
  CHECK(a.findings[0].grade.by == DecidedBy::reading);
  CHECK(band(a, a.findings[1]) == "monitor");
  CHECK(a.findings[1].grade.by == DecidedBy::air);
  CHECK(lug(a, 0, 1).grade.by == DecidedBy::air);  // the lug keeps its thermal band
}

TEST_CASE("a reading of another size than the heat raises nothing: part of it lies elsewhere") {
  // The same pairs of a motor of 0.5 Ω a leg: 0.2 Ω at 90 A make 1620 W.
  Case c;
  c.rated_motor("M1");
  c.see(Picture("a.tif", "M1", "box", {44, 46, 42}).load(90));
  c.ohms("M1", pairs_with(Phase::two, 0.2), "box", "2026-02-11");
  const Assessment a = c.judge();
  REQUIRE(a.findings.size() == 2);
  CHECK(*a.findings[0].lug == "T2");
  CHECK(a.findings[0].verdict == Verdict::phase_agrees);
  CHECK(a.findings[0].grade.by == DecidedBy::air);
  CHECK(band(a, a.findings[0]) == "monitor");
}

TEST_CASE("decimal limits count as they are written") {
  // 1.4, 1.4 and 1.2 Ω: mean 4/3, the farthest 0.1333 from it: 10 %, where urgent begins; in binary
  // fractions the quotient comes out below.
  Case c;
  c.motor("M1");
  c.exact_ohms("M1", {1.4, 1.4, 1.2}, "box", "2026-02-11");
  const Assessment a = c.judge();
  REQUIRE(a.findings.size() == 1);
  CHECK(band(a, a.findings[0]) == "urgent");
}

TEST_CASE("a value within its uncertainty of a limit is too close to call, in words") {
  // {1 + x, 1, 1 + x} of 9.9 % (x = 1.5·9.9/90.1): u of the pairs is about 0.16 % by the default
  // meter of 0.2 %, so 10 % lies within 1.96 u; 5.5 % is far from 5 % and 10 %.
  const auto reading_of = [](double unbalance_pct) {
    Case c;
    c.motor("M1");
    const double x = 1.5 * unbalance_pct / (100 - unbalance_pct);
    c.ohms("M1", pairs_with(Phase::one, x), "box", "2026-02-11");
    return c.judge();
  };
  const Assessment close = reading_of(9.9);
  REQUIRE(close.findings.size() == 1);
  CHECK(band(close, close.findings[0]) == "plan");
  CHECK(says(close.findings[0].evidence, "too close to call: urgent begins"));
  CHECK_FALSE(says(reading_of(5.5).findings.at(0).evidence, "too close to call"));

  Case lug;
  lug.motor("M1");
  Picture p("a.tif", "M1", "box", {54.9, 40, 40});
  p.image.lugs[0].temperature_c = Estimate{54.9, {Contribution{Input{InputKind::noise, 0}, 0.1}}};
  lug.see(p);
  CHECK(says(lug.judge().findings.at(0).evidence,
             "T1 (phase 1): too close to call: urgent begins above 15 K over like"));
}

TEST_CASE("a reading that names another phase or says less raises nothing") {
  Case conflict;
  conflict.motor("M1");
  conflict.see(Picture("a.tif", "M1", "box", {46, 42, 42}));
  conflict.ohms("M1", pairs_with(Phase::two, 0.2), "box", "2026-02-11");
  const Assessment a = conflict.judge();
  REQUIRE(a.findings.size() == 1);
  CHECK(a.findings[0].verdict == Verdict::phase_conflict);
  CHECK(a.findings[0].grade.by == DecidedBy::air);
  CHECK(*a.findings[0].electrical_phase == Phase::two);

  Case milder;
  milder.rated_motor("M1");
  milder.see(Picture("a.tif", "M1", "box", {62, 42, 42}).load(90));
  milder.ohms("M1", bad_joint(Phase::one), "box", "2026-02-11");
  const Assessment m = milder.judge();
  CHECK(m.findings.at(0).verdict == Verdict::confirmed);
  CHECK(m.findings.at(0).grade.by == DecidedBy::like);
}

TEST_CASE("the excess and its watts stand in the finding at the image's current") {
  // I²R: 20 mΩ at 90 A make 162 W.
  Case c;
  c.motor("M1");
  c.see(Picture("a.tif", "M1", "box", {62, 42, 42}).load(90, 80, 70));
  c.ohms("M1", pairs_with(Phase::one, 0.02), "box", "2026-02-11");
  const Assessment a = c.judge();
  const Finding& f = a.findings.at(0);
  CHECK(f.excess_ohm->value() == Approx(0.02).margin(kRounding));
  CHECK(f.excess_w->value() == Approx(162).margin(1e-6));
  CHECK(f.resistance_unbalance->value() == Approx(100 * 0.02 / 1.52).margin(1e-9));
  CHECK(f.leg_unbalance->value() == Approx(2 * f.resistance_unbalance->value()).margin(1e-9));
  CHECK(says(f.evidence, "the extra 20.0 mΩ in phase 1 gives 162 ± "));
}

TEST_CASE("without any current the excess has no watts") {
  Case c;
  c.motor("M1");
  c.see(Picture("a.tif", "M1", "box", {62, 42, 42}).taken("2026-03-01"));
  c.ohms("M1", pairs_with(Phase::one, 0.02), "box", "2026-02-01");
  c.read("M1", Test::line_current, {90, 90, 90}, "box", "2026-02-01");  // the reading's day
  const Assessment a = c.judge();
  CHECK_FALSE(a.findings.at(0).excess_w);
  CHECK(a.motors[0].electrical[0].excess_w->value() == Approx(162).margin(1e-6));
}

TEST_CASE("readings in balance name no phase in a finding but keep their unbalance") {
  Case c;
  c.motor("M1");
  c.see(Picture("a.tif", "M1", "box", {62, 42, 42}).load(90));
  c.ohms("M1", pairs_with(Phase::two, 0.001), "box", "2026-02-11");
  const Finding f = c.judge().findings.at(0);
  CHECK(f.verdict == Verdict::heat_only);
  CHECK(f.resistance_unbalance);
  CHECK_FALSE(f.electrical_phase);
  CHECK_FALSE(f.excess_ohm);
}

TEST_CASE(
    "abnormal readings with even lugs are one finding of the motor with the places not imaged") {
  Case c;
  c.motor("M1");
  c.see(Picture("a.tif", "M1", "Terminal Box", {21, 20.5, 20.6}, 20.2));
  c.ohms("M1", pairs_with(Phase::three, 0.05), "starter", "2026-02-11");
  c.ohms("M1", pairs_with(Phase::three, 0.001), "terminal box", "2026-02-11");
  c.read("M1", Test::line_current, {50, 50, 50}, "Disconnect");
  const Assessment a = c.judge();
  CHECK(a.motors[0].places_not_imaged == std::vector<std::string>{"starter", "Disconnect"});
  REQUIRE(a.findings.size() == 1);
  const Finding& f = a.findings[0];
  CHECK(f.verdict == Verdict::reading_only);
  CHECK(f.component.empty());  // at the component's own place the reading is in balance
  CHECK_FALSE(f.image);
  CHECK_FALSE(f.lug);
  CHECK_FALSE(f.phase);
  CHECK(*f.electrical_phase == Phase::three);
  CHECK(f.grade.by == DecidedBy::reading);
  CHECK(band(a, f) == "watch");
  CHECK(plainly(f.next_step).find("starter, Disconnect") != std::string::npos);
  CHECK(*a.motors[0].verdict == Verdict::reading_only);
}

TEST_CASE("a reading-only finding carries the component if exactly one has that verdict") {
  Case one;
  one.motor("M1");
  one.see(Picture("a.tif", "M1", "box", {20.2, 20.3, 20.2}));
  one.ohms("M1", pairs_with(Phase::three, 0.05), "starter", "2026-02-11");
  const Assessment a = one.judge();
  REQUIRE(a.findings.size() == 1);
  CHECK(a.findings[0].component == "box");

  Case two = one;
  two.see(Picture("b.tif", "M1", "splice", {20.2, 20.3, 20.2}));
  const Assessment b = two.judge();
  REQUIRE(b.findings.size() == 1);
  CHECK(b.findings[0].component.empty());
}

TEST_CASE("a motor whose heat and resistance are both abnormal has no reading-only finding") {
  Case c;
  c.motor("M1");
  c.see(Picture("a.tif", "M1", "box", {62, 42, 42}));
  c.see(Picture("b.tif", "M1", "starter", {20.2, 20.3, 20.2}));
  c.ohms("M1", pairs_with(Phase::one, 0.05), "panel", "2026-02-11");
  const Assessment a = c.judge();
  CHECK(a.components[1].verdict == Verdict::reading_only);
  REQUIRE(a.findings.size() == 1);
  CHECK(a.findings[0].verdict == Verdict::phase_agrees);  // no current: no size
}

TEST_CASE("a motor with readings and no image has its finding from the reading alone") {
  Case c;
  c.motor("M1");
  c.motor("M2");
  c.motor("M3");
  c.ohms("M2", pairs_with(Phase::two, 0.2), "starter", "2026-02-01");
  c.ohms("M2", {1, 1, 1}, "panel", "2026-02-02");
  c.ohms("M3", {1, 1, 1}, "starter", "2026-02-01");
  const Assessment a = c.judge();
  REQUIRE(a.findings.size() == 1);
  CHECK(a.findings[0].motor == "M2");
  CHECK(band(a, a.findings[0]) == "urgent");
  CHECK(a.findings[0].component.empty());
  CHECK(says(a.findings[0].evidence, "no lug of this motor was imaged"));
  CHECK(says(a.findings[0].evidence, "between starter and panel"));
  CHECK(a.motors[1].places_not_imaged == std::vector<std::string>{"starter", "panel"});
  CHECK_FALSE(a.motors[0].verdict);  // neither image nor reading
  CHECK(*a.motors[1].verdict == Verdict::reading_only);
  CHECK_FALSE(a.motors[2].verdict);  // one witness alone finds nothing abnormal: no verdict
}

TEST_CASE("an old reading alone makes no finding") {
  Case c;
  c.motor("M1");
  c.ohms("M1", pairs_with(Phase::two, 0.2), "starter", "2024-02-01");
  CHECK(c.judge().findings.empty());
}

TEST_CASE("a policy without a column for readings makes no finding of a reading alone") {
  Case c;
  c.motor("M1");
  for (auto& b : c.policy.bands) b.pair_unbalance_pct.reset();
  c.see(Picture("a.tif", "M1", "box", {20.2, 20.3, 20.2}));
  c.ohms("M1", pairs_with(Phase::two, 0.2), "box", "2026-02-11");
  const Assessment a = c.judge();
  CHECK(a.findings.empty());
  CHECK(*a.motors[0].verdict == Verdict::reading_only);
}

TEST_CASE("a motor's verdict is that of its worst component") {
  Case c;
  // 50 µΩ at 90 A make 0.41 W; 2 K over like of 42 °C in air of 41 °C take 0.06 to 0.62 (Python).
  c.rated_motor("M1");
  c.see(Picture("a.tif", "M1", "box", {20.2, 20.3, 20.2}).load(90));
  c.see(Picture("b.tif", "M1", "starter", {44, 42, 42}, 41).load(90));     // watch, confirmed
  c.see(Picture("c.tif", "M1", "disconnect", {70, 42, 42}, 41).load(90));  // urgent
  c.ohms("M1", pairs_with(Phase::one, 0.00005, 0.0025), "starter", "2026-02-11");
  c.ohms("M1", {0.0025, 0.0025, 0.0025}, "disconnect", "2026-02-11");
  c.ohms("M1", {0.0025, 0.0025, 0.0025}, "box", "2026-02-11");
  const Assessment a = c.judge();
  CHECK(a.components[1].verdict == Verdict::confirmed);
  CHECK(a.components[2].verdict == Verdict::heat_only);
  CHECK(*a.motors[0].verdict == Verdict::heat_only);  // its band is the more severe
}

TEST_CASE("motors that motors.csv does not know are judged, listed and complained of once") {
  Case c;
  c.motor("M1");
  c.see(Picture("a.tif", "X9", "box", {62, 42, 42}));
  c.see(Picture("b.tif", "X9", "starter", {62, 42, 42}));
  c.ohms("Y7", pairs_with(Phase::two, 0.2), "starter", "2026-02-11");
  const Assessment a = c.judge();
  REQUIRE(a.motors.size() == 3);
  CHECK(a.motors[0].motor == "M1");
  CHECK(a.motors[1].motor == "X9");
  CHECK(a.motors[2].motor == "Y7");
  CHECK(a.findings.size() == 3);
  REQUIRE(a.problems.size() == 2);
  CHECK(a.problems[0].file == "images.csv");
  CHECK(a.problems[0].row == 2);
  CHECK(a.problems[0].column == "motor");
  CHECK(a.problems[0].message.find("X9") != std::string::npos);
  CHECK(a.problems[0].message.find("named 2 times") != std::string::npos);
  CHECK(a.problems[1].file == "readings.csv");
}

TEST_CASE("an image of an unknown motor that no table lists is complained of under its own name") {
  Case c;
  c.motor("other");
  c.see(Picture("a.tif", "", "", {62, 42, 42}));
  c.survey.images[0].row.reset();
  const Assessment a = c.judge();
  CHECK(a.findings.size() == 1);
  REQUIRE(a.problems.size() == 1);
  CHECK(a.problems[0].file == "a.tif");
  CHECK_FALSE(a.problems[0].row);
}

TEST_CASE("images that were not measured are kept, complained of and not judged") {
  Case c;
  c.motor("M1");
  c.survey.problems.push_back({"motors.csv", 9, "poles", "first"});
  Picture rejected("bad.tif", "M1", "Disconnect", {});
  rejected.image.status = diagnosis::ImageStatus::rejected;
  rejected.image.problems = {"not a thermal image"};
  c.see(rejected);
  Picture unmarked("plain.tif", "M1", "starter", {});
  unmarked.image.status = diagnosis::ImageStatus::unmarked;
  c.see(unmarked);
  Picture nothing("cold.tif", "M1", "panel", {40});
  nothing.image.lugs[0].temperature_c.reset();
  c.see(nothing);
  c.ohms("M1", {0, 0, 0}, "box", "2026-02-11");
  const Assessment a = c.judge();
  CHECK(a.images.size() == 3);
  CHECK(a.components.empty());
  CHECK(a.component_of("bad.tif") == nullptr);
  CHECK(a.motors[0].places_not_imaged ==
        std::vector<std::string>{"box", "Disconnect", "starter", "panel"});
  REQUIRE(a.problems.size() == 3);
  CHECK(a.problems[0].message == "first");
  CHECK(a.problems[1] == Problem{"bad.tif", std::nullopt, "", "not a thermal image"});
  CHECK(a.problems[2].file == "readings.csv");
}

TEST_CASE("phases are shown under the survey's own names") {
  Case c;
  c.motor("M1");
  c.survey.phase_names = {"R", "Y", "B"};
  c.see(Picture("a.tif", "M1", "box", {42, 62, 42}));
  c.ohms("M1", pairs_with(Phase::two, 0.05), "box", "2026-02-11");
  const Assessment a = c.judge();
  CHECK(says(a.findings.at(0).evidence, "T2 (phase Y): rise over like"));
  CHECK(says(a.findings.at(0).evidence, "phase Y reads highest"));
}

TEST_CASE("nothing at all gives nothing at all") {
  const Assessment a = Case{}.judge();
  CHECK(a.findings.empty());
  CHECK(a.motors.empty());
  CHECK(a.problems.empty());
  CHECK(a.find_motor("M1") == nullptr);
  CHECK(a.component_of("a.tif") == nullptr);
  CHECK(a.band_id({}) == "none");
}

TEST_CASE("an assessment put together by hand can be looked up as well") {
  Assessment a;
  a.images.resize(1);
  a.images[0].file = "a.tif";
  a.components.resize(1);
  a.components[0].images = {0};
  a.motors.resize(1);
  a.motors[0].motor = "M1";
  CHECK(a.component_of("a.tif") == &a.components[0]);
  CHECK(a.component_of("b.tif") == nullptr);
  CHECK(a.find_motor("M1") == &a.motors[0]);
  CHECK(a.find_motor("M2") == nullptr);
}

TEST_CASE("a motor that only circuit.csv names is complained of and not judged") {
  // Design: a complaint names file and row.
  Case c;
  c.motor("M1");
  CircuitStop stop;
  stop.motor = "M9";
  stop.place = "starter";
  stop.row = 2;
  c.survey.circuit.push_back(stop);
  const Assessment a = c.judge();
  CHECK(a.motors.size() == 1);
  CHECK(complains(a, "circuit.csv", "this motor is not in motors.csv"));
}
