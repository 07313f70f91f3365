// What the choice of the coolest lug and the scatter of sound ones add to a rise over like counts
// alike in both propagations, JCGM 100:2008 and JCGM 101:2008, and stands in the budget.

#include "ohmglow/assessment.h"

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>

using namespace ohmglow;
namespace fs = std::filesystem;

namespace {

constexpr double kTwoSided95 = 1.959964;  // of the standard normal distribution

// A box of three lugs at these temperatures over air of 25 °C.
diagnosis::Assessment box_of_three(const std::string& name, const std::array<double, 3>& lugs_c,
                                   diagnosis::Uncertainty how) {
  constexpr int kPixels = 60;
  const fs::path folder = fs::path(OHMGLOW_TEST_OUTPUT) / "near_equal_lugs" / name;
  fs::remove_all(folder);
  fs::create_directories(folder / "marks");
  std::ofstream(folder / "motors.csv") << "motor,rated_a\nM1,20\n";
  std::ofstream(folder / "images.csv")
      << "file,motor,component,taken_at,emissivity,air_c,load_1_a,load_2_a,load_3_a\n"
         "a.csv,M1,terminal box,2026-03-04,0.95,25,20,20,20\n";
  std::ofstream image(folder / "a.csv");
  for (int y = 0; y < kPixels; ++y) {
    for (int x = 0; x < kPixels; ++x) {
      const bool on_a_lug = y > 20 && y < 40;
      const double t = on_a_lug ? lugs_c.at(static_cast<std::size_t>(x / 20)) : 25;
      image << (x == 0 ? "" : ",") << t + 0.01 * ((x * 7 + y * 13) % 5);
    }
    image << "\n";
  }
  image.close();
  std::ofstream(folder / "marks/a.csv.json")
      << R"({"version":1,"image":"a.csv","size":[60,60],"marks":[)"
         R"({"name":"T1","role":"lug","shape":{"kind":"circle","center":[10,30],"radius":7}},)"
         R"({"name":"T2","role":"lug","shape":{"kind":"circle","center":[30,30],"radius":7}},)"
         R"({"name":"T3","role":"lug","shape":{"kind":"circle","center":[50,30],"radius":7}}]})";
  assessment::Options options;
  options.judging.as_of = Moment::parse("2026-03-05")->day;
  options.judging.uncertainty = how;
  auto assessed = assessment::assess(folder, options);
  REQUIRE(assessed);
  REQUIRE(assessed->images.size() == 1);
  REQUIRE(assessed->images[0].lugs.size() == 3);
  return std::move(*assessed);
}

// Both ways of propagation on one box: the linear u and interval of each rise over like against
// those of the trials, whose own tolerance is kTrialTolerance of u.
void both_ways_agree(const std::string& name, const std::array<double, 3>& lugs_c) {
  const auto by_trials = box_of_three(name, lugs_c, diagnosis::Uncertainty::monte_carlo);
  int compared = 0;
  for (const diagnosis::LugResult& lug : by_trials.images[0].lugs) {
    INFO(lug.name);
    REQUIRE(lug.rise_over_like);
    REQUIRE(lug.monte_carlo);
    REQUIRE(lug.monte_carlo->over_like);
    CHECK(lug.monte_carlo->is_stable);
    const double u = lug.rise_over_like->u();
    const diagnosis::Spread& drawn = *lug.monte_carlo->over_like;
    const double tolerance = diagnosis::kTrialTolerance * u;
    CHECK(drawn.u == Approx(u).epsilon(0).margin(tolerance));
    const double rise = lug.rise_over_like->value();
    CHECK(drawn.low == Approx(rise - kTwoSided95 * u).epsilon(0).margin(2 * tolerance));
    CHECK(drawn.high == Approx(rise + kTwoSided95 * u).epsilon(0).margin(2 * tolerance));
    if (u > 0) ++compared;
  }
  CHECK(compared == 2);  // the coolest is its own reference
}

const diagnosis::BudgetInput* input_of(const diagnosis::Budget& budget,
                                       radiometry::InputKind kind) {
  for (const diagnosis::BudgetInput& input : budget.inputs) {
    if (input.kind == kind) return &input;
  }
  return nullptr;
}

}  // namespace

TEST_CASE("linear and Monte Carlo propagation agree for three nearly equal lugs") {
  both_ways_agree("equal", {35.0, 35.2, 34.9});
}

TEST_CASE("linear and Monte Carlo propagation agree for clearly different lugs") {
  both_ways_agree("different", {35.0, 62.0, 41.0});
}

TEST_CASE("the choice of the coolest lug adds to u where lugs are alike, and nothing where not") {
  // The smallest of three equal normal values lies 0.846 σ below their mean (Pearson & Hartley,
  // order statistics); of lugs many σ apart it is always the same one.
  constexpr double kOfThree = 0.846;
  const auto alike = box_of_three("alike", {35.0, 35.0, 35.0}, diagnosis::Uncertainty::linear);
  const auto& lugs = alike.images[0].lugs;
  const auto at = std::find_if(lugs.begin(), lugs.end(), [](const diagnosis::LugResult& lug) {
    return lug.rise_over_like->u() > 0;
  });
  REQUIRE(at != lugs.end());
  const double choice = at->reference_choice.value();
  // Of one lug: half of the variance of a difference of two.
  const double u_of_one = std::sqrt((std::pow(at->rise_over_like->u(), 2) - choice * choice) / 2);
  CHECK(choice > 0.9 * kOfThree * u_of_one);
  CHECK(choice < 1.0 * kOfThree * u_of_one);
  const auto apart = box_of_three("apart", {35.0, 62.0, 51.0}, diagnosis::Uncertainty::linear);
  CHECK(apart.images[0].lugs[1].reference_choice.value() < 1e-6);
  CHECK(apart.images[0].lugs[1].sound_scatter.value() > 0);
}

TEST_CASE("the budget of a rise over like holds the scatter of sound lugs and the choice") {
  const auto assessed = box_of_three("budget", {35.0, 39.5, 35.1}, diagnosis::Uncertainty::linear);
  REQUIRE(!assessed.findings.empty());
  const auto& budgets = assessed.findings[0].budget;
  const auto at = std::find_if(budgets.begin(), budgets.end(), [](const diagnosis::Budget& b) {
    return b.quantity == "rise_over_like";
  });
  REQUIRE(at != budgets.end());
  const diagnosis::LugResult& hot = assessed.images[0].lugs[1];
  const auto* scatter = input_of(*at, radiometry::InputKind::sound_scatter);
  REQUIRE(scatter);
  CHECK(scatter->u == Approx(hot.sound_scatter.value()));
  CHECK(scatter->unit == "K");
  const auto* choice = input_of(*at, radiometry::InputKind::reference_choice);
  REQUIRE(choice);
  CHECK(choice->u == Approx(hot.reference_choice.value()));
  // Every row together is the whole of u (JCGM 100, 5.1.2).
  double squares = 0;
  double shares = 0;
  for (const diagnosis::BudgetInput& input : at->inputs) {
    squares += input.u_k * input.u_k;
    shares += input.share;
  }
  CHECK(std::sqrt(squares) == Approx(hot.rise_over_like->u()));
  CHECK(shares == Approx(1));
}
