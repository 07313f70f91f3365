#pragma once
/// A verification in words, the same on the terminal and on the page.

#include "offered/diagnosis/verification.h"
#include "offered/report/verification_contents.h"

#include <string>
#include <vector>

namespace ohmglow::report {

/// 0 to 4, as bands have: how loud a change is shown.
[[nodiscard]] int level_of(diagnosis::Change change);

/// Those that were or are a fault, lugs first.
[[nodiscard]] std::vector<ChangeLine> fault_lines(const diagnosis::Verification& verification,
                                                  const diagnosis::MotorChange& motor,
                                                  const Survey& survey);
/// Those that were sound: "4 lugs and 1 reading without a fault both times; 6 lugs that were
/// without a fault were not compared". Empty where there is none.
[[nodiscard]] std::string rest_line(const diagnosis::Verification& verification,
                                    const diagnosis::MotorChange& motor);

/// The amounts that are known, as label and text: what is certain first, then the risk.
[[nodiscard]] std::vector<Fact> amounts(const diagnosis::Money& money, const std::string& currency,
                                        double period_years);

/// What a figure rests on, in short: "assumed", "motors.csv"; empty where only a rule of ours is.
[[nodiscard]] std::string basis_of(const diagnosis::Evidence& assumption);

/// "1200 USD", "1200 USD (90 to 6400)"
[[nodiscard]] std::string money_text(double amount, const std::string& currency);
[[nodiscard]] std::string expected_text(const diagnosis::Expected& amount,
                                        const std::string& currency);
/// "27.3 ± 1.2"
[[nodiscard]] std::string plus_minus(double value, double u);

/// How comparisons were made, in sentences.
[[nodiscard]] std::vector<std::string> rules_in_words(const diagnosis::VerifyOptions& options);

}  // namespace ohmglow::report
