// Before and after a repair, by surveys built by hand. The rules are the project's own
// (docs/method.md); sources of the numbers stand beside them.

#include "cases.h"
#include "offered/diagnosis/verification.h"

#include <catch2/catch.hpp>

using namespace ohmglow;
using namespace ohmglow::test;
using diagnosis::Change;
using diagnosis::Verification;
using diagnosis::VerifyOptions;

namespace {

constexpr const char* kBefore = "2026-03-04T10:00";
constexpr const char* kAfter = "2026-03-18T10:00";

/// One survey of motor M: a terminal box with a lug that much over its likes, and a reading.
struct Seen {
  double rise_k = 0;
  double load_a = 80;
  double excess_ohm = 0;
  std::string image_at = kBefore;
  std::string reading_at = "2026-03-01";
  double emissivity = 0.95;
  double u_k = 0.2;
};

Case survey_of(const Seen& seen) {
  Case survey;
  Motor& motor = survey.motor("M");
  motor.rated_a = Ampere{100};
  motor.replacement_cost = 9000;
  motor.downtime_cost_per_h = 1500;
  motor.repair_h = 4;
  motor.currency = "USD";
  Picture picture("m.tif", "M", "terminal box", {30, 30 + seen.rise_k, 30});
  picture.taken(seen.image_at).load(seen.load_a);
  std::uint32_t scope = 0;
  for (auto& lug : picture.image.lugs) {
    lug.emissivity = Emissivity{seen.emissivity};
    lug.temperature_c =
        Estimate{lug.temperature_c->value(), {{Input{InputKind::noise, ++scope}, seen.u_k}}};
  }
  survey.see(picture);
  survey.ohms("M", pairs_with(Phase::two, seen.excess_ohm), "terminal box", seen.reading_at);
  return survey;
}

Verification verified(const Seen& before, const Seen& after, const VerifyOptions& options = {}) {
  return diagnosis::verify(survey_of(before).judge(), survey_of(after).judge(), options);
}

const Seen kFault{20, 80, 0.05};
Seen later(double rise_k, double excess_ohm = 0) {
  return {rise_k, 80, excess_ohm, kAfter, "2026-03-17"};
}

const diagnosis::LugChange& hot_lug(const Verification& verification) {
  return verification.lugs.at(1);
}

}  // namespace

TEST_CASE("a lug that is even now, with the pairs in balance, is repaired, and so is its reading") {
  const Verification v = verified(kFault, later(0.3));
  CHECK(hot_lug(v).change == Change::repaired);
  CHECK(v.readings.at(0).change == Change::repaired);
  CHECK(v.lugs.at(0).change == Change::even);
  CHECK(v.motors.at(0).change == Change::repaired);
  // Lug and like carry 0.2 K each, in two surveys that share nothing: √(4 × 0.2²) = 0.4 K; and the
  // coolest is chosen among its likes: 0.2·√2·φ(0) = 0.1128 K before, with the third lug at 0.3 K
  // 0.1148 K after (Clark 1961, scipy).
  CHECK(*hot_lug(v).change_k == Approx(-19.7).margin(kRounding));
  CHECK(*hot_lug(v).change_u_k == Approx(0.43116630).margin(5e-9));
}

TEST_CASE("without a reading in balance after the repair an even lug is only improved") {
  SECTION("the pairs are still out of balance") {
    const Verification v = verified(kFault, later(0.3, 0.05));
    CHECK(hot_lug(v).change == Change::improved);
    CHECK(v.readings.at(0).change == Change::unchanged);
    CHECK(v.motors.at(0).change == Change::unchanged);
  }
  SECTION("the reading is from before the repair") {
    Seen after = later(0.3);
    after.reading_at = "2026-03-01";
    const Verification v = verified(kFault, after);
    CHECK(hot_lug(v).change == Change::improved);
    CHECK(plainly(hot_lug(v).reason).find("from before the repair") != std::string::npos);
    CHECK(v.readings.at(0).change == Change::not_comparable);
  }
}

TEST_CASE("better and worse are said only beyond twice the uncertainty of the change") {
  const auto change_of = [](double rise_k) {
    return hot_lug(verified(kFault, later(rise_k))).change;
  };
  CHECK(change_of(12) == Change::improved);
  CHECK(change_of(19.3) == Change::unchanged);  // 0.7 K of 2 × 0.4 K
  CHECK(change_of(20.7) == Change::unchanged);
  CHECK(change_of(21.0) == Change::worse);
  // A lug under the first band both times is even however it moved; one that comes into it is
  // worse.
  Seen sound = kFault;
  sound.rise_k = 0.1;
  sound.excess_ohm = 0;
  CHECK(hot_lug(verified(sound, later(0.9))).change == Change::even);
  CHECK(hot_lug(verified(sound, later(5))).change == Change::worse);
}

TEST_CASE("a rise after the repair is brought to the load before, with the exponent's spread") {
  Seen after = later(3);
  after.load_a = 60;
  const Verification v = verified(kFault, after);
  // Python: 3 * (80/60)**1.9 = 5.1821…; u: hypot(0.30452*(80/60)**1.9,
  // 5.1821*log(80/60)*0.4/sqrt(12)), where 0.30452 joins 0.2·√2 and the choice, 0.2·√2·φ(0).
  const double factor = 1.7273629;
  CHECK(*hot_lug(v).projected_k == Approx(3 * factor).epsilon(1e-5));
  const double spread = 3 * factor * 0.2876821 * 0.1154701;
  CHECK(*hot_lug(v).projected_u_k == Approx(std::hypot(0.3045199 * factor, spread)).epsilon(1e-5));
  CHECK(hot_lug(v).change == Change::improved);
}

TEST_CASE("what cannot be compared says why") {
  const auto reason_of = [](const Seen& after, const VerifyOptions& options = {}) {
    const Verification v = verified(kFault, after, options);
    CHECK(hot_lug(v).change == Change::not_comparable);
    return plainly(hot_lug(v).reason);
  };
  Seen after = later(0.3);
  after.load_a = 50;
  CHECK(reason_of(after).find("load differs too much") != std::string::npos);
  VerifyOptions wider;
  wider.load_ratio = 2;
  CHECK(hot_lug(verified(kFault, after, wider)).change == Change::repaired);
  after.load_a = 0;
  CHECK(reason_of(after).find("not running") != std::string::npos);
  // Under 40 % of rated nothing is projected, but like loads compare.
  after.load_a = 35;
  CHECK(reason_of(after, wider).find("load differs") != std::string::npos);
  after = later(0.3);
  after.emissivity = 0.6;
  CHECK(reason_of(after).find("emissivity") != std::string::npos);
  after = later(0.3);
  after.image_at = "2026-03-03T10:00";
  CHECK(reason_of(after).find("older") != std::string::npos);
}

TEST_CASE("a lug without a mark in the second survey is not comparable and holds its motor back") {
  Case second = survey_of(later(0.3));
  second.images[0].lugs.erase(second.images[0].lugs.begin() + 1);
  const Verification v = diagnosis::verify(survey_of(kFault).judge(), second.judge(), {});
  CHECK(hot_lug(v).change == Change::not_comparable);
  CHECK(plainly(hot_lug(v).reason).find("no mark") != std::string::npos);
  CHECK(v.motors.at(0).change == Change::not_comparable);
  CHECK(v.any_fault(Change::not_comparable));
}

TEST_CASE("a motor that the second survey did not visit is named and not judged") {
  Case first = survey_of(kFault);
  first.motor("N");
  first.ohms("N", pairs_with(Phase::one, 0.1), "starter", "2026-03-01");
  const Verification v = diagnosis::verify(first.judge(), survey_of(later(0.3)).judge(), {});
  CHECK(v.not_revisited == std::vector<std::string>{"N"});
  REQUIRE(v.motors.size() == 1);
  for (const auto& reading : v.readings) CHECK(reading.motor == "M");
}

TEST_CASE("money counts what is known and nothing else") {
  VerifyOptions options;
  const Verification without = verified(kFault, later(0.3), options);
  CHECK(*without.motors[0].money.replacement_avoided == 9000);
  CHECK(*without.motors[0].money.downtime_avoided == 6000);  // 1500 an hour × 4 h
  CHECK_FALSE(without.motors[0].money.energy_per_year);
  CHECK_FALSE(without.motors[0].money.repair_cost);

  options.price_per_kwh = 0.2;
  options.hours_per_year = 5000;
  options.repair_cost = 400;
  const Verification v = verified(kFault, later(0.3), options);
  const diagnosis::MotorChange& motor = v.motors[0];
  // Joule: 0.05 Ω × (80 A)² = 320 W; × 5000 h × 0.2 a kWh = 320 a year.
  CHECK(motor.saved_w->value() == Approx(320));
  CHECK(*motor.money.energy_per_year == Approx(320));
  CHECK(*motor.money.net_first_year() == Approx(9000 + 6000 + 320 - 400));
  REQUIRE(v.totals.size() == 1);
  CHECK(v.totals[0].currency == "USD");
  CHECK(*v.totals[0].money.net_first_year() == Approx(14920));

  SECTION("improved is not proven sound: no failure counts as avoided") {
    const Verification improved = verified(kFault, later(8, 0.02), options);
    CHECK(improved.motors[0].change == Change::improved);
    CHECK_FALSE(improved.motors[0].money.replacement_avoided);
    CHECK(*improved.motors[0].money.energy_per_year == Approx(192));  // 0.03 Ω × 6400 A² …
  }
  SECTION("a motors.csv that is silent adds nothing") {
    Case second = survey_of(later(0.3));
    second.survey.motors[0].replacement_cost.reset();
    second.survey.motors[0].repair_h.reset();
    const Verification silent =
        diagnosis::verify(survey_of(kFault).judge(), second.judge(), VerifyOptions{});
    CHECK_FALSE(silent.motors[0].money.net_first_year());
    CHECK(silent.totals.empty());
    CHECK(says(silent.motors[0].assumptions, "not counted"));
  }
}
