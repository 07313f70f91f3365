// The rank order is a ruling of the project's design.
#include "cases.h"

#include <catch2/catch.hpp>
#include <set>
#include <tuple>

using namespace ohmglow;
using namespace ohmglow::test;

namespace {

// Files of the findings by rank, "reading" for one without an image.
std::vector<std::string> order(const Assessment& a) {
  std::vector<std::string> files;
  for (const Finding& f : a.findings) files.push_back(f.image.value_or("reading"));
  return files;
}

using Files = std::vector<std::string>;

}  // namespace

TEST_CASE("the more severe band ranks first whatever the verdict") {
  Case c;
  c.motor("M1");
  c.motor("M2");
  c.see(Picture("watch.tif", "M1", "box", {44, 42, 42}, 41));
  c.ohms("M1", pairs_with(Phase::one, 0.02), "box");        // confirmed
  c.see(Picture("urgent.tif", "M2", "box", {62, 42, 42}));  // no reading
  CHECK(order(c.judge()) == Files{"urgent.tif", "watch.tif"});
}

TEST_CASE("within a band the verdicts rank from confirmed to even") {
  // All urgent: 20 K over like, or 11.8 % of the pairs, or 45 K over air with even lugs.
  Case c;
  const std::vector<double> hot{62, 42, 42};
  const auto bad = [](Phase phase) { return pairs_with(phase, 0.2); };
  for (const char* id : {"a", "b", "c", "d", "e", "f", "g", "h"}) c.motor(id);
  c.see(Picture("even.tif", "a", "box", {65, 65, 65}));
  c.ohms("a", {1, 1, 1}, "box");
  c.see(Picture("load.tif", "b", "box", {20 + 144, 20 + 100, 20 + 64}).load(96, 80, 64));
  c.ohms("b", {1, 1, 1}, "box");
  c.see(Picture("supply.tif", "c", "box", {20 + 144, 20 + 100, 20 + 64}).load(96, 80, 64));
  c.read("c", Test::line_voltage, {460, 467, 450}, "box");
  c.ohms("c", {1, 1, 1}, "box");
  c.see(Picture("none.tif", "d", "box", hot));
  c.ohms("e", bad(Phase::one), "starter");
  c.see(Picture("heat.tif", "f", "box", hot));
  c.ohms("f", {1, 1, 1}, "box");
  c.see(Picture("conflict.tif", "g", "box", hot));
  c.ohms("g", bad(Phase::two), "box");
  c.see(Picture("confirmed.tif", "h", "box", hot));
  c.ohms("h", bad(Phase::one), "box");
  const Assessment a = c.judge();
  for (const Finding& f : a.findings) CHECK(a.band_id(f.grade) == "urgent");
  CHECK(order(a) == Files{"confirmed.tif", "conflict.tif", "heat.tif", "reading", "none.tif",
                          "supply.tif", "supply.tif", "load.tif", "load.tif", "even.tif"});
}

TEST_CASE("then the larger projected rise over like ranks first") {
  // 12 K at half load project to 41.8 K, 14 K at full load stay 14 K.
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
  c.see(Picture("projected.tif", "M1", "a", {26, 20, 20}, 19).load(90));  // 6 K → 7.25 K
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
  // Both reading_only and watch: the motor's own finding, and a lug that is warm over air alone.
  Case c;
  c.motor("M1");
  c.see(Picture("a.tif", "M1", "box", {22, 22.1, 22}));
  c.ohms("M1", pairs_with(Phase::one, 0.02), "starter");
  const Assessment a = c.judge();
  CHECK(order(a) == Files{"a.tif", "reading"});
}
