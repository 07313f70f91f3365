// Sources: the drawing is read back with Python's xml.etree and numpy; a scale is what its printed
// ticks say (a line fitted through them), and every point, whisker and bar must lie on it.
#include "fixture.h"
#include "offered/report/report.h"
#include "report/axis.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <fmt/format.h>

namespace ohmglow::report {
namespace {

using report_test::LugAt;
using report_test::python;
using report_test::write_output;

std::string drawn(const diagnosis::Assessment& a) {
  return ladder_svg(a, a.components.at(0));
}

// What Python finds wrong with a drawing of these lugs and legs.
std::string wrong_with(const std::string& name, const std::vector<LugAt>& lugs,
                       std::optional<double> air_c, std::optional<PerPhase<double>> legs) {
  const diagnosis::Assessment a = report_test::one_component(lugs, air_c, legs);
  const std::string path = write_output(name, drawn(a));
  std::vector<std::string> arguments{path};
  for (const LugAt& lug : lugs) {
    if (!lug.temperature_c) continue;
    arguments.push_back(
        fmt::format("lug:{}:{}:{}", number_of(lug.phase), *lug.temperature_c, 2 * lug.u_c));
  }
  if (legs) {
    const double lowest = std::min({(*legs)[0], (*legs)[1], (*legs)[2]});
    for (std::size_t i = 0; i < 3; ++i) {
      arguments.push_back(fmt::format("excess:{}:{:.12g}", i + 1, legs->at(i) - lowest));
    }
  }
  return python("check_ladder.py", arguments) + python("check_markup.py", {"svg", path});
}

}  // namespace

TEST_CASE("points, whiskers and bars of a ladder lie where its printed scales say") {
  CHECK(wrong_with(
            "hot_b.svg",
            {{"T1", Phase::one, 41.8}, {"T2", Phase::two, 87.3, 1.1}, {"T3", Phase::three, 41.2}},
            24.0, PerPhase<double>{0.2581, 0.2705, 0.2579}) == "");
  CHECK(wrong_with("even.svg",
                   {{"T1", Phase::one, 31.4}, {"T2", Phase::two, 31.2}, {"T3", Phase::three, 31.6}},
                   std::nullopt, PerPhase<double>{0.5, 0.5, 0.50000001}) == "");
  CHECK(wrong_with("six.svg",
                   {{"T1", Phase::one, 36.9},
                    {"T4", Phase::one, 45.2},
                    {"T2", Phase::two, 37.4},
                    {"T5", Phase::two, std::nullopt},
                    {"T3", Phase::three, 36.5},
                    {"T6", Phase::three, 40.7}},
                   22.5, PerPhase<double>{1.9, 1.901, 1.899}) == "");
}

TEST_CASE("ladders hold extremes: one lug, none, furnace heat, frost, micro-ohms and megohms") {
  CHECK(wrong_with("single.svg", {{"U", Phase::one, 33.1}}, 25.0, std::nullopt) == "");
  CHECK(wrong_with("no_air_single.svg", {{"U", Phase::three, 33.1}}, std::nullopt, std::nullopt) ==
        "");
  CHECK(wrong_with("furnace.svg", {{"T1", Phase::one, 31}, {"T2", Phase::two, 1480.4, 25}}, 24.0,
                   PerPhase<double>{2.2e6, 1.1e6, 4.9e6}) == "");
  CHECK(wrong_with("frost.svg", {{"T1", Phase::one, -41.25}, {"T2", Phase::two, -38.5}}, -45.0,
                   PerPhase<double>{4.0e-6, 4.4e-6, 4.1e-6}) == "");
  CHECK(wrong_with("exact.svg", {{"T1", Phase::one, 30, 0}, {"T2", Phase::two, 30, 0}}, 30.0,
                   PerPhase<double>{1e3, 1e3 + 12e3, 1e3}) == "");
  CHECK(wrong_with("empty.svg", {}, std::nullopt, std::nullopt) == "");
}

TEST_CASE("a ladder says in words what it shows") {
  // One sentence per number of the drawing (WCAG 2.1, 1.1.1: a text alternative of equal purpose).
  const auto a = report_test::bexley_creek();
  const std::string svg = drawn(a);
  CHECK_THAT(svg, Catch::Contains("phase B, lug T2: 87.3 °C ± 2.2 (2u), band urgent."));
  CHECK_THAT(svg,
             Catch::Contains("Band Urgent: more than 15 K over the reference lug, from 56.2 °C."));
  CHECK_THAT(svg, Catch::Contains("Air: 24.0 °C."));
  CHECK_THAT(svg, Catch::Contains("phase A 0.20 mΩ, phase B 12.6 mΩ, phase C 0"));
  CHECK_THAT(svg, Catch::Contains("Line current of phase A: 38.2 A."));
  CHECK_THAT(ladder_svg(a, a.components[2]), Catch::Contains("lug T5: not measured."));
}

TEST_CASE("zones of a lone lug stand on the air, of like lugs on the reference lug") {
  // 25 + 40 (NETA Table 100.18, over-air column) and 31.0 + 15 (over-like column).
  const auto lone = report_test::one_component({{"U", Phase::one, 33.1}}, 25.0, std::nullopt);
  CHECK_THAT(drawn(lone),
             Catch::Contains("Band Urgent: more than 40 K over the air, from 65.0 °C."));
  const auto two =
      report_test::one_component({{"U", Phase::one, 33.1}, {"V", Phase::two, 31}}, 25.0, {});
  CHECK_THAT(drawn(two), Catch::Contains("more than 15 K over the reference lug, from 46.0 °C."));
  const auto bare =
      report_test::one_component({{"U", Phase::one, 33.1}}, std::nullopt, std::nullopt);
  CHECK_THAT(drawn(bare), !Catch::Contains("Band Urgent"));
}

TEST_CASE("a limit that decided a band and that no zone shows is a line at its temperature") {
  // The conductor's 60 °C; and 16.2 + 40 (NETA Table 100.18, over-air column, the fixture's
  // policy).
  constexpr double kAir_c = 16.2;
  auto a = report_test::one_component(
      {{"T1", Phase::one, 52.0}, {"T2", Phase::two, 63.5}, {"T3", Phase::three, 58.1}}, kAir_c, {});
  a.survey.motors.at(0).conductor_limit_c = Celsius{60};
  a.survey.motors.at(0).rated_a = Ampere{40};
  a.components.at(0).load_a = {Ampere{30}, Ampere{30}, Ampere{30}};
  auto& lugs = a.images.at(0).lugs;
  for (auto& lug : lugs) {
    lug.rise_over_air = radiometry::Estimate{lug.temperature_c->value() - kAir_c, {}};
  }
  CHECK_THAT(drawn(a), !Catch::Contains("class=\"limit\""));
  const std::size_t worst = a.policy.bands.size() - 1;
  lugs[0].grade = {worst, severity::DecidedBy::limit};  // at full load alone
  lugs[1].grade = {worst, severity::DecidedBy::limit};
  lugs[2].grade = {worst, severity::DecidedBy::air};
  const std::string svg = drawn(a);
  const std::string path = write_output("limits.svg", svg);
  // Rise over air × (rated / load)^1.9 (docs/method.md)
  const double full_c = kAir_c + (52.0 - kAir_c) * std::pow(40.0 / 30.0, 1.9);
  CHECK(python("check_ladder.py", {path, "limit::60", "limit::56.2",
                                   fmt::format("full_load:1:{:.6f}", full_c)}) == "");
  CHECK(python("check_markup.py", {"svg", path}) == "");
  CHECK_THAT(svg, Catch::Contains("Band decided by the conductor&#39;s temperature limit."));
  CHECK_THAT(svg, Catch::Contains(fmt::format("At full load: {:.1f} °C.", full_c)));
  CHECK_THAT(
      svg, Catch::Contains("Limit that decided, the conductor&#39;s temperature limit: 60.0 °C."));
  CHECK_THAT(svg, Catch::Contains("Limit that decided, more than 40 K over the air: 56.2 °C."));
}

TEST_CASE("lugs of several images bear the number of theirs") {
  auto a = report_test::one_component({{"T1", Phase::one, 31.4}, {"T2", Phase::two, 31.2}}, {}, {});
  CHECK_THAT(drawn(a), !Catch::Contains("(1)"));
  a.images.push_back(a.images.at(0));
  a.images.at(1).file = "second.tif";
  a.components.at(0).images = {0, 1};
  const std::string svg = drawn(a);
  CHECK_THAT(svg, Catch::Contains("lug T1 (1): 31.4") && Catch::Contains("lug T1 (2): 31.4"));
  CHECK_THAT(svg, Catch::Contains("(1) " + a.images[0].file) && Catch::Contains("(2) second.tif"));
}

TEST_CASE("below the line a band begins where one raised leg would reach its limit") {
  // NEMA MG 1 definition (100 × largest deviation from the mean / mean) on the pairs of two legs r
  // and one r + x; limits of the fixture's policy: more than 1 %, more than 5 %, from 10 %.
  const auto a =
      report_test::one_component({}, std::nullopt, PerPhase<double>{0.258, 0.2705, 0.2579});
  const std::string svg = drawn(a);
  struct Limit {
    double pct, excess_ohm;
    const char* words;
  };
  const double r = 0.2579;
  for (const Limit& limit :
       {Limit{1, 0.0078151515,
              "more than 1 % unbalance of the pairs, one leg alone raised, at 7.82 mΩ."},
        Limit{5, 0.0407210526,
              "more than 5 % unbalance of the pairs, one leg alone raised, at 40.7 mΩ."},
        Limit{10, 0.0859666667,
              "from 10 % unbalance of the pairs, one leg alone raised, at 86.0 mΩ."}}) {
    const double mean = (2 * r + 2 * (2 * r + limit.excess_ohm)) / 3;
    CHECK(100 * (mean - 2 * r) / mean == Approx(limit.pct).epsilon(1e-6));
    CHECK_THAT(svg, Catch::Contains(limit.words));
  }
}

TEST_CASE("phases are told apart by shape, and their marks differ where colours do not show") {
  const std::string svg = drawn(report_test::bexley_creek());
  const auto shape_in_lug = [&svg](const std::string& phase) {
    const auto at = svg.find("<g class=\"lug\" data-phase=\"" + phase + "\"");
    REQUIRE(at != std::string::npos);
    return svg.substr(at, svg.find("</g>", at) - at);
  };
  CHECK_THAT(shape_in_lug("1"), Catch::Contains("<circle"));
  CHECK_THAT(shape_in_lug("2"), !Catch::Contains("<circle") && !Catch::Contains("z\" fill"));
  CHECK_THAT(shape_in_lug("3"), !Catch::Contains("<circle") && Catch::Contains("z\" fill"));
}

TEST_CASE("hostile names stay text in a ladder") {
  const auto a = report_test::bexley_creek();
  const std::string svg = ladder_svg(a, a.components[2]);
  CHECK_THAT(svg, !Catch::Contains("<script") && !Catch::Contains("<T6>") &&
                      Catch::Contains("&lt;T6&gt;"));
  CHECK(python("check_markup.py", {"svg", write_output("hostile.svg", svg)}) == "");
}

TEST_CASE("a motor without an image gets the lower half alone, on the same scales") {
  const auto a = report_test::bexley_creek();
  const std::string path = write_output("reading_only.svg", ladder_svg(a, a.motors[2]));
  // legs 0.0052, 0.0053, 0.0071 Ω
  CHECK(python("check_ladder.py", {path, "excess:1:0", "excess:2:0.0001", "excess:3:0.0019"}) ==
        "");
  CHECK(python("check_markup.py", {"svg", path}) == "");
  CHECK_THAT(ladder_svg(a, a.motors[3]), Catch::Contains("no resistance reading"));
  CHECK_THAT(ladder_svg(a, a.motors[0]), Catch::Contains(">38.2</text>") && !Catch::Contains("°C"));
}

TEST_CASE("steps of an axis are 1, 2 or 5 times a power of ten") {
  // Values worked out by hand.
  CHECK(round_step(10, 5) == Approx(2));
  CHECK(round_step(61.3, 6) == Approx(20));
  CHECK(round_step(0.0126, 3) == Approx(0.005));
  CHECK(round_step(0, 3) == 1);
  const Axis axis{-0.5, 1.0, 100, 0, 0.5};
  CHECK(axis.ticks() == std::vector<double>{-0.5, 0, 0.5, 1.0});
  CHECK(axis.at(0.25) == Approx(50));
  CHECK(axis.places() == 1);
}

}  // namespace ohmglow::report
