// Which reading may speak for which joint, and what several say of one circuit. Rulings of the
// project's design unless a test names another source.
#include "cases.h"

#include <catch2/catch.hpp>

using namespace ohmglow;
using namespace ohmglow::test;

namespace {

const std::vector<double> kHotOne{62, 42, 42};
const std::vector<double> kAllEven{30, 30, 30};
const std::array<double, 3> kInBalance{kLargeMotor_ohm, kLargeMotor_ohm, kLargeMotor_ohm};
const std::string kReadOn = "2026-02-11";

// A motor of 100 A at 90 A, whose circuit circuit.csv lists in this order.
Case circuit_of(const std::vector<std::string>& places) {
  Case c;
  c.rated_motor("M1");
  for (const std::string& place : places) c.stop("M1", place);
  return c;
}

void look(Case& c, const std::string& place, const std::vector<double>& temperatures_c) {
  c.see(Picture(place + ".tif", "M1", place, temperatures_c).taken("2026-03-01").load(90));
}

Verdict at(const Assessment& a, const std::string& place) {
  return a.component_of(place + ".tif")->verdict;
}

// Across one joint of each phase, ohm.
Case with_joint(const std::vector<double>& temperatures_c, const std::array<double, 3>& ohm) {
  Case c = circuit_of({});
  look(c, "box", temperatures_c);
  c.read("M1", Test::joint_resistance, ohm, "box", kReadOn);
  return c;
}
// 0.5 mΩ less 41 µΩ at 90 A make 3.7 W, of the size of 20 K over like (cases.h).
const std::array<double, 3> kBadFirst{500e-6, 40e-6, 42e-6};

}  // namespace

TEST_CASE("a reading speaks for the joints between it and the motor, not for those before it") {
  // Kirchhoff: the meter's current flows from its place to the winding.
  Case downstream = circuit_of({"bay 4", "pit"});
  look(downstream, "bay 4", kHotOne);
  downstream.ohms("M1", bad_joint(Phase::one), "pit", kReadOn);
  const Assessment a = downstream.judge();
  CHECK(at(a, "bay 4") == Verdict::no_reading);
  CHECK_FALSE(a.components[0].reading);

  Case upstream = circuit_of({"bay 4", "pit"});
  look(upstream, "pit", kHotOne);
  upstream.ohms("M1", bad_joint(Phase::one), "bay 4", kReadOn);
  CHECK(at(upstream.judge(), "pit") == Verdict::confirmed);

  // Without circuit.csv the words of the trade tell.
  Case by_words = circuit_of({});
  look(by_words, "disconnect", kHotOne);
  by_words.ohms("M1", bad_joint(Phase::one), "terminal box", kReadOn);
  CHECK(at(by_words.judge(), "disconnect") == Verdict::no_reading);
}

TEST_CASE("readings on either side leave a component its own stretch") {
  const auto with_beyond = [](const std::array<double, 3>& beyond) {
    Case c = circuit_of({"starter", "pit", "leads"});
    look(c, "pit", kHotOne);
    c.ohms("M1", bad_joint(Phase::one), "starter", kReadOn);
    c.ohms("M1", beyond, "leads", kReadOn);
    return c.judge();
  };
  // Nothing beyond: the excess lies in the stretch, with the hot lug.
  const Assessment bad = with_beyond(kInBalance);
  CHECK(at(bad, "pit") == Verdict::confirmed);
  INFO(line_with(bad.components[0].evidence, "there phase 1 has"));
  CHECK(says(bad.components[0].evidence, "there phase 1 has 0.50 ±"));
  // All of it beyond: the stretch is clean, the hot lug alone, and the excess a finding of its own.
  const Assessment clean = with_beyond(bad_joint(Phase::one));
  CHECK(at(clean, "pit") == Verdict::heat_only);
  CHECK(says(clean.components[0].evidence, "no phase stands out"));
  REQUIRE(clean.findings.size() == 2);
  CHECK(clean.findings[1].verdict == Verdict::reading_only);
  // The other phase beyond, this one in the stretch.
  std::array<double, 3> both = bad_joint(Phase::two);
  CHECK(at(with_beyond(both), "pit") == Verdict::confirmed);
}

TEST_CASE("a joint whose heat accounts for the reading makes the others of its path innocent") {
  Case c = circuit_of({"starter", "pit", "box"});
  look(c, "starter", kAllEven);
  look(c, "pit", kHotOne);
  look(c, "box", kAllEven);
  c.ohms("M1", bad_joint(Phase::one), "starter", kReadOn);
  const Assessment a = c.judge();
  CHECK(at(a, "pit") == Verdict::confirmed);
  CHECK(at(a, "starter") == Verdict::even);
  CHECK(at(a, "box") == Verdict::even);
  CHECK(says(a.component_of("box.tif")->evidence,
             "the heat at pit accounts for the excess of this reading"));
  REQUIRE(a.findings.size() == 1);  // and none of the reading alone
  CHECK(a.findings[0].verdict == Verdict::confirmed);
  // Even lugs everywhere: nothing accounts for it.
  for (auto& image : c.images) image.lugs = c.images[0].lugs;
  const Assessment open = c.judge();
  for (const char* place : {"starter", "pit", "box"})
    CHECK(at(open, place) == Verdict::reading_only);
  REQUIRE(open.findings.size() == 1);
  CHECK(open.findings[0].verdict == Verdict::reading_only);
}

TEST_CASE("heat of another size than the reading makes nobody innocent") {
  // 20 mΩ at 90 A would make 162 W here: most of it lies elsewhere.
  Case c = circuit_of({"starter", "pit"});
  look(c, "starter", kAllEven);
  look(c, "pit", kHotOne);
  c.ohms("M1", pairs_with(Phase::one, 0.02), "starter", kReadOn);
  const Assessment a = c.judge();
  CHECK(at(a, "pit") == Verdict::phase_agrees);
  CHECK(at(a, "starter") == Verdict::reading_only);
}

TEST_CASE("a reading that points into the winding is no witness to a joint's heat") {
  // One pair of a delta alone high: a winding (circuit theory). The hot lug's phase is one of its
  // two leads.
  const auto with_lugs = [](const std::vector<double>& temperatures_c) {
    Case c = circuit_of({});
    c.survey.motors[0].connection = Connection::delta;
    look(c, "box", temperatures_c);
    c.ohms("M1", {0.026, 0.025, 0.025}, "box", kReadOn);
    return at(c.judge(), "box");
  };
  CHECK(with_lugs(kHotOne) == Verdict::heat_only);
  CHECK(with_lugs(kAllEven) == Verdict::reading_only);
}

TEST_CASE("a meter across the joint itself proves it without the pairs") {
  const Assessment a = with_joint(kHotOne, kBadFirst).judge();
  CHECK(at(a, "box") == Verdict::confirmed);
  REQUIRE(a.findings.size() == 1);
  CHECK(*a.findings[0].electrical_phase == Phase::one);
  CHECK(a.findings[0].excess_ohm->value() == Approx(459e-6).margin(1e-12));
  CHECK(a.findings[0].excess_w->value() == Approx(459e-6 * 8100).margin(1e-9));
  CHECK(says(a.components[0].evidence, "above the lowest: bad joint"));
  CHECK(a.components[0].verdict_probability[static_cast<std::size_t>(Verdict::confirmed)] > 0.95);
  // Without the current no size contradicts it.
  Case no_load = with_joint(kHotOne, kBadFirst);
  no_load.images[0].load_a = {};
  CHECK(at(no_load.judge(), "box") == Verdict::confirmed);
  // 5 mΩ would make 40 W: more than this heat.
  CHECK(at(with_joint(kHotOne, {5e-3, 40e-6, 42e-6}).judge(), "box") == Verdict::phase_agrees);
}

TEST_CASE("a meter across the joint clears it though the pairs name its phase") {
  Case c = with_joint(kHotOne, {41e-6, 40e-6, 42e-6});
  CHECK(at(c.judge(), "box") == Verdict::heat_only);  // and no winding reading is asked for
  c.ohms("M1", bad_joint(Phase::one), "box", kReadOn);
  const Assessment a = c.judge();
  CHECK(at(a, "box") == Verdict::heat_only);
  CHECK(says(a.components[0].evidence, "above the lowest: alike"));
}

TEST_CASE("a meter across the joints that names another phase than the heat is a conflict") {
  const Assessment a = with_joint(kHotOne, {40e-6, 500e-6, 42e-6}).judge();
  CHECK(at(a, "box") == Verdict::phase_conflict);
  CHECK(*a.findings.at(0).electrical_phase == Phase::two);
}

TEST_CASE("a bad joint that is not hot is a finding by its own meter, on its component") {
  for (const double load : {90.0, 0.0}) {  // at standstill, too: the meter needs no load
    Case c = with_joint(kAllEven, kBadFirst);
    c.images[0].load_a = {Ampere{load}, Ampere{load}, Ampere{load}};
    const Assessment a = c.judge();
    CHECK(at(a, "box") == Verdict::reading_only);
    REQUIRE(a.findings.size() == 1);
    const Finding& f = a.findings[0];
    CHECK(f.verdict == Verdict::reading_only);
    CHECK(f.component == "box");
    CHECK(*f.phase == Phase::one);
    CHECK_FALSE(f.lug);
    CHECK(a.band_id(f.grade) == "plan");
    CHECK(plainly(f.next_step).find("Open the connection of this phase") != std::string::npos);
  }
}

TEST_CASE("a bad joint by its own meter leaves nothing of the pairs to be found elsewhere") {
  Case c = with_joint(kAllEven, kBadFirst);
  c.ohms("M1", bad_joint(Phase::one), "box", kReadOn);
  const Assessment a = c.judge();
  REQUIRE(a.findings.size() == 1);
  CHECK(*a.findings[0].phase == Phase::one);
}

TEST_CASE("a joint's reading counts at its own place, dated and within the age, the latest first") {
  Case elsewhere = with_joint(kHotOne, kBadFirst);
  elsewhere.survey.readings[0].place = "starter";
  CHECK(at(elsewhere.judge(), "box") == Verdict::no_reading);
  Case old = with_joint(kHotOne, kBadFirst);
  old.survey.readings[0].taken_at = on("2025-02-28");
  CHECK(at(old.judge(), "box") == Verdict::no_reading);
  Case undated = with_joint(kHotOne, kBadFirst);
  undated.survey.readings[0].taken_at.reset();
  CHECK(at(undated.judge(), "box") == Verdict::no_reading);
  Case mended = with_joint(kHotOne, kBadFirst);
  mended.read("M1", Test::joint_resistance, {41e-6, 40e-6, 42e-6}, "BOX", "2026-02-20");
  CHECK(at(mended.judge(), "box") == Verdict::heat_only);
}

TEST_CASE("a drop across the joint under the image's own load proves it as well") {
  // 45 mV at 90 A: 0.5 mΩ.
  const auto with_drop = [](const std::string& when, bool loaded) {
    Case c = circuit_of({});
    look(c, "box", kHotOne);
    if (!loaded) c.images[0].load_a = {};
    c.read("M1", Test::joint_drop, {0.045, 0.0036, 0.0038}, "box", when);
    return c.judge();
  };
  CHECK(at(with_drop("2026-03-01", true), "box") == Verdict::confirmed);
  // Neither without a current nor with that of another day.
  for (const Assessment& a : {with_drop("2026-03-01", false), with_drop("2026-02-20", true)}) {
    CHECK(at(a, "box") == Verdict::no_reading);
    CHECK(complains(a, "readings.csv", "says nothing without the current"));
  }
}

TEST_CASE("what a drive draws says nothing of what it puts out") {
  const auto fed_by = [](Feed feed, const std::string& place) {
    Case c = circuit_of({});
    c.survey.motors[0].fed_by = feed;
    c.see(Picture("drive output.tif", "M1", "drive output", kHotOne).taken("2026-03-01"));
    c.read("M1", Test::line_current, {90, 90, 90}, place, "2026-03-01");
    return c.judge();
  };
  CHECK_FALSE(fed_by(Feed::drive, "drive input").components[0].mean_load_a);
  CHECK_FALSE(fed_by(Feed::drive, "disconnect").components[0].mean_load_a);
  CHECK(fed_by(Feed::drive, "drive output").components[0].mean_load_a->value() == 90);
  CHECK(fed_by(Feed::drive, "terminal box").components[0].mean_load_a->value() == 90);
  CHECK(fed_by(Feed::line, "disconnect").components[0].mean_load_a->value() == 90);
  CHECK(says(fed_by(Feed::drive, "drive output").components[0].evidence, "true-RMS clamp"));
  CHECK_FALSE(says(fed_by(Feed::line, "disconnect").components[0].evidence, "true-RMS clamp"));
}

TEST_CASE("voltages at a drive's output are not the supply") {
  const auto with_volts = [](Feed feed, const std::string& place) {
    Case c = circuit_of({});
    c.survey.motors[0].fed_by = feed;
    c.see(Picture("disconnect.tif", "M1", "disconnect", {34.4, 30, 26.4})
              .taken("2026-03-01")
              .load(96, 80, 64));
    c.read("M1", Test::line_voltage, {460, 467, 450}, place, "2026-03-01");
    return at(c.judge(), "disconnect");
  };
  CHECK(with_volts(Feed::drive, "drive output") == Verdict::load_unbalance);
  CHECK(with_volts(Feed::drive, "terminal box") == Verdict::load_unbalance);
  CHECK(with_volts(Feed::drive, "drive input") == Verdict::supply_unbalance);
  CHECK(with_volts(Feed::line, "terminal box") == Verdict::supply_unbalance);
}
