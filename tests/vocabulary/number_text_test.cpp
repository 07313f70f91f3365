#include "offered/vocabulary/number_text.h"

#include <catch2/catch.hpp>
#include <limits>

using ohmglow::decimals;
using ohmglow::Ohm;
using ohmglow::ohms;

TEST_CASE("a number shows exactly the decimals that were asked for") {
  // The expected texts are printf("%.*f") of the same values (ISO C 7.21.6.1).
  CHECK(decimals(18.4, 1) == "18.4");
  CHECK(decimals(18, 2) == "18.00");
  CHECK(decimals(0.05, 0) == "0");
  CHECK(decimals(2.5e20, 0) == "250000000000000000000");
  CHECK(decimals(1e-9, 3) == "0.000");
}

TEST_CASE("the sign is the minus of typography and never stands before zero") {
  // Unicode 2212 MINUS SIGN; SI Brochure 9th ed. 5.4 prints it so.
  CHECK(decimals(-3.25, 2) == "\u22123.25");
  CHECK(decimals(-0.04, 1) == "0.0");
  CHECK(decimals(-0.0, 1) == "0.0");
}

TEST_CASE("the largest number and those that are none do not break the text") {
  // No source: robustness.
  CHECK(decimals(std::numeric_limits<double>::max(), 30).size() == 309 + 1 + 30);
  CHECK(decimals(std::numeric_limits<double>::infinity(), 2) == "inf");
  CHECK(decimals(-std::numeric_limits<double>::quiet_NaN(), 2) == "nan");
  CHECK(decimals(1.25, -4) == "1");
}

TEST_CASE("ohms are written in the unit that reads best") {
  // SI prefixes (SI Brochure 9th ed., table 7); three digits are house style.
  CHECK(ohms(Ohm{12.4}) == "12.4 Ω");
  CHECK(ohms(Ohm{0.00052}) == "0.52 mΩ");
  CHECK(ohms(Ohm{0.52}) == "520 mΩ");
  CHECK(ohms(Ohm{0.0042}) == "4.20 mΩ");
  CHECK(ohms(Ohm{48e-6}) == "48.0 µΩ");
  CHECK(ohms(Ohm{4700}) == "4.70 kΩ");
  CHECK(ohms(Ohm{2.2e6}) == "2.20 MΩ");
  CHECK(ohms(Ohm{-0.003}) == "\u22123.00 mΩ");
  CHECK(ohms(Ohm{0}) == "0.00 µΩ");
}

TEST_CASE("a value just below a round number takes the larger unit") {
  // No source: house style.
  CHECK(ohms(Ohm{0.9996}) == "1.00 Ω");
  CHECK(ohms(Ohm{0.9994}) == "999 mΩ");
  CHECK(ohms(Ohm{999.6}) == "1.00 kΩ");
  CHECK(ohms(Ohm{0.0999996e-3}) == "0.10 mΩ");
}
