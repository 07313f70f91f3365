#pragma once
/// What a crew takes along to a stop: the cases that are opened, by area and place of lockout.

#include "offered/report/report_contents.h"

#include <optional>
#include <string>
#include <vector>

namespace ohmglow::report {

/// Three values to write in, before the repair and after it.
struct ShutdownTest {
  std::string title;
  std::string unit;
  std::vector<std::string> of;  ///< "A-B", "B-C", "C-A"
};

struct ShutdownCase {
  int number = 0;
  int level = 0;
  std::string band;
  std::string motor;
  std::string drives;
  std::string where;
  std::string action;
  std::string sure;
  std::optional<double> crew_h;     ///< people × hours
  std::string crew;                 ///< "2 people, 3 h"; empty: not known
  std::string parts;                ///< empty: not known
  std::optional<double> torque_nm;  ///< of the lugs' bolts
  std::vector<ShutdownTest> tests;  ///< to take while it is open
};

/// Cases that one lockout makes safe.
struct ShutdownGroup {
  std::string area;     ///< empty: not known
  std::string lockout;  ///< likewise
  std::vector<ShutdownCase> cases;
  double crew_h = 0;          ///< of the cases where it is known
  std::size_t without_h = 0;  ///< how many it is not known of
};

struct ShutdownSheet {
  std::string site;
  std::string surveyed;
  std::vector<ShutdownGroup> groups;  ///< the one with the most urgent case first
  std::vector<std::string> steps;     ///< to tick, of each case
  std::vector<std::string> cautions;
  std::string when_empty;
};
[[nodiscard]] ShutdownSheet shutdown_sheet(const Lookup& lookup);

}  // namespace ohmglow::report
