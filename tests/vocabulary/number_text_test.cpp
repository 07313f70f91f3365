#include "offered/vocabulary/number_text.h"

#include <catch2/catch.hpp>
#include <limits>

using ohmglow::decimals;
using ohmglow::Ohm;
using ohmglow::ohms;
using ohmglow::ohms_with_u;
using ohmglow::percent_of;
using ohmglow::with_u;

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

TEST_CASE("a value has the decimals of its uncertainty, which has two significant digits at most") {
  // JCGM 100:2008, 7.2.6: an uncertainty is quoted to two significant digits at most, its value to
  // the same place. One digit from 4 on is house style.
  CHECK(with_u(12.38, 0.42, "K", 1) == "12.4 ± 0.4 K");
  CHECK(with_u(12.38, 0.35, "K", 1) == "12.38 ± 0.35 K");
  CHECK(with_u(10.66, 0.87, "W", 1) == "10.7 ± 0.9 W");
  CHECK(with_u(109.0, 9.1, "K", 1) == "109 ± 9 K");
  CHECK(with_u(121.1, 40.4, "K", 1) == "120 ± 40 K");
  CHECK(with_u(1234, 230, "K", 1) == "1230 ± 230 K");
  CHECK(with_u(2.0, 0.0903, "W", 1) == "2.00 ± 0.09 W");
  CHECK(with_u(0.02, 0.0996, "", 1) == "0.02 ± 0.10");
  CHECK(with_u(-0.3, 3.25, "K", 1) == "\u22120.3 ± 3.2 K");
  CHECK(with_u(9.96, 9.96, "K", 1) == "10 ± 10 K");
}

TEST_CASE("no uncertainty is never written as one of zero") {
  // No source: house style.
  CHECK(with_u(1.25, 0, "W", 1) == "1.2 W");
  CHECK(with_u(0.0, 0.0, "K", 1) == "0.0 K");
  CHECK(with_u(3.5, std::numeric_limits<double>::quiet_NaN(), "K", 1) == "3.5 K");
  CHECK(ohms_with_u(Ohm{0.002}, Ohm{0}) == "2.00 mΩ");
}

TEST_CASE("a resistance and its uncertainty share the unit of the larger one") {
  // No source: house style.
  CHECK(ohms_with_u(Ohm{27e-6}, Ohm{0.15e-3}) == "0.03 ± 0.15 mΩ");
  CHECK(ohms_with_u(Ohm{2.19e-3}, Ohm{48.9e-6}) == "2.19 ± 0.05 mΩ");
  CHECK(ohms_with_u(Ohm{34e-6}, Ohm{0.23e-3}) == "0.03 ± 0.23 mΩ");
  CHECK(ohms_with_u(Ohm{48e-6}, Ohm{2e-6}) == "48.0 ± 2.0 µΩ");
}

TEST_CASE("an estimated probability is a per cent, and never certain") {
  // No source: house style.
  CHECK(percent_of(0.94) == "94 %");
  CHECK(percent_of(0.994) == "99 %");
  CHECK(percent_of(0.995) == "> 99 %");
  CHECK(percent_of(1) == "> 99 %");
  CHECK(percent_of(0.005) == "1 %");
  CHECK(percent_of(0.0049) == "< 1 %");
  CHECK(percent_of(0) == "< 1 %");
}
