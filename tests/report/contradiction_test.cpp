// No two statements on one card may disagree. The motors are drawn at random: what they are is not
// what the rules assume, and no number here is tuned to a rule.
#include "../diagnosis/cases.h"
#include "offered/demo/demo.h"
#include "offered/report/report_contents.h"
#include "ohmglow/assessment.h"
#include "ohmglow/survey_folder.h"

#include <array>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fmt/format.h>
#include <map>
#include <random>
#include <regex>
#include <set>

namespace ohmglow::report {
namespace {

using diagnosis::Decision;
using diagnosis::Finding;
using diagnosis::Verdict;

severity::Policy shipped() {
  const auto policy = records::read_policy("neta_mts", "nowhere");
  REQUIRE(policy.has_value());
  return *policy;
}

/// One motor with up to two components, any of whose lugs may be warm, and whatever readings.
test::Case random_motor(std::mt19937& random, const severity::Policy& policy) {
  const auto between = [&random](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  const auto chance = [&between](double share) { return between(0, 1) < share; };
  const auto phase = [&random] { return kPhases.at(random() % 3); };
  test::Case c;
  c.policy = policy;
  Motor& motor = c.rated_motor("M1");
  if (chance(0.3)) motor.conductor_limit_c = Celsius{between(50, 110)};
  if (chance(0.5)) motor.lug_area_cm2 = SquareCentimetre{between(4, 60)};
  const double air = between(5, 35);
  const double load = chance(0.15) ? between(1, 30) : between(40, 110);
  for (const char* component : {"starter load side", "terminal box"}) {
    if (chance(0.3)) continue;
    const double warm = air + between(0, 30) * load / 100;
    std::vector<double> lugs{warm, warm + between(-0.4, 0.4), warm + between(-0.4, 0.4)};
    if (chance(0.6)) lugs.at(random() % 3) += between(0.5, 60);
    if (chance(0.15)) lugs.at(random() % 3) += between(0.5, 30);
    test::Picture picture(std::string(component) + ".tif", "M1", component, lugs, air);
    if (chance(0.1)) {
      picture.load(load, load * between(0, 1.5), load);
    } else if (chance(0.9)) {
      picture.load(load);
    }
    if (chance(0.15)) picture.image.lugs.front().raise(diagnosis::Flag::unconfirmed);
    c.see(picture.taken("2026-03-04"));
  }
  if (chance(0.7)) {
    const double pair = between(0.005, 2);
    const double excess = chance(0.5) ? 0 : pair * between(0.002, 0.3);
    c.ohms("M1", test::pairs_with(phase(), excess, pair),
           chance(0.5) ? "starter load side" : "terminal box",
           chance(0.9) ? "2026-02-11" : "2020-02-11");
  }
  if (chance(0.2)) {
    std::array<double, 3> joints{between(2e-5, 2e-4), between(2e-5, 2e-4), between(2e-5, 2e-4)};
    if (chance(0.5)) joints.at(random() % 3) *= between(2, 50);
    c.read("M1", Test::joint_resistance, joints, "terminal box", "2026-02-11");
  }
  if (chance(0.2)) {
    c.read("M1", Test::line_voltage, {460, between(440, 470), 460}, "terminal box", "2026-03-04");
  }
  return c;
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

bool has_any(const std::string& text, std::initializer_list<const char*> parts) {
  return std::any_of(parts.begin(), parts.end(), [&](const char* part) { return has(text, part); });
}

std::string whole_text(const Card& card) {
  std::string text = fmt::format("{}\n{}\n{}\n{}\n{}\n{}\n", card.headline, card.meaning,
                                 card.plain_action, card.how_sure, card.action, card.next_step);
  for (const auto* list : {&card.reasons_for, &card.reasons_against, &card.flags, &card.also}) {
    for (const std::string& words : *list) text += words + '\n';
  }
  for (const Fact& fact : card.decisive) text += fact.label + ' ' + fact.value + '\n';
  for (const Fact& fact : card.probabilities) text += fact.label + ' ' + fact.value + '\n';
  return text;
}

bool is_even(Verdict verdict) {
  return verdict == Verdict::even || verdict == Verdict::load_unbalance ||
         verdict == Verdict::supply_unbalance;
}

/// What is said of a joint, whether to mend or to look for it.
constexpr std::initializer_list<const char*> kMending{"remake", "Remake", "A fault is likely",
                                                      "repair"};

std::vector<std::string> contradictions(const diagnosis::Assessment& a, const Finding& f,
                                        const Card& card) {
  std::vector<std::string> wrong;
  const auto must = [&wrong](bool holds, const char* what) {
    if (!holds) wrong.emplace_back(what);
  };
  const bool stops = has_any(card.plain_action, {"Stop it", "Take it off load"});
  must(stops == (f.decision == Decision::stop_now), "the line to act on and the decision");
  const bool gravest = f.grade.band && *f.grade.band + 1 == a.policy.bands.size();
  must(f.decision != Decision::stop_now || gravest, "a stop without the gravest band");
  if (is_even(f.verdict) || f.warm_alike) {
    must(!has_any(card.plain_action + card.action + card.meaning, kMending),
         "nothing stands out, and a joint is to be mended");
    must(!has(card.how_sure, "bad joint in this lug"),
         "nothing stands out, and a bad joint is sure");
  } else if (f.verdict != Verdict::unmarked_hot_spot && f.verdict != Verdict::not_judged) {
    must(!has(card.plain_action, "No lug stands out"), "a lug stands out, and none does");
    must(f.decision == Decision::image_again || !has(card.how_sure, "no fault between") ||
             has(card.how_sure, "; likelier: "),
         "a finding, and nothing wrong is likeliest");
  }
  if (f.verdict == Verdict::confirmed || f.verdict == Verdict::phase_agrees) {
    must(f.phase == f.electrical_phase || !has(card.meaning, "same phase"),
         "heat and ohms agree on other phases");
  }
  if (f.verdict == Verdict::phase_conflict) {
    must(f.phase != f.electrical_phase || !has(card.meaning, "different phases"),
         "heat and ohms conflict on one phase");
  }
  if (f.phase && f.verdict != Verdict::unmarked_hot_spot) {
    must(has(card.headline, "phase " + a.survey.phase_names.at(index_of(*f.phase))),
         "the headline and the phase");
  }
  must(!card.has_next_test || f.verdict != Verdict::confirmed, "confirmed, and to be tested first");
  for (const Fact& fact : card.probabilities) {
    if (fact.label == card.band) must(fact.value != "< 1 %", "the band and its probability");
  }
  const std::string text = whole_text(card);
  must(!std::regex_search(text, std::regex("± 0(\\.0+)? ")), "an uncertainty of zero");
  must(!std::regex_search(text, std::regex("\\b(0|100) %(?! of rated)")), "a certainty");
  must(!has_any(text, {"from memory", "house rule", "no source"}), "a source's mark in the body");
  must(!has(text, "nan") && !has(text, "inf "), "no number");
  return wrong;
}

/// Every card of a survey, and how often which of its statements disagree.
class Walk {
 public:
  void over(const diagnosis::Assessment& a, const std::string& name) {
    const Lookup lookup(a);
    for (const Finding& f : a.findings) {
      if (!f.leads_case) continue;
      const Card card = card_of(lookup, f);
      ++cards_;
      seen_.insert(f.verdict);
      for (const std::string& what : contradictions(a, f, card)) {
        if (wrong_[what]++ == 0) WARN(name << ": " << what << "\n" << whole_text(card));
      }
    }
  }
  void check_none_disagrees() const {
    for (const auto& [what, count] : wrong_) {
      INFO(what << ": " << count << " of " << cards_);
      CHECK(count == 0);
    }
  }
  [[nodiscard]] int cards() const { return cards_; }
  [[nodiscard]] std::size_t verdicts() const { return seen_.size(); }

 private:
  std::map<std::string, int> wrong_;
  std::set<Verdict> seen_;
  int cards_ = 0;
};

diagnosis::Assessment assessed_demo(const demo::Options& options, const char* name) {
  const std::filesystem::path folder = std::filesystem::path(OHMGLOW_TEST_OUTPUT) / name;
  std::filesystem::remove_all(folder);
  std::filesystem::create_directories(folder);
  REQUIRE(demo::write_survey(folder, options).has_value());
  auto assessed = assessment::assess(folder);
  REQUIRE(assessed.has_value());
  return *std::move(assessed);
}

}  // namespace

TEST_CASE("no two statements on a card disagree, on a thousand motors drawn at random") {
  std::mt19937 random(20260304);
  const severity::Policy policy = shipped();
  Walk walk;
  for (int motor = 0; motor < 1000; ++motor) {
    walk.over(random_motor(random, policy).judge(), fmt::format("motor {}", motor));
  }
  walk.check_none_disagrees();
  CHECK(walk.cards() > 500);
  CHECK(walk.verdicts() >= 9);
}

TEST_CASE("no two statements on a card of the demo disagree, before and after the repairs") {
  Walk walk;
  walk.over(assessed_demo({}, "bexley"), "bexley");
  walk.over(assessed_demo({.after = true}, "bexley-after"), "bexley-after");
  walk.check_none_disagrees();
  CHECK(walk.cards() >= 16);
}

}  // namespace ohmglow::report
