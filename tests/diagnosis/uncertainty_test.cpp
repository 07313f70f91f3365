// The decision rule, what is said of probabilities and trials, and the projected rise's own
// uncertainty. Words and rule: JCGM 106:2012, clause 8 (from memory).

#include "cases.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace ohmglow;
using namespace ohmglow::test;

namespace {

// Three lugs, of which only the hottest is uncertain.
Case uncertain(double rise_k, double u_k, severity::Decision decision) {
  Case c;
  c.motor("M1");
  Picture p("a.tif", "M1", "box", {40 + rise_k, 40, 40}, 39.5);
  p.image.lugs[0].temperature_c = Estimate{40 + rise_k, {{Input{InputKind::noise, 1}, u_k}}};
  c.see(p);
  c.options.decision = decision;
  return c;
}

std::string_view band(const Assessment& a, const severity::Grade& grade) {
  return a.band_id(grade);
}

}  // namespace

TEST_CASE("simple acceptance holds the value itself against the limits, whatever its uncertainty") {
  const Assessment a = uncertain(2, 5, severity::Decision::simple).judge();
  CHECK(band(a, lug(a, 0, 0).grade) == "watch");
  CHECK(lug(a, 0, 0).grade == lug(a, 0, 0).simple_grade);
}

TEST_CASE("guarded, a limit is lowered by 1.64 standard uncertainties") {
  // 3 K, not reached by its own value. 2 + 1.64·0.60 = 2.984; 2 + 1.64·0.62 = 3.0168.
  const Assessment below = uncertain(2, 0.60, severity::Decision::guarded).judge();
  CHECK(band(below, lug(below, 0, 0).grade) == "watch");
  const Assessment above = uncertain(2, 0.62, severity::Decision::guarded).judge();
  CHECK(band(above, lug(above, 0, 0).grade) == "plan");
  CHECK(band(above, lug(above, 0, 0).simple_grade) == "watch");
  CHECK(band(above, above.findings.at(0).grade) == "plan");
  CHECK(band(above, above.findings.at(0).simple_grade) == "watch");
  CHECK(says(above.findings.at(0).evidence, "band plan; without the guard watch"));
  CHECK_FALSE(says(uncertain(2, 0.62, severity::Decision::simple).judge().findings.at(0).evidence,
                   "guarded"));
}

TEST_CASE("guarded, the conductor limit is lowered too") {
  // 60 °C + 1.64·2 = 63.28 °C.
  for (const auto& [limit, by] :
       {std::pair{63.0, severity::DecidedBy::limit}, std::pair{63.5, severity::DecidedBy::like}}) {
    Case c = uncertain(20, 2, severity::Decision::guarded);
    c.survey.motors[0].conductor_limit_c = Celsius{limit};
    const Assessment a = c.judge();
    // Both are urgent: over like wins a tie, so the limit shows only where it is alone.
    CHECK(lug(a, 0, 0).grade.by == severity::DecidedBy::like);
    c.policy.bands[3].over_like_k.reset();
    c.policy.bands[3].over_air_k.reset();
    CHECK((lug(c.judge(), 0, 0).grade.by == severity::DecidedBy::limit) ==
          (by == severity::DecidedBy::limit));
  }
}

TEST_CASE("the probability of each band is said in words") {
  // Over like N(2, 1): below 1 K 15.87 %, above 3 K 15.87 %, between 68.27 % (68-95-99.7 rule).
  // Over air 2.5 K is watch from 1 K on with the same error: P(2.5 + e < 1) = P(e < -1.5) = 6.68 %.
  const Assessment a = uncertain(2, 1, severity::Decision::simple).judge();
  CHECK(says(a.findings.at(0).evidence,
             "T1 (phase 1): probability of each band: plan 16 %, watch 77 %, no band 7 %"));
}

TEST_CASE("a rise at rated load is as uncertain as rise, current and exponent make it") {
  // JCGM 100, 5.1.2 with 12 K ± 0.5 K at 50 A ± 2 % of 100 A, n = 1.9, rectangular 1.7 to 2.1:
  // factor 3.73213; parts 1.86607, 1.70185 and 44.7856·ln 2·0.115470 = 3.58454 K (Python).
  Case c = uncertain(12, 0.5, severity::Decision::simple);
  c.survey.motors[0].rated_a = Ampere{100};
  c.images[0].load_a = {Ampere{50}, Ampere{50}, Ampere{50}};
  const Assessment a = c.judge();
  const Finding& finding = a.findings.at(0);
  constexpr double kPrinted = 1e-4;
  CHECK(finding.projected_rise->u_k ==
        Approx(std::sqrt(1.86607 * 1.86607 + 1.70185 * 1.70185 + 3.58454 * 3.58454))
            .epsilon(kPrinted));
  CHECK(finding.projected->u() == Approx(finding.projected_rise->u_k).margin(kRounding));
  c.images[0].used->uncertainties.load = Percent{0};
  CHECK(c.judge().findings.at(0).projected_rise->u_k ==
        Approx(std::sqrt(1.86607 * 1.86607 + 3.58454 * 3.58454)).epsilon(kPrinted));
}

TEST_CASE("trials take the place of the normal distribution, and say where both disagree") {
  Case c = uncertain(2, 1, severity::Decision::guarded);
  const auto judged = [&c](const diagnosis::MonteCarlo& sampled) {
    return test::judged(c.survey, c.images, c.policy, c.options, [&](Assessment& a, const auto&) {
      CHECK(a.images[0].lugs[0].reference.size() == 1);
      CHECK(a.images[0].lugs[0].reference[0].lug == 1);
      a.images[0].lugs[0].monte_carlo = sampled;
    });
  };
  diagnosis::MonteCarlo sampled;
  sampled.temperature_c = {42, 0.1, 41.8, 42.2};
  sampled.over_like = diagnosis::Spread{2, 0.1, 1.8, 2.2};
  sampled.over_air = diagnosis::Spread{2.5, 0.1, 2.3, 2.7};
  sampled.band_probability = {0.9, 0.1, 0, 0};
  sampled.trials = 20000;
  sampled.outside_share = 0.0123;
  const Assessment a = judged(sampled);
  CHECK(lug(a, 0, 0).band_probability[1] == 0.1);
  CHECK(band(a, lug(a, 0, 0).grade) == "watch");  // 2 + 1.64·0.1, where linear u is 1
  const auto& evidence = a.findings.at(0).evidence;
  CHECK(says(evidence,
             "rise over like: 95 % interval 0.0 to 4.0 K by linear propagation, 1.8 to 2.2 K by "
             "Monte Carlo: rely on Monte Carlo"));
  CHECK(says(evidence, "1.23 % of the trials gave no temperature"));
  CHECK(says(evidence, "not yet stable"));
  sampled.over_like = diagnosis::Spread{2, 1, 0.05, 3.95};
  sampled.is_stable = true;
  sampled.outside_share = 0;
  const Assessment same = judged(sampled);
  CHECK_FALSE(says(same.findings.at(0).evidence, "rise over like: linear"));
  CHECK_FALSE(says(same.findings.at(0).evidence, "trials"));
}
