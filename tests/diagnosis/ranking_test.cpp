// The rank order is a ruling of the project's design.
#include "cases.h"

#include <catch2/catch.hpp>
#include <set>
#include <tuple>

using namespace ohmglow;
using namespace ohmglow::test;

namespace {

// Files of the findings by rank, the verdict for one without an image.
std::vector<std::string> order(const Assessment& a) {
  std::vector<std::string> files;
  for (const Finding& f : a.findings)
    files.push_back(f.image.value_or(std::string(id_of(f.verdict))));
  return files;
}

using Files = std::vector<std::string>;

}  // namespace

TEST_CASE("the more severe band ranks first whatever the verdict") {
  Case c;
  // 50 µΩ at 90 A are of the size of 2 K over like in air of 41 °C (findings_test.cpp).
  c.rated_motor("M1");
  c.motor("M2");
  c.see(Picture("watch.tif", "M1", "box", {44, 42, 42}, 41).load(90));
  c.ohms("M1", pairs_with(Phase::one, 0.00005, 0.0025), "box", "2026-02-11");  // confirmed
  c.see(Picture("urgent.tif", "M2", "box", {62, 42, 42}));                     // no reading
  CHECK(order(c.judge()) == Files{"urgent.tif", "watch.tif"});
}

TEST_CASE("within a band the verdicts rank from open phase to even") {
  // All urgent: 20 K over like, or 11.8 % of the pairs, or 45 K over air with even lugs.
  Case c;
  const std::vector<double> hot{62, 42, 42};
  const std::string day = "2026-02-11";
  const auto bad = [](Phase phase) { return pairs_with(phase, 0.2); };
  for (const char* id : {"a", "b", "c", "d", "e", "f", "g", "h", "i", "j"}) c.rated_motor(id);
  c.see(Picture("even.tif", "a", "box", {65, 65, 65}).load(90));
  c.ohms("a", {1, 1, 1}, "box", day);
  c.see(Picture("load.tif", "b", "box", {20 + 144, 20 + 100, 20 + 64}).load(96, 80, 64));
  c.ohms("b", {1, 1, 1}, "box", day);
  c.see(Picture("supply.tif", "c", "box", {20 + 144, 20 + 100, 20 + 64}).load(96, 80, 64));
  c.read("c", Test::line_voltage, {460, 467, 450}, "box");
  c.ohms("c", {1, 1, 1}, "box", day);
  c.see(Picture("none.tif", "d", "box", hot).load(90));
  c.ohms("e", bad(Phase::one), "starter", day);
  c.see(Picture("heat.tif", "f", "box", hot).load(90));
  c.ohms("f", {1, 1, 1}, "box", day);
  c.see(Picture("conflict.tif", "g", "box", hot).load(90));
  c.ohms("g", bad(Phase::two), "box", day);
  c.see(Picture("agrees.tif", "h", "box", hot).load(90));  // 0.2 Ω at 90 A would make 1620 W
  c.ohms("h", bad(Phase::one), "box", day);
  c.see(Picture("confirmed.tif", "i", "box", hot).load(90));
  c.ohms("i", pairs_with(Phase::one, 0.0005, 0.0025), "box", day);  // 4.05 W, 11.8 %
  c.see(Picture("open.tif", "j", "box", hot).load(90, 0, 90));
  const Assessment a = c.judge();
  for (const Finding& f : a.findings) CHECK(a.band_id(f.grade) == "urgent");
  CHECK(order(a) == Files{"open_phase", "confirmed.tif", "agrees.tif", "conflict.tif", "heat.tif",
                          "reading_only", "none.tif", "supply.tif", "supply.tif", "load.tif",
                          "load.tif", "even.tif"});
}

TEST_CASE(
    "within band and verdict the expected loss ranks before the rise, where costs are given") {
  // Failure probability of the band × (replacement + downtime an hour × repair hours), weighed by
  // criticality over its middle, 3. Urgent 0.5: A 0.5·1000 = 500; B 0.5·(200 + 400·6) = 1300, and
  // by criticality 1 a third of it, 433; C has no costs.
  Case c;
  c.policy.bands[3].failure_probability = 0.5;
  const auto add = [&c](const char* id, double rise_k) -> Motor& {
    c.see(Picture(std::string(id) + ".tif", id, "box", {40 + rise_k, 40, 40}));
    return c.motor(id);
  };
  add("A", 16).replacement_cost = 1000;
  Motor& b = add("B", 17);
  b.replacement_cost = 200;
  b.downtime_cost_per_h = 400;
  b.repair_h = 6;
  add("C", 30);
  const Assessment a = c.judge();
  CHECK(order(a) == Files{"B.tif", "A.tif", "C.tif"});
  CHECK(*a.findings[0].expected_loss == Approx(1300));
  CHECK(*a.findings[1].expected_loss == Approx(500));
  CHECK_FALSE(a.findings[2].expected_loss);
  for (Motor& motor : c.survey.motors) {
    if (motor.id == "B") motor.criticality = 1;
  }
  CHECK(order(c.judge()) == Files{"A.tif", "B.tif", "C.tif"});
  // A policy without failure probabilities works out no loss: the rise decides.
  c.policy.bands[3].failure_probability.reset();
  const Assessment by_rise = c.judge();
  CHECK(order(by_rise) == Files{"C.tif", "B.tif", "A.tif"});
  for (const Finding& f : by_rise.findings) CHECK_FALSE(f.expected_loss);
}

TEST_CASE("then the larger projected rise over like ranks first") {
  // 12 K at half load project to 44.8 K, 14 K at full load stay 14 K.
  Case c;
  c.motor("M1").rated_a = Ampere{100};
  c.see(Picture("full.tif", "M1", "box", {34, 20, 20}, 19).load(100));
  c.see(Picture("half.tif", "M1", "starter", {32, 20, 20}, 19).load(50));
  CHECK(order(c.judge()) == Files{"half.tif", "full.tif"});
}

TEST_CASE(
    "where nothing can be projected the rise over like itself counts, over air for a lone lug") {
  Case c;
  c.motor("M1").rated_a = Ampere{100};
  c.see(Picture("projected.tif", "M1", "a", {26, 20, 20}, 19).load(90));  // 6 K → 7.33 K
  c.see(Picture("like.tif", "M1", "b", {27, 20, 20}, 19));                // 7 K
  c.see(Picture("lone.tif", "M1", "c", {27.1}, 19.5));                    // 7.6 K over air: watch
  c.see(Picture("lone2.tif", "M1", "d", {31}, 19.5));                     // 11.5 K over air: plan
  CHECK(order(c.judge()) == Files{"lone2.tif", "projected.tif", "like.tif", "lone.tif"});
}

TEST_CASE("of equal rises the larger criticality times downtime cost ranks first") {
  Case c;
  const auto add = [&c](const char* id, std::optional<int> criticality,
                        std::optional<double> cost) {
    Motor& motor = c.motor(id);
    motor.criticality = criticality;
    motor.downtime_cost_per_h = cost;
    c.see(Picture(std::string(id) + ".tif", id, "box", {62, 42, 42}));
  };
  add("A", 5, std::nullopt);  // not known: counts as nothing
  add("B", 2, 100);
  add("C", 1, 300);
  CHECK(order(c.judge()) == Files{"C.tif", "B.tif", "A.tif"});
}

TEST_CASE("ties are broken by motor, component, phase, lug and image") {
  Case c;
  c.motor("M2");
  c.motor("M1");
  c.see(Picture("z.tif", "M2", "a", {62, 42, 42}));
  c.see(Picture("y.tif", "M1", "b", {62, 42, 42}));
  c.see(Picture("x.tif", "M1", "a", {42, 62, 62}));
  c.see(Picture("w.tif", "M1", "a", {42, 42, 62}));
  Picture named("v.tif", "M1", "a", {42, 42, 62});
  named.image.lugs[2].name = "S3";
  c.see(named);
  const Assessment a = c.judge();
  using Key = std::tuple<std::string, std::string, int, std::string, std::string>;
  std::vector<Key> keys;
  for (const Finding& f : a.findings) {
    keys.emplace_back(f.motor, f.component, number_of(*f.phase), *f.lug, *f.image);
  }
  CHECK(keys == std::vector<Key>{{"M1", "a", 2, "T2", "x.tif"},
                                 {"M1", "a", 3, "S3", "v.tif"},
                                 {"M1", "a", 3, "T3", "w.tif"},
                                 {"M1", "a", 3, "T3", "x.tif"},
                                 {"M1", "b", 1, "T1", "y.tif"},
                                 {"M2", "a", 1, "T1", "z.tif"}});
}

TEST_CASE("the order of the images and readings does not change the list, and ranks run from one") {
  Case c;
  for (const char* id : {"M1", "M2", "M3"}) c.motor(id).rated_a = Ampere{100};
  c.see(Picture("a.tif", "M1", "box", {62, 42, 43.5}).load(80));
  c.see(Picture("b.tif", "M2", "box", {62, 42, 42}).load(80));
  c.see(Picture("c.tif", "M3", "box", {45, 42, 42}).load(60));
  c.see(Picture("d.tif", "M3", "starter", {45, 42, 42}).load(60));
  c.ohms("M1", pairs_with(Phase::one, 0.03), "box");
  c.ohms("M2", pairs_with(Phase::two, 0.03), "box");
  const Assessment forward = c.judge();
  std::reverse(c.images.begin(), c.images.end());
  std::reverse(c.survey.images.begin(), c.survey.images.end());
  std::reverse(c.survey.readings.begin(), c.survey.readings.end());
  const Assessment backward = c.judge();
  CHECK(order(forward) == order(backward));
  std::set<int> ranks;
  for (const Finding& f : forward.findings) ranks.insert(f.rank);
  REQUIRE(forward.findings.size() == 5);
  CHECK(*ranks.begin() == 1);
  CHECK(*ranks.rbegin() == 5);
  CHECK(ranks.size() == 5);
}

TEST_CASE("a finding without any rise ranks after those of its band and verdict that have one") {
  // Both reading_only and watch: the motor's own finding, and a lug that is warm over air alone,
  // where the policy counts that from watch on.
  Case c;
  c.policy.air_alone_from = 0;
  c.motor("M1");
  c.see(Picture("a.tif", "M1", "box", {22, 22.1, 22}));
  c.ohms("M1", pairs_with(Phase::one, 0.02), "starter", "2026-02-11");
  const Assessment a = c.judge();
  CHECK(order(a) == Files{"a.tif", "reading_only"});
}
