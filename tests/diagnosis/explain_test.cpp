// Explanations and next tests: Bayes' rule and Shannon's entropy against scipy, the tables against
// their own rules, and what they say of surveys built by hand.

#include "cases.h"
#include "diagnosis/bayes.h"
#include "diagnosis/explanations.h"

#include <catch2/catch.hpp>
#include <cstdio>
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
  };
  const std::array<double, 3> even{1, 1, 1};
  const std::vector<Row> rows{
      {{30, 50, 30}, pairs_with(Phase::two, 0.1), Verdict::confirmed, "lug_joint"},
      {{30, 50, 30}, pairs_with(Phase::one, 0.1), Verdict::phase_conflict, "swapped_marking"},
      {{30, 30, 30}, pairs_with(Phase::one, 0.1), Verdict::reading_only, "downstream_joint"},
      {{30, 50, 30}, std::nullopt, Verdict::no_reading, "lug_joint"},
      {{30, 30, 30}, even, Verdict::even, "sound"},
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
    CHECK((plainly(component.next_step).find(plainly(tests.front().title)) != std::string::npos) ==
          (row.verdict != Verdict::even));
    const bool offers_pairs = std::any_of(tests.begin(), tests.end(),
                                          [](const auto& t) { return t.id == "three_pairs"; });
    CHECK(offers_pairs != row.pairs.has_value());
  }
}

TEST_CASE("the likeliest two carry what speaks for and against them") {
  const Assessment a = motor_with({30, 50, 30}, 0.2, pairs_with(Phase::two, 0.1)).judge();
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
  // Rise over like 1.5 K with u = 0.3·√2 K against the limit 1 K (each lug its own noise; the
  // third lug far below nothing): scipy.stats.norm. A thousand strata of one input are exact to
  // 1/1000; two inputs joined are not stratified, so that their sum is good to about 0.02.
  constexpr double kDrawn = 0.02;
  const Assessment a = motor_with({30, 31.5}, 0.3, pairs_with(Phase::two, 0.1)).judge();
  const auto& p = only(a).verdict_probability;
  REQUIRE(p.size() == kVerdicts);
  CHECK(sum(p) == Approx(1));
  const auto hot = python("from scipy.stats import norm; print(1-norm.cdf((1-1.5)/(0.3*2**.5)))");
  REQUIRE(hot.size() == 1);
  // The pairs are 6 % out of balance with u under 0.2 %: certain.
  CHECK(p[static_cast<std::size_t>(Verdict::confirmed)] == Approx(hot[0]).margin(kDrawn));
  CHECK(p[static_cast<std::size_t>(Verdict::reading_only)] == Approx(1 - hot[0]).margin(kDrawn));
}

TEST_CASE("a pair unbalance at its limit leaves the verdict open, one far from it does not") {
  // 1 % is reached at x = 0.015/0.99 of 1.5 Ω; there the unbalance is as likely above as below.
  const double at_limit = 1.5 * 0.01 / 0.99;
  const auto p = [](double excess) {
    const Assessment a = motor_with({30, 30, 30}, 0.05, pairs_with(Phase::two, excess)).judge();
    return only(a).verdict_probability[static_cast<std::size_t>(Verdict::reading_only)];
  };
  CHECK(p(at_limit) == Approx(0.5).margin(0.05));
  CHECK(p(0.1) == Approx(1).margin(1e-9));
  CHECK(p(0.001) == Approx(0).margin(1e-9));
}

TEST_CASE("the same survey gives the same probabilities") {
  const auto once = motor_with({30, 31.2, 30}, 0.3, pairs_with(Phase::two, 0.016)).judge();
  const auto again = motor_with({30, 31.2, 30}, 0.3, pairs_with(Phase::two, 0.016)).judge();
  CHECK(only(once).verdict_probability == only(again).verdict_probability);
}
