// What is offered to somebody who mistyped a name.
#include "offered/vocabulary/near_names.h"

#include <catch2/catch.hpp>

using ohmglow::did_you_mean;
using ohmglow::near_names;
using Names = std::vector<std::string_view>;

namespace {
const Names kMotors{"BE-01", "BE-02", "BE-03", "BE-10", "CV-01", "Förderband 3"};
}

TEST_CASE("case, blanks, punctuation and leading zeros do not make another name") {
  for (const auto* written : {"be-01", "BE 01", "BE01", "BE_1", " Be.001 "}) {
    INFO(written);
    CHECK(near_names(written, kMotors) == Names{"BE-01"});
  }
  CHECK(near_names("winding resistance", {"winding_resistance", "line_current"}) ==
        Names{"winding_resistance"});
  CHECK(near_names("load1_a", {"load_1_a", "load_2_a", "load_3_a"}) == Names{"load_1_a"});
}

TEST_CASE("a character wrong, missing, too many or swapped is a slip") {
  const Names columns{"emissivity", "emissivity_u", "air_c", "note"};
  for (const auto* written :
       {"emisivity", "emissivitty", "emissivoty", "emissiivty", "emisivitty"}) {
    INFO(written);
    CHECK(near_names(written, columns) == Names{"emissivity"});
  }
  CHECK(near_names("BE-O1", kMotors) == Names{"BE-01"});
  CHECK(near_names("Forderband 3", kMotors) == Names{"Förderband 3"});
}

TEST_CASE("a short name may be one slip away, a very short one none") {
  CHECK(near_names("nite", {"note"}) == Names{"note"});
  CHECK(near_names("nits", {"note"}).empty());
  CHECK(near_names("M", {"A"}).empty());
  CHECK(near_names("m", {"M"}) == Names{"M"});
  CHECK(near_names("emasevoty", {"emissivity"}).empty());
}

TEST_CASE("the next number in a row is no slip, a lone number that is off by one may be") {
  CHECK(near_names("BE-04", kMotors).empty());
  CHECK(near_names("BE-04", {"BE-01", "CV-11"}) == Names{"BE-01"});
  CHECK(near_names("BE-21", {"BE-12", "BE-20", "BE-22"}).size() == 1);  // two digits swapped
  CHECK(near_names("BE-1-2", {"BE-12", "BE-13"}) == Names{"BE-12"});
  // No number written: all of them may be meant.
  CHECK(near_names("load_a", {"load_1_a", "load_2_a", "load_3_a"}) ==
        Names{"load_1_a", "load_2_a", "load_3_a"});
}

TEST_CASE("the nearest are offered and no others, three at the most") {
  CHECK(near_names("air", {"air_c", "airs", "air"}) == Names{"air"});
  CHECK(near_names("abcx", {"abca", "abcb", "abcd", "abce"}) == Names{"abca", "abcb", "abcd"});
}

TEST_CASE("a name of nothing but punctuation, and one that nobody types, are near to nothing") {
  CHECK(near_names("--", kMotors).empty());
  const std::string endless(5000, 'x');
  const std::string other = endless + "y";
  CHECK(near_names(endless, {other}).empty());
  CHECK(near_names(endless, {std::string_view(endless)}).size() == 1);
}

TEST_CASE("an offer is a question") {
  CHECK(did_you_mean({}).empty());
  CHECK(did_you_mean({"BE-01"}) == " (did you mean BE-01?)");
  CHECK(did_you_mean({"a", "b", "c"}) == " (did you mean a, b or c?)");
}
