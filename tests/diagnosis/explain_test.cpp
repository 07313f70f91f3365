// Explanations and next tests: Bayes' rule and Shannon's entropy against scipy, the tables against
// their own rules, and what they say of surveys built by hand.

#include "cases.h"
#include "diagnosis/bayes.h"
#include "diagnosis/explanations.h"
#include "diagnosis/rotor_causes.h"

#include <catch2/catch.hpp>
#include <cstdio>
#include <map>
#include <memory>
#include <numeric>
#include <sstream>

using namespace ohmglow;
using namespace ohmglow::test;
using namespace ohmglow::diagnosis;

namespace {

// What Debian's Python says, one number a line.
std::vector<double> python(const std::string& program) {
  const std::string command = std::string(OHMGLOW_PYTHON) + " -c \"" + program + "\"";
  const std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen(command.c_str(), "r"), pclose);
  REQUIRE(pipe);
  std::vector<double> numbers;
  double number = 0;
  while (std::fscanf(pipe.get(), "%lf", &number) == 1) numbers.push_back(number);
  return numbers;
}

double sum(const std::vector<double>& p) {
  return std::accumulate(p.begin(), p.end(), 0.0);
}

const ComponentResult& only(const Assessment& a) {
  REQUIRE(a.components.size() == 1);
  return a.components[0];
}

Estimate with_u(double value, double u, std::uint32_t scope) {
  return Estimate{value, {{Input{InputKind::noise, scope}, u}}};
}

// One motor with lugs at these temperatures, each with its own standard uncertainty.
Case motor_with(const std::vector<double>& temperatures_c, double u_k,
                std::optional<std::array<double, 3>> pairs) {
  Case survey;
  Motor& motor = survey.motor("M");
  motor.rated_a = Ampere{100};
  motor.lug_area_cm2 = SquareCentimetre{30};
  Picture picture("m.tif", "M", "terminal box", temperatures_c);
  picture.taken("2026-03-04").load(80);
  std::uint32_t scope = 0;
  for (auto& lug : picture.image.lugs) {
    lug.mean_c = lug.temperature_c->value();  // warm all over
    lug.temperature_c = with_u(lug.temperature_c->value(), u_k, ++scope);
  }
  survey.see(picture);
  if (pairs) survey.ohms("M", *pairs, "terminal box", "2026-03-01");
  return survey;
}

}  // namespace

TEST_CASE("posterior, entropy and expected gain are those of scipy") {
  // scipy.stats.entropy; Bayes' rule; the expected gain of Lindley (1956), by its definition.
  const std::vector<double> prior{0.5, 0.3, 0.2};
  const std::vector<double> high{0.9, 0.2, 0.5};
  const std::vector<double> low{0.1, 0.8, 0.5};
  const auto expected = python(
      "import numpy as n; from scipy.stats import entropy as e; p=n.array([.5,.3,.2]); "
      "a=n.array([.9,.2,.5]); b=1-a; print(*(p*a/(p@a)), e(p,base=2), "
      "e(p,base=2)-(p@a)*e(p*a,base=2)-(p@b)*e(p*b,base=2))");
  REQUIRE(expected.size() == 5);
  constexpr double kPrinted = 1e-12;
  const auto after = posterior(prior, high);
  for (std::size_t i = 0; i < 3; ++i) CHECK(after[i] == Approx(expected[i]).margin(kPrinted));
  CHECK(entropy_bits(prior) == Approx(expected[3]).margin(kPrinted));
  CHECK(expected_gain_bits(prior, {high, low}) == Approx(expected[4]).margin(kPrinted));
  // By hand: a test that tells two equally likely cases apart for certain gains one bit; one whose
  // outcomes are equally likely everywhere gains nothing.
  CHECK(expected_gain_bits(std::vector<double>{0.5, 0.5}, {{1, 0}, {0, 1}}) == Approx(1));
  CHECK(expected_gain_bits(prior, {{0.5, 0.5, 0.5}, {0.5, 0.5, 0.5}}) == Approx(0).margin(1e-12));
}

TEST_CASE("the tables keep their rules: priors, facts of a kind and outcomes of a test sum to 1") {
  constexpr double kRounding3 = 1e-9;
  double priors = 0;
  for (const CauseRow& row : cause_rows()) priors += row.prior;
  CHECK(priors == Approx(1).margin(kRounding3));
  const auto kinds = fact_kinds();
  for (std::size_t cause = 0; cause < kCauses; ++cause) {
    for (std::size_t kind = 0; kind < kinds.size(); ++kind) {
      const auto first = static_cast<std::size_t>(kinds[kind]);
      const auto end = kind + 1 < kinds.size() ? static_cast<std::size_t>(kinds[kind + 1]) : kFacts;
      double total = 0;
      for (std::size_t f = first; f < end; ++f) {
        total += row_of(static_cast<Fact>(f)).likelihood.at(cause);
      }
      INFO(cause_rows().at(cause).id << ", facts from " << first);
      CHECK(total == Approx(1).margin(kRounding3));
    }
    for (const TestRow& test : test_rows()) {
      double total = 0;
      for (const OutcomeRow& outcome : test.outcomes) total += outcome.likelihood.at(cause);
      INFO(cause_rows().at(cause).id << ", " << test.id);
      CHECK(total == Approx(1).margin(kRounding3));
    }
  }
}

TEST_CASE("each verdict gets the explanation that an electrician would name first") {
  struct Row {
    std::vector<double> lugs_c;
    std::optional<std::array<double, 3>> pairs;
    Verdict verdict;
    std::string explanation;
    std::string asks;  // what the next step asks for; empty: also the first of the tests
  };
  const std::array<double, 3> even{1, 1, 1};
  const std::vector<Row> rows{
      // 0.5 mΩ at 80 A are 3.2 W; 20 K over like on 30 cm² take 1.05 to 7.1 W (Python).
      {{30, 50, 30}, bad_joint(Phase::two), Verdict::confirmed, "lug_joint", "Open the connection"},
      {{30, 50, 30},
       pairs_with(Phase::two, 0.1),
       Verdict::phase_agrees,
       "lug_joint",
       "Measure across this joint alone"},
      {{30, 50, 30},
       bad_joint(Phase::one),
       Verdict::phase_conflict,
       "swapped_marking",
       "trace each lead"},
      // Even lugs under load: by the counted likelihoods the meter's clip, before the winding.
      {{30, 30, 30}, bad_joint(Phase::one), Verdict::reading_only, "meter_lead", ""},
      {{30, 50, 30},
       std::nullopt,
       Verdict::no_reading,
       "lug_joint",
       "Measure winding resistance here on all three pairs"},
      {{30, 30, 30}, even, Verdict::even, "sound", "No repair needed"},
  };
  for (const Row& row : rows) {
    const Assessment a = motor_with(row.lugs_c, 0.2, row.pairs).judge();
    const ComponentResult& component = only(a);
    INFO(id_of(row.verdict));
    CHECK(component.verdict == row.verdict);
    CHECK(component.explained.explanations.front().id == row.explanation);
    double total = 0;
    for (const auto& e : component.explained.explanations) total += e.probability;
    CHECK(total == Approx(1));
    const auto& tests = component.explained.tests;
    for (std::size_t i = 1; i < tests.size(); ++i) {
      CHECK(tests[i - 1].gain_bits >= tests[i].gain_bits);
    }
    // A test that the step asks for already is not named twice; what is known needs none.
    const std::string step = plainly(component.next_step);
    CHECK(step.find(row.asks) != std::string::npos);
    CHECK((step.find(plainly(tests.front().title)) != std::string::npos) == row.asks.empty());
    const bool offers_pairs = std::any_of(tests.begin(), tests.end(),
                                          [](const auto& t) { return t.id == "three_pairs"; });
    CHECK(offers_pairs != row.pairs.has_value());
  }
}

TEST_CASE("the likeliest two carry what speaks for and against them") {
  const Assessment a = motor_with({30, 50, 30}, 0.2, bad_joint(Phase::two)).judge();
  const auto& explanations = only(a).explained.explanations;
  REQUIRE(explanations.size() == kCauses);
  CHECK(explanations[0].in_favour.size() >= 2);
  CHECK(explanations[2].in_favour.empty());
  for (const auto& argument : explanations[0].in_favour) CHECK(argument.with_it > argument.overall);
  for (const auto& argument : explanations[1].against) CHECK(argument.with_it < argument.overall);
}

TEST_CASE("next tests by effort are ordered by gain per minute") {
  Case survey = motor_with({30, 50, 30}, 0.2, std::nullopt);
  survey.options.tests_by_effort = true;
  const Assessment a = survey.judge();
  const auto& tests = only(a).explained.tests;
  for (std::size_t i = 1; i < tests.size(); ++i) {
    CHECK(tests[i - 1].gain_bits / tests[i - 1].effort_min >=
          tests[i].gain_bits / tests[i].effort_min);
  }
}

TEST_CASE("the probabilities of the verdicts are those of the two witnesses") {
  // Rise over like 1.5 K with u = 0.3·√2 K against the limit 1 K (each lug its own noise; sound
  // lugs do not scatter here): scipy.stats.norm. A thousand strata of one input are exact to
  // 1/1000; two inputs joined are not stratified, so that their sum is good to about 0.02.
  // 25 µΩ at 80 A are 0.16 W, within what any rise from 1 to 3 K over like of 30 °C takes on 30
  // cm², 0.048 to 0.33 and 0.14 to 1.0 W (Python).
  constexpr double kDrawn = 0.02;
  const Assessment a =
      motor_with({30, 31.5}, 0.3, pairs_with(Phase::two, 0.000025, 0.0005)).judge();
  const auto& p = only(a).verdict_probability;
  REQUIRE(p.size() == kVerdicts);
  CHECK(sum(p) == Approx(1));
  const auto hot = python("from scipy.stats import norm; print(1-norm.cdf((1-1.5)/(0.3*2**.5)))");
  REQUIRE(hot.size() == 1);
  // The pairs are 3.2 % out of balance with u under 0.2 %: certain.
  CHECK(p[static_cast<std::size_t>(Verdict::confirmed)] == Approx(hot[0]).margin(kDrawn));
  CHECK(p[static_cast<std::size_t>(Verdict::reading_only)] == Approx(1 - hot[0]).margin(kDrawn));
}

TEST_CASE("a pair unbalance at its limit leaves the verdict open, one far from it does not") {
  // A reading is judged out of balance where it is so at 95 %. Judged in balance, the probability
  // that it is not is that of another reading being judged so: 5 % at the limit, one half just
  // under the edge. Just over the edge the true unbalance is above 1 % with 95 %. 1 % is reached
  // at x = 0.015/0.99 of 1.5 Ω, the edge at 1 % + 1.645 u.
  const auto excess_at = [](double unbalance_pct) {
    return 1.5 * unbalance_pct / (100 - unbalance_pct);
  };
  const auto judged_at = [](double excess) {
    return motor_with({30, 30, 30}, 0.05, pairs_with(Phase::two, excess)).judge();
  };
  const auto p = [&](double excess) {
    return only(judged_at(excess))
        .verdict_probability[static_cast<std::size_t>(Verdict::reading_only)];
  };
  const double at_limit = excess_at(1);
  const double u = judged_at(at_limit).motors[0].electrical[0].resolution->pair_unbalance_u.value();
  CHECK(p(at_limit) == Approx(0.05).margin(0.01));
  const double edge = 1 + 1.645 * u;
  CHECK(only(judged_at(excess_at(edge - 0.002))).verdict == Verdict::even);
  CHECK(p(excess_at(edge - 0.002)) == Approx(0.5).margin(0.05));
  CHECK(only(judged_at(excess_at(edge + 0.002))).verdict == Verdict::reading_only);
  CHECK(p(excess_at(edge + 0.002)) == Approx(0.95).margin(0.01));
  CHECK(p(0.1) == Approx(1).margin(1e-9));
  CHECK(p(0.001) == Approx(0).margin(1e-9));
}

TEST_CASE("the same survey gives the same probabilities") {
  const auto once = motor_with({30, 31.2, 30}, 0.3, pairs_with(Phase::two, 0.016)).judge();
  const auto again = motor_with({30, 31.2, 30}, 0.3, pairs_with(Phase::two, 0.016)).judge();
  CHECK(only(once).verdict_probability == only(again).verdict_probability);
}

TEST_CASE("every explanation's probability is Bayes' rule over the facts that were seen") {
  // The table's numbers, multiplied here by hand.
  const Assessment a = motor_with({30, 50, 30}, 0.2, bad_joint(Phase::two)).judge();
  const Explained& explained = only(a).explained;
  CHECK(explained.seen == std::vector<std::string>{"heat_one_lug", "heat_strong", "spot_whole",
                                                   "resistance_one_size", "current_even",
                                                   "surface_alike", "place_connection"});
  std::map<std::string, double> expected;
  double total = 0;
  for (std::size_t cause = 0; cause < kCauses; ++cause) {
    double p = cause_rows().at(cause).prior;
    for (std::size_t f = 0; f < kFacts; ++f) {
      const FactRow& row = row_of(static_cast<Fact>(f));
      const bool seen = std::count(explained.seen.begin(), explained.seen.end(), row.id) == 1;
      if (seen) p *= row.likelihood.at(cause);
    }
    expected[std::string(cause_rows().at(cause).id)] = p;
    total += p;
  }
  REQUIRE(explained.explanations.size() == kCauses);
  for (const Explanation& e : explained.explanations) {
    INFO(e.id);
    CHECK(e.probability == Approx(expected.at(e.id) / total).margin(1e-12));
  }
}

TEST_CASE("what a policy gives as priors takes the place of the table's") {
  // Priors are assumed; who has counted his own replaces them, one or all. They are scaled to a
  // sum of 1, so that only their ratios count.
  Case survey = motor_with({30, 50, 30}, 0.2, std::nullopt);
  const auto share = [&survey](const std::string& id) {
    const Assessment a = survey.judge();
    for (const Explanation& e : only(a).explained.explanations) {
      if (e.id == id) return e.probability;
    }
    return -1.0;
  };
  const double lug_joint = share("lug_joint");
  const double contact = share("switch_contact");
  CHECK(lug_joint > 0.5);
  double table_prior = 0;
  for (const CauseRow& row : cause_rows()) {
    if (row.id == "lug_joint") table_prior = row.prior;
  }
  survey.policy.priors = {{"lug_joint", table_prior / 1000}};
  CHECK(share("lug_joint") / share("switch_contact") ==
        Approx(lug_joint / contact / 1000).epsilon(1e-9));
  CHECK(share("lug_joint") < 0.1);
  for (const std::string& id : explanation_ids()) survey.policy.priors[id] = 0;
  survey.policy.priors["sun"] = 7;
  CHECK(share("sun") == Approx(1));
}

TEST_CASE("an explanation's ids are the table's, each once") {
  std::vector<std::string> ids = explanation_ids();
  REQUIRE(ids.size() == kCauses + kRotorCauses);
  CHECK(ids.front() == "sound");
  std::sort(ids.begin(), ids.end());
  CHECK(std::adjacent_find(ids.begin(), ids.end()) == ids.end());
}

TEST_CASE("tape comes before ohms where two bare lugs are warm and one is not") {
  // A bare surface reflects: whether there is heat at all is the first question.
  Case survey = motor_with({30, 33, 33}, 0.2, std::array<double, 3>{1, 1, 1});
  for (auto& lug : survey.images[0].lugs) lug.emissivity = Emissivity{0.3};
  const auto place_of = [&survey](const std::string& id) {
    const Assessment a = survey.judge();
    const auto& tests = only(a).explained.tests;
    return std::find_if(tests.begin(), tests.end(), [&id](const auto& t) { return t.id == id; }) -
           tests.begin();
  };
  CHECK(place_of("emissivity_tape") < place_of("winding_at_box"));
  CHECK(place_of("emissivity_tape") < place_of("joint_resistance"));
}

TEST_CASE("tape comes before ohms on one hot bare lug that no ohms speak for") {
  // As the trade says: first find out whether it is warm (common practice, no source).
  const auto first_of = [](std::optional<std::array<double, 3>> pairs, double emissivity) {
    Case survey = motor_with({30, 75, 30}, 0.2, pairs);
    for (auto& lug : survey.images[0].lugs) lug.emissivity = Emissivity{emissivity};
    const Assessment a = survey.judge();
    REQUIRE(only(a).verdict != Verdict::not_judged);
    const NextTest& first = only(a).explained.tests.front();
    const bool is_named =
        plainly(only(a).next_step).find(plainly(first.title)) != std::string::npos;
    CHECK(is_named == (first.id == "emissivity_tape"));  // ohms are in the step anyway
    return first.id;
  };
  CHECK(first_of(std::nullopt, 0.6) == "emissivity_tape");
  CHECK(first_of(std::array<double, 3>{1, 1, 1}, 0.6) == "emissivity_tape");
  CHECK(first_of(std::nullopt, 0.95) != "emissivity_tape");
  // Ohms of the heat's size: that there is heat is known.
  CHECK(first_of(bad_joint(Phase::two), 0.6) != "emissivity_tape");
}

TEST_CASE("one pair alone high with even lugs asks for the winding at the box") {
  // One winding of a delta, as circuit theory has it.
  Case survey = motor_with({30, 30, 30}, 0.2, std::array<double, 3>{0.027, 0.025, 0.025});
  survey.survey.motors[0].connection = Connection::delta;
  const Assessment a = survey.judge();
  CHECK(only(a).verdict == Verdict::reading_only);
  CHECK(only(a).explained.explanations.front().id == "winding");
  const auto& tests = only(a).explained.tests;
  CHECK((tests.front().id == "winding_at_box" || tests.front().id == "pairs_again"));
}
