#include "ohmglow/severity.h"

#include "../python.h"

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

using namespace ohmglow;
using namespace ohmglow::severity;

namespace {

const std::string kPolicies = OHMGLOW_SOURCE_DIR "/src/severity/policies/";

/// A shipped policy as Python's json module reads it: for each band its id, then for each of the
/// three columns its kind of limit and the value.
Policy shipped(const std::string& name) {
  const std::vector<std::string> words = words_from_python("policy_" + name, R"py(
import json
for band in json.load(open(r')py" + kPolicies + name + R"py(.json', encoding='utf-8'))['bands']:
    print(band['id'])
    for column in ('over_like_c', 'over_air_c', 'pair_unbalance_pct'):
        (kind, value), = (band[column] or {'absent': 0}).items()
        print(kind, value)
)py");
  constexpr std::size_t kPerBand = 7;
  REQUIRE(words.size() % kPerBand == 0);
  const auto limit = [&words](std::size_t at) -> std::optional<Limit> {
    if (words[at] == "absent") return std::nullopt;
    REQUIRE((words[at] == "from" || words[at] == "above"));
    return Limit{std::stod(words[at + 1]), words[at] == "from"};
  };
  Policy policy;
  for (std::size_t i = 0; i < words.size(); i += kPerBand) {
    Band band;
    band.id = words[i];
    band.over_like_k = limit(i + 1);
    band.over_air_k = limit(i + 3);
    band.pair_unbalance_pct = limit(i + 5);
    policy.bands.push_back(band);
  }
  return policy;
}

const Policy& neta() {
  static const Policy policy = shipped("neta_mts");
  return policy;
}

std::string band_of(const Policy& policy, const Grade& grade) {
  return grade.band ? policy.bands.at(*grade.band).id : "none";
}

std::string by_like(const Policy& policy, double rise_k) {
  return band_of(policy, grade(policy, rise_k, {}));
}
std::string by_air(const Policy& policy, double rise_k) {
  return band_of(policy, grade(policy, {}, rise_k));
}
std::string by_reading(const Policy& policy, double pct) {
  return band_of(policy, grade_reading(policy, Percent{pct}));
}

}  // namespace

TEST_CASE("the default policy puts a rise over like into the row of the table") {
  // ANSI/NETA ATS-2003, table 100.18 (read): 1 to 3, 4 to 15, > 15. The gaps by the house rule that
  // an upper limit is inclusive and what lies above goes to the next row.
  const std::vector<std::pair<double, std::string>> rows{{-5, "none"},
                                                         {0, "none"},
                                                         {0.99, "none"},
                                                         {1.0, "watch"},
                                                         {2, "watch"},
                                                         {3.0, "watch"},
                                                         {3.01, "plan"},
                                                         {3.5, "plan"},
                                                         {4, "plan"},
                                                         {15.0, "plan"},
                                                         {15.01, "urgent"},
                                                         {16, "urgent"},
                                                         {40, "urgent"},
                                                         // as decimal numbers these are 1 and 3
                                                         {std::nextafter(1.0, 0.0), "watch"},
                                                         {std::nextafter(3.0, 4.0), "watch"}};
  for (const auto& [rise, id] : rows) {
    CAPTURE(rise);
    CHECK(by_like(neta(), rise) == id);
  }
}

TEST_CASE("the default policy puts a rise over air into the row of the table") {
  // ANSI/NETA ATS-2003, table 100.18 (read): 1 to 10, 11 to 20, 21 to 40, > 40; gaps as above.
  const std::vector<std::pair<double, std::string>> rows{
      {0.99, "none"},    {1.0, "watch"},    {10.0, "watch"},    {10.01, "plan"},   {10.5, "plan"},
      {11, "plan"},      {20.0, "plan"},    {20.01, "monitor"}, {20.5, "monitor"}, {21, "monitor"},
      {40.0, "monitor"}, {40.01, "urgent"}, {41, "urgent"}};
  for (const auto& [rise, id] : rows) {
    CAPTURE(rise);
    CHECK(by_air(neta(), rise) == id);
  }
}

TEST_CASE("the military policy puts a rise over like into its row") {
  // MIL-STD-2194 (SH), 1988, from memory: 10 to 24, 25 to 39, 40 to 69, 70 and more.
  const Policy policy = shipped("mil_std_2194");
  const std::vector<std::pair<double, std::string>> rows{
      {9.99, "none"},  {10, "watch"},  {24, "watch"},     {24.99, "watch"}, {25, "plan"},
      {39.99, "plan"}, {40, "prompt"}, {69.99, "prompt"}, {70, "urgent"},   {200, "urgent"}};
  for (const auto& [rise, id] : rows) {
    CAPTURE(rise);
    CHECK(by_like(policy, rise) == id);
    CHECK(by_air(policy, rise) == "none");
  }
}

TEST_CASE("a winding resistance reading is graded by its pair unbalance in both policies") {
  // At most 1 % normal, 10 % and more severe: common practice, no source. Between them house rule.
  for (const Policy& policy : {neta(), shipped("mil_std_2194")}) {
    for (const auto& [pct, id] : std::vector<std::pair<double, std::string>>{{0, "none"},
                                                                             {1.0, "none"},
                                                                             {1.01, "watch"},
                                                                             {5.0, "watch"},
                                                                             {5.01, "plan"},
                                                                             {9.99, "plan"},
                                                                             {10.0, "urgent"},
                                                                             {60, "urgent"}}) {
      CAPTURE(pct);
      CHECK(by_reading(policy, pct) == id);
    }
    CHECK(grade_reading(policy, Percent{2}).by == DecidedBy::reading);
    CHECK(grade_reading(policy, Percent{0.5}).by == DecidedBy::none);
  }
}

TEST_CASE("the more severe column decides and says so, and like wins a tie") {
  const auto by = [](double like, double air) { return grade(neta(), like, air).by; };
  CHECK(band_of(neta(), grade(neta(), 2.0, 30.0)) == "monitor");
  CHECK(by(2, 30) == DecidedBy::air);
  CHECK(band_of(neta(), grade(neta(), 16.0, 30.0)) == "urgent");
  CHECK(by(16, 30) == DecidedBy::like);
  CHECK(by(5, 15) == DecidedBy::like);
  CHECK(grade(neta(), 0.5, 0.5) == Grade{});
  CHECK(grade(neta(), {}, {}) == Grade{});
}

TEST_CASE("a rise that is no number reaches nothing") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(grade(neta(), nan, nan) == Grade{});
  CHECK_FALSE(first_like_limit(neta())->reached_by(nan));
}

TEST_CASE("the worse of two grades is the more severe, the first of equals") {
  const Grade none;
  const Grade watch{0, DecidedBy::like};
  const Grade plan{1, DecidedBy::air};
  CHECK(worse(none, watch) == watch);
  CHECK(worse(watch, none) == watch);
  CHECK(worse(watch, plan) == plan);
  CHECK(worse(plan, Grade{1, DecidedBy::limit}).by == DecidedBy::air);
}

TEST_CASE("the first limits are those of the mildest bands, over like and over air") {
  // ANSI/NETA table 100.18: 1 K in both columns, reached by its own value. What is hot takes more
  // than that (diagnosis), never less.
  CHECK(first_like_limit(neta())->value == 1);
  CHECK(first_like_limit(neta())->reached_by(1.0));
  CHECK_FALSE(first_like_limit(neta())->reached_by(0.99));
  CHECK(first_air_limit(neta())->value == 1);
  CHECK(first_like_limit(shipped("mil_std_2194"))->value == 10);
  CHECK_FALSE(first_air_limit(shipped("mil_std_2194")));  // no limit over air at all
  CHECK_FALSE(first_like_limit(Policy{}));
  CHECK_FALSE(first_air_limit(Policy{}));
}

TEST_CASE("limits are compared as the decimal numbers that were written") {
  // 1.4, 1.4 and 1.2 Ω are 10 % out of balance, 201, 201 and 198 V 1 %: neither quotient is that
  // number in binary.
  const auto pct = [](double a, double b, double c) {
    const double mean = (a + b + c) / 3;
    return 100 * std::max({std::fabs(a - mean), std::fabs(b - mean), std::fabs(c - mean)}) / mean;
  };
  CHECK(by_reading(neta(), pct(1.4, 1.4, 1.2)) == "urgent");
  CHECK(by_reading(neta(), pct(201, 201, 198)) == "none");
  CHECK(by_like(neta(), 45.3 - 42.3) == "watch");  // 3 K
  CHECK(by_like(neta(), 0.3 + 0.3 + 0.4) == "watch");
  // A millionth of a kelvin is no rounding.
  CHECK(by_like(neta(), 3.000001) == "plan");
  CHECK(by_like(neta(), 0.999999) == "none");
}

TEST_CASE("a value within 1.96 u of a limit is too close to call") {
  // 95 % of a normal distribution (JCGM 100, 6.3).
  CHECK(is_too_close(9.99, 0.16, Limit{10}));
  CHECK(is_too_close(10.3, 0.16, Limit{10}));
  CHECK_FALSE(is_too_close(9.68, 0.16, Limit{10}));
  CHECK_FALSE(is_too_close(10, 0, Limit{10}));
}

TEST_CASE("sound lugs scatter by a share of the rise over air, and by a least value") {
  const SoundScatter scatter{0.1, 0.3, ""};
  CHECK(scatter.of(20.0) == Approx(2));
  CHECK(scatter.of(2.0) == Approx(0.3));
  CHECK(scatter.of(-5.0) == Approx(0.3));
  CHECK(scatter.of(std::nullopt) == Approx(0.3));
}

TEST_CASE("a band is found by its id") {
  CHECK(neta().index_of("monitor") == 2);
  CHECK_FALSE(neta().index_of("none"));
}

TEST_CASE("what decided a band has a word") {
  CHECK(name_of(DecidedBy::none) == "none");
  CHECK(name_of(DecidedBy::like) == "like");
  CHECK(name_of(DecidedBy::air) == "air");
  CHECK(name_of(DecidedBy::limit) == "limit");
  CHECK(name_of(DecidedBy::reading) == "reading");
}
