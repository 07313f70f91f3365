#pragma once
/// A verification in words, the same on the terminal and on the page.

#include "offered/diagnosis/verification.h"

#include <string>
#include <vector>

namespace ohmglow::report {

/// "not comparable"
[[nodiscard]] std::string title_of(diagnosis::Change change);
/// 0 to 4, as bands have: how loud a change is shown.
[[nodiscard]] int level_of(diagnosis::Change change);

/// One lug or reading of a motor: what it is, what became of it, and why.
struct ChangeLine {
  diagnosis::Change change = diagnosis::Change::even;
  std::string what;  ///< "terminal box, lug T2 (phase B)"
  std::string reason;
};
/// Those that were or are a fault, lugs first.
[[nodiscard]] std::vector<ChangeLine> fault_lines(const diagnosis::Verification& verification,
                                                  const diagnosis::MotorChange& motor,
                                                  const Survey& survey);
/// Those that were sound: "4 lugs and 1 reading without a fault both times; 6 lugs that were
/// without a fault were not compared". Empty where there is none.
[[nodiscard]] std::string rest_line(const diagnosis::Verification& verification,
                                    const diagnosis::MotorChange& motor);

/// The amounts that are known, as label and text.
struct Amount {
  std::string label;
  std::string text;
};
[[nodiscard]] std::vector<Amount> amounts(const diagnosis::Money& money,
                                          const std::string& currency);

/// How comparisons were made, in sentences.
[[nodiscard]] std::vector<std::string> rules_in_words(const diagnosis::VerifyOptions& options);

}  // namespace ohmglow::report
