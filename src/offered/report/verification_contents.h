#pragma once
/// What the certificate of a repair says, before it is laid out: the same words on a page and in a
/// PDF.

#include "offered/diagnosis/verification.h"
#include "offered/report/report.h"
#include "offered/report/report_contents.h"

#include <string>
#include <vector>

namespace ohmglow::report {

/// One lug or reading of a motor: what it is, what became of it, and why.
struct ChangeLine {
  diagnosis::Change change = diagnosis::Change::even;
  std::string what;  ///< "terminal box, lug T2 (phase B)"
  std::string reason;
};

/// What stands side by side: one component, or one motor's readings, in both surveys.
struct BeforeAndAfter {
  std::string title;
  LadderPair ladders;
  const diagnosis::ImageResult* image_before = nullptr;  ///< may be null
  const diagnosis::ImageResult* image_after = nullptr;
  std::string day_before;
  std::string day_after;
};

struct MotorRepair {
  std::string motor;
  std::string change;
  int level = 0;
  std::string headline;  ///< what happened, with its numbers
  std::string alarm;     ///< the same where a fault is new; else empty
  std::vector<ChangeLine> lines;
  std::string rest;
  std::vector<BeforeAndAfter> pairs;
  std::string heat_less;  ///< "27.3 ± 1.2 W"; empty: not known
  std::string certain;    ///< certain savings of the first year, with the currency
  std::string risk;       ///< risk avoided, with its range
  std::vector<Fact> money;
  std::vector<Fact> assumptions;  ///< text and source
};

struct RepairContents {
  std::string site;
  std::vector<Tally> tallies;
  std::vector<Fact> facts;
  std::vector<std::string> cautions;
  std::vector<MotorRepair> motors;
  std::vector<std::string> new_faults;  ///< "BE-01: terminal box, T3 (phase C): …"
  Listing open;                      ///< findings of the first survey that nobody looked at again
  std::vector<std::string> remarks;  ///< renamed components, motors not in the second survey
  std::vector<Fact> totals;
  std::vector<std::string> rules;
  Listing problems;
  std::vector<std::string> signs;
};
[[nodiscard]] RepairContents repair_contents(const diagnosis::Verification& verification,
                                             const diagnosis::Assessment& before,
                                             const diagnosis::Assessment& after);
/// "not comparable"
[[nodiscard]] std::string title_of(diagnosis::Change change);

/// Both images of a pair, on one colour scale. Errors: of each.
struct PicturePair {
  Result<Picture> before;
  Result<Picture> after;
};
[[nodiscard]] PicturePair picture_pair(const VerificationSource& source,
                                       const BeforeAndAfter& pair);

}  // namespace ohmglow::report
