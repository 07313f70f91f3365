// What an electrician with only a meter is told.

#include "offered/diagnosis/advice.h"

#include "cases.h"

#include <catch2/catch.hpp>

using namespace ohmglow;
using namespace ohmglow::test;
using namespace ohmglow::diagnosis;

namespace {

Case meter_only(std::optional<double> rated_a, std::optional<double> lug_area_cm2,
                const std::array<double, 3>& pairs) {
  Case survey;
  Motor& motor = survey.motor("M");
  if (rated_a) motor.rated_a = Ampere{*rated_a};
  if (lug_area_cm2) motor.lug_area_cm2 = SquareCentimetre{*lug_area_cm2};
  survey.ohms("M", pairs, "starter", "2026-03-01");
  return survey;
}

Advice advice_for(const Case& survey) {
  const Assessment a = survey.judge();
  return advise(a, a.motors.at(0));
}

}  // namespace

TEST_CASE("the hot spot to expect is the excess at rated current, on the lug's area") {
  // Joule: 0.05 Ω × (20 A)² = 20 W.
  const Advice advice = advice_for(meter_only(20, 40, pairs_with(Phase::two, 0.05)));
  REQUIRE(advice.hot_spot);
  CHECK(advice.hot_spot->phase == Phase::two);
  CHECK(advice.hot_spot->heat.value() == Approx(20));
  CHECK(advice.hot_spot->heat_u.value() > 0);
  // Newton's law of cooling with 5 to 25 W/(m² K) in still air (Incropera, table 1.1: free
  // convection of gases 2 to 25) and no conduction bounds the rise from above.
  REQUIRE(advice.hot_spot->rise_low_k);
  CHECK(*advice.hot_spot->rise_low_k > 0);
  CHECK(*advice.hot_spot->rise_low_k < *advice.hot_spot->rise_high_k);
  CHECK(*advice.hot_spot->rise_high_k < 20 / (2 * 40e-4));
  CHECK(plainly(advice.expected).find("phase") != std::string::npos);
  CHECK(plainly(advice.next_step).find("at each point from the starter to the motor") !=
        std::string::npos);
}

TEST_CASE("what is not known of the motor is asked for, not invented") {
  const auto pairs = pairs_with(Phase::two, 0.05);
  const Advice no_area = advice_for(meter_only(20, std::nullopt, pairs));
  CHECK_FALSE(no_area.hot_spot->rise_low_k);
  CHECK(plainly(no_area.expected).find("lug_area_cm2") != std::string::npos);
  const Advice no_rating = advice_for(meter_only(std::nullopt, 40, pairs));
  CHECK_FALSE(no_rating.hot_spot);
  CHECK(plainly(no_rating.expected).find("rated_a") != std::string::npos);
}

TEST_CASE("readings in balance, and readings of a winding, promise no hot spot") {
  const Advice even = advice_for(meter_only(20, 40, {1, 1, 1}));
  CHECK_FALSE(even.hot_spot);
  CHECK(plainly(even.next_step).find("Winding resistance is balanced.") == 0);
  Case delta = meter_only(20, 40, {1.1, 1, 1});
  delta.survey.motors[0].connection = Connection::delta;
  CHECK_FALSE(advice_for(delta).hot_spot);
  CHECK(plainly(advice_for(delta).expected).find("winding") != std::string::npos);
}

TEST_CASE("the latest reading speaks, and without one the step is to take it") {
  Case survey = meter_only(20, 40, pairs_with(Phase::two, 0.05));
  survey.ohms("M", {1, 1, 1}, "starter", "2026-03-03");
  CHECK(advice_for(survey).reading == 1u);
  CHECK_FALSE(advice_for(survey).hot_spot);
  Case none;
  none.motor("M");
  none.read("M", Test::line_current, {10, 10, 10});
  CHECK_FALSE(advice_for(none).reading);
  CHECK(plainly(advice_for(none).next_step).find("on all three pairs") != std::string::npos);
}
