// What the room of acceptance promises (ohmglow/acceptance.h), on motors and limits made up here;
// no outside source. Limits that standards give are in tests/reference/acceptance_test.cpp.
#include "ohmglow/acceptance.h"

#include <algorithm>
#include <catch2/catch.hpp>

namespace ohmglow::acceptance {
namespace {

LimitRow at_most(Check check, double limit, const char* unit) {
  LimitRow row;
  row.check = check;
  row.limit = limit;
  row.unit = unit;
  row.source = "the maker's letter";
  row.flag = "own";
  return row;
}

Limits plain_limits() {
  Limits limits;
  limits.id = "own";
  limits.rows = {at_most(Check::vibration, 2.5, "mm_s_rms"), at_most(Check::runout, 0.05, "mm")};
  limits.asked[Stage::repaired] = {Check::vibration};
  limits.asked[Stage::bought] = {Check::vibration, Check::runout};
  return limits;
}

/// One motor with its tests.
struct Shop {
  diagnosis::Assessment survey;
  Shop() {
    Motor motor;
    motor.id = "M1";
    motor.currency = "USD";
    survey.survey.motors = {motor};
  }
  Motor& motor() { return survey.survey.motors.front(); }
  Shop& test(ShopTestKind kind, const std::string& place, std::optional<double> value, double u = 0,
             const std::string& taken_at = "2026-05-01") {
    ShopTest test;
    test.motor = "M1";
    test.kind = kind;
    test.place = place;
    test.values = {value, std::nullopt, std::nullopt};
    if (u > 0) test.value_u = u;
    test.taken_at = Moment::parse(taken_at);
    survey.survey.shop_tests.push_back(test);
    return *this;
  }
  Shop& shakes(double value, double u = 0, const std::string& place = "drive end",
               const std::string& taken_at = "2026-05-01") {
    return test(ShopTestKind::vibration, place, value, u, taken_at);
  }
  [[nodiscard]] Acceptance accepted(Stage stage = Stage::repaired,
                                    const Limits& limits = plain_limits(),
                                    std::map<Check, double> costs = {}) const {
    auto acceptance = accept(survey, limits, {"M1", stage, std::move(costs)});
    REQUIRE(acceptance.has_value());
    return *std::move(acceptance);
  }
};

const Item& item_of(const Acceptance& acceptance, const std::string& id) {
  const auto found = std::find_if(acceptance.items.begin(), acceptance.items.end(),
                                  [&id](const Item& item) { return item.id() == id; });
  INFO(id);
  REQUIRE(found != acceptance.items.end());
  return *found;
}

}  // namespace

TEST_CASE("a motor that the survey does not have is an error") {
  const auto refused = accept(Shop().survey, plain_limits(), {"M2", Stage::bought, {}});
  REQUIRE_FALSE(refused.has_value());
  CHECK(refused.error().kind == ErrorKind::missing);
}

TEST_CASE("every asked check passes: accept") {
  const Acceptance its = Shop().shakes(1.9).accepted();
  REQUIRE(its.items.size() == 1);
  CHECK(item_of(its, "vibration").result == Conformity::pass);
  CHECK(item_of(its, "vibration").limit == 2.5);
  CHECK(its.conclusion == Conclusion::accept);
}

TEST_CASE("anything that fails rejects, whatever else is open") {
  const Acceptance its = Shop().shakes(2.51).accepted(Stage::bought);
  CHECK(item_of(its, "vibration").result == Conformity::fail);
  CHECK(item_of(its, "vibration").beyond() == Approx(0.01));
  CHECK(item_of(its, "runout").result == Conformity::not_done);
  CHECK(its.conclusion == Conclusion::reject);
}

TEST_CASE("a check that was asked for and not done leaves conditions and shows its limit") {
  const Acceptance its = Shop().shakes(1.9).accepted(Stage::bought);
  CHECK(item_of(its, "runout").result == Conformity::not_done);
  CHECK(item_of(its, "runout").limit == 0.05);
  CHECK_FALSE(item_of(its, "runout").value.has_value());
  CHECK(its.conclusion == Conclusion::conditions);
}

TEST_CASE("a value within 1.64 u of its limit is too close to say") {
  CHECK(item_of(Shop().shakes(2.4, 0.1).accepted(), "vibration").result == Conformity::too_close);
  CHECK(item_of(Shop().shakes(2.6, 0.1).accepted(), "vibration").result == Conformity::too_close);
  CHECK(item_of(Shop().shakes(2.3, 0.1).accepted(), "vibration").result == Conformity::pass);
  CHECK(item_of(Shop().shakes(2.7, 0.1).accepted(), "vibration").result == Conformity::fail);
  CHECK(Shop().shakes(2.4, 0.1).accepted().conclusion == Conclusion::conditions);
  CHECK(item_of(Shop().shakes(2.5).accepted(), "vibration").result == Conformity::pass);
}

TEST_CASE("the latest reading of a place counts, in whatever order they stand") {
  Shop shop;
  shop.shakes(1.0, 0, "drive end", "2026-05-02").shakes(9.0, 0, "drive end", "2026-05-01");
  CHECK(item_of(shop.accepted(), "vibration").value == 1.0);
}

TEST_CASE("of several places the worst stands for the motor") {
  Shop shop;
  shop.shakes(1.0).shakes(3.0, 0, "opposite end");
  const Acceptance its = shop.accepted();
  CHECK(item_of(its, "vibration").result == Conformity::fail);
  CHECK(item_of(its, "vibration").value == 3.0);
  CHECK(item_of(its, "vibration").has_parts);
  CHECK(item_of(its, "vibration:drive end").result == Conformity::pass);
  CHECK(item_of(its, "vibration:opposite end").result == Conformity::fail);
  CHECK(its.count(Conformity::fail) == 1);
}

TEST_CASE("a limit that hangs on what motors.csv does not say is named, not guessed") {
  Limits limits = plain_limits();
  limits.rows = {at_most(Check::vibration, 2, "mm_s_rms"),
                 at_most(Check::vibration, 3, "mm_s_rms")};
  limits.rows[0].when.words["mounting"] = {"rigid"};
  limits.rows[1].when.words["mounting"] = {"resilient"};
  const auto of = [&limits](double value) {
    return item_of(Shop().shakes(value).accepted(Stage::repaired, limits), "vibration");
  };
  const Item between = of(2.5);
  CHECK(between.result == Conformity::not_done);
  CHECK(plainly(between.why).find("mounting") != std::string::npos);
  // Where both say the same, nothing hangs on it.
  CHECK(of(1.5).result == Conformity::pass);
  CHECK(of(3.5).result == Conformity::fail);
  Shop rigid;
  rigid.motor().mounting = Mounting::rigid;
  CHECK(item_of(rigid.shakes(2.5).accepted(Stage::repaired, limits), "vibration").result ==
        Conformity::fail);
}

TEST_CASE("a motor that no limit is meant for is not judged") {
  Limits limits = plain_limits();
  limits.rows[0].when.numbers["poles"].above = 4;
  Shop shop;
  shop.motor().poles = 2;
  const Acceptance its = shop.shakes(1).accepted(Stage::repaired, limits);
  CHECK(item_of(its, "vibration").result == Conformity::not_done);
  CHECK(its.conclusion == Conclusion::conditions);
}

TEST_CASE("impedance and current without load are recorded and decide nothing") {
  Shop shop;
  shop.shakes(1.9).test(ShopTestKind::impedance, "", 1.0);
  shop.survey.survey.shop_tests.back().values = {1.0, 1.0, 2.0};
  const Acceptance its = shop.accepted();
  CHECK(item_of(its, "impedance").is_recorded_only);
  CHECK(item_of(its, "impedance").value == Approx(50.0));
  CHECK(its.conclusion == Conclusion::accept);
}

TEST_CASE("the plate is held against the order where there is one") {
  Shop shop;
  shop.motor().rated_kw = 250.0;
  shop.motor().ordered.kw = 250.0;
  CHECK(item_of(shop.shakes(1).accepted(), "nameplate").result == Conformity::pass);
  shop.motor().ordered.kw = 315.0;
  CHECK(item_of(shop.accepted(), "nameplate").result == Conformity::fail);
  shop.motor().ordered = {};
  shop.motor().ordered.poles = 2;
  CHECK(item_of(shop.accepted(), "nameplate").result == Conformity::not_done);
}

TEST_CASE("a figure of cost counts once for a check that failed, and not for one that passed") {
  Shop shop;
  shop.shakes(9).shakes(9, 0, "opposite end").test(ShopTestKind::runout, "", 0.01);
  const Acceptance its = shop.accepted(Stage::repaired, plain_limits(),
                                       {{Check::vibration, 900}, {Check::runout, 400}});
  CHECK(its.cost == 900.0);
  CHECK(its.currency == "USD");
}

TEST_CASE("an insulation resistance without a temperature is not judged") {
  Limits limits = plain_limits();
  LimitRow row = at_most(Check::insulation_resistance, 5, "megaohm");
  row.at_least = true;
  limits.rows.push_back(row);
  Shop shop;
  shop.shakes(1).test(ShopTestKind::insulation_resistance, "", 1e9);
  CHECK(item_of(shop.accepted(Stage::repaired, limits), "insulation_resistance").result ==
        Conformity::not_done);
  shop.survey.survey.shop_tests.back().temperature_c = Celsius{40};
  CHECK(item_of(shop.accepted(Stage::repaired, limits), "insulation_resistance").result ==
        Conformity::pass);
}

TEST_CASE("two checks stand beside each other line by line") {
  const Acceptance before = Shop().shakes(9).accepted();
  const Acceptance after = Shop().shakes(1).accepted(Stage::bought);
  const std::vector<ItemChange> changes = compare(before, after);
  REQUIRE(changes.size() == 2);
  CHECK(changes[0].id == "runout");
  CHECK_FALSE(changes[0].before.has_value());
  CHECK(changes[1].before->result == Conformity::fail);
  CHECK(changes[1].after->result == Conformity::pass);
}

}  // namespace ohmglow::acceptance
