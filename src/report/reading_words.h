#pragma once
/// One electrical reading in words, the same in every kind of report.

#include "ohmglow/diagnosis.h"

#include <string>

namespace ohmglow::report {

/// "A-B: 0.52 Ω, B-C: …"
[[nodiscard]] std::string values_in_words(const Survey& survey,
                                          const diagnosis::ElectricalResult& e);

/// What the three values mean, in words that keep pairs and legs apart; or why they mean nothing.
[[nodiscard]] std::string meaning_in_words(const Survey& survey,
                                           const diagnosis::ElectricalResult& e);

}  // namespace ohmglow::report
