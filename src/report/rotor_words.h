#pragma once
/// What sweeps and air gaps say, in words.

#include "ohmglow/explanations.h"
#include "ohmglow/reader.h"
#include "ohmglow/rotor.h"

#include <string>
#include <vector>

namespace ohmglow::report {

/// "bought, 2026-03-04"
[[nodiscard]] std::string sweep_title(const rotor::Sweep& sweep);
/// "one cycle a turn, in phase in all pairs; the pairs' means differ"
[[nodiscard]] std::string patterns_in_words(const rotor::Sweep& sweep);
/// The pairs, a line each, and what the sweep has in numbers.
[[nodiscard]] std::vector<std::string> sweep_numbers(const rotor::Sweep& sweep,
                                                     const Survey& survey);

/// The explanation under which nothing is wrong.
inline constexpr std::string_view kRotorInOrder = "rotor_in_order";
/// "likeliest: bent shaft …, 78 %"
[[nodiscard]] std::string explanation_in_words(const diagnosis::Explanation& likeliest);
/// What speaks for it and against it, the others that are not out of question, and what the shares
/// rest on.
[[nodiscard]] std::vector<std::string> explanations_in_words(const diagnosis::Explained& explained);
/// The test that tells most, and how it is made.
[[nodiscard]] std::string rotor_test_in_words(const diagnosis::Explained& explained);

/// "drive end, 2026-03-04"
[[nodiscard]] std::string gap_title(const rotor::AirGap& gap);
/// "pass"
[[nodiscard]] std::string title_of(rotor::Conformity conformity);
/// 0 where nothing is wrong.
[[nodiscard]] int level_of(rotor::Conformity conformity);
[[nodiscard]] std::string gap_result_in_words(const rotor::AirGap& gap);
[[nodiscard]] std::vector<std::string> gap_numbers(const rotor::AirGap& gap);

}  // namespace ohmglow::report
