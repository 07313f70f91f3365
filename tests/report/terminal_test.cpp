// Source: widths by report/plain_text.h, which plain_text_test.cpp holds against Unicode's tables;
// colour codes: ECMA-48 8.3.117 (SGR).
#include "fixture.h"
#include "offered/report/plain_text.h"
#include "offered/report/report.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <sstream>

namespace ohmglow::report {
namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

// The line of the list's headings.
std::vector<std::string>::iterator head_of_list(std::vector<std::string>& lines) {
  return std::find_if(lines.begin(), lines.end(),
                      [](const std::string& line) { return line.starts_with("#  band"); });
}

}  // namespace

TEST_CASE("the ranked list fits the terminal") {
  const auto a = report_test::bexley_creek();
  for (const int width : {60, 80, 100, 140}) {
    for (const std::string& text :
         {ranked_text(a, {width, false}), readings_text(a, {width, false})}) {
      for (const std::string& line : lines_of(text)) {
        INFO(line);
        CHECK(display_width(line) <= width);
      }
    }
  }
}

TEST_CASE("a wide terminal shows each finding on one line") {
  const auto a = report_test::bexley_creek();
  auto lines = lines_of(ranked_text(a, {220, false}));
  lines.erase(lines.begin(), head_of_list(lines));
  REQUIRE(lines.size() == 2 + 5 + 2);
  CHECK_THAT(lines[2], Catch::StartsWith("1  urgent  BE-1") && Catch::Contains("B T2") &&
                           Catch::Contains("46.1 ±0.3") && Catch::Contains("63.3") &&
                           Catch::Contains("confirmed") && Catch::Contains("B +12.5 mΩ"));
  CHECK(lines.back() ==
        "5 findings in 5 cases; images: 4 measured, 1 unmarked, 1 rejected; 3 problems");
}

TEST_CASE("what stands beside the list is counted, and a motor on two phases comes first") {
  auto a = report_test::beside_the_list();
  auto lines = lines_of(ranked_text(a, {220, false}));
  CHECK(lines.front() == "Stop now");
  CHECK_THAT(lines[1], Catch::StartsWith("  DF-4 (terminal box, phase C). ") &&
                           Catch::Contains("Stop it and do not start it again: it runs on two "
                                           "phases."));
  lines.erase(lines.begin(), head_of_list(lines));
  CHECK_THAT(lines[2], Catch::StartsWith("1  urgent  DF-4") && Catch::Contains("open phase"));
  CHECK(lines[lines.size() - 2] == "1 component not judged, 1 warm and even");
  a.not_judged.assign(3, a.not_judged.front());
  a.warm_even.assign(12, a.warm_even.front());
  CHECK_THAT(ranked_text(a, {100, false}),
             Catch::Contains("\n3 components not judged, 12 warm and even\n"));
  CHECK_THAT(ranked_text(a, {100, true}), Catch::StartsWith("\x1b[1;31mStop now\x1b[0m\n  DF-4"));
  CHECK_THAT(ranked_text(report_test::bexley_creek(), {100, false}),
             !Catch::Contains("not judged") && !Catch::Contains("two phases"));
}

TEST_CASE("colour appears only where it is asked for, and changes nothing else") {
  const auto a = report_test::bexley_creek();
  const std::string plain = ranked_text(a, {100, false});
  std::string coloured = ranked_text(a, {100, true});
  CHECK(plain.find('\x1b') == std::string::npos);
  REQUIRE(coloured.find("\x1b[1;31murgent") != std::string::npos);
  std::string stripped;
  for (std::size_t i = 0; i < coloured.size(); ++i) {
    if (coloured[i] == '\x1b') {
      i = coloured.find('m', i);
    } else {
      stripped += coloured[i];
    }
  }
  CHECK(stripped == plain);
}

TEST_CASE("a name cannot command the terminal") {
  auto a = report_test::bexley_creek();
  a.findings[0].motor =
      "\x1b]0;owned\x07"
      "BE-1";
  a.motors[0].motor = "\x1b[2J";
  CHECK(ranked_text(a, {100, false}).find('\x1b') == std::string::npos);
  CHECK(readings_text(a, {100, false}).find('\x1b') == std::string::npos);
}

TEST_CASE("readings are told with pairs and legs kept apart") {
  const std::string text = readings_text(report_test::bexley_creek(), {200, false});
  CHECK_THAT(text, Catch::Contains("BE-1: confirmed"));
  CHECK_THAT(text, Catch::Contains("winding resistance at motor control centre, 2026-03-04"));
  CHECK_THAT(text, Catch::Contains("A-B: 528.6 mΩ, B-C: 528.4 mΩ, C-A: 516.0 mΩ"));
  CHECK_THAT(text, Catch::Contains("% unbalanced, legs ") &&
                       Catch::Contains("phase B (probability 97 %), 12.5 ± 0.5 mΩ above the mean "
                                       "of the other two, 18.1 W at 38.0 A"));
  CHECK_THAT(text,
             Catch::Contains(
                 "farthest from the mean: pair C-A, negative sequence 1.76 %, derate to 0.97"));
  CHECK_THAT(text, Catch::Contains("next: Image the disconnect"));
}

TEST_CASE("an empty result says so") {
  diagnosis::Assessment nothing;
  CHECK_THAT(ranked_text(nothing, {80, false}), Catch::StartsWith("Nothing reaches a band."));
  CHECK(readings_text(nothing, {80, false}) == "No readings.\n");
}

}  // namespace ohmglow::report
