#pragma once
/// The words and short phrases in which results are told, the same in every kind of report.

#include "ohmglow/diagnosis.h"
#include "ohmglow/reader.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::report {

/// "heat only"
[[nodiscard]] std::string title_of(diagnosis::Verdict verdict);
[[nodiscard]] std::string title_of(Test test);
/// "winding resistance at starter"
[[nodiscard]] std::string reading_title(Test test, const std::string& place);

/// The safety words.
[[nodiscard]] std::vector<std::string> cautions_in_words();

/// A flag as a clause a person understands.
[[nodiscard]] std::string words_of(diagnosis::Flag flag);

/// What the body of a report prints of a source: "ANSI/NETA Table 100.18"; nothing for a rule of
/// the program's own or common practice, and no word on how it was read.
[[nodiscard]] std::string short_source(const Sentence& source);

/// A probability: "94 %", "> 99 %", "< 1 %".
[[nodiscard]] std::string probability_text(double probability);
/// Whether the probabilities of its bands are about what decided its band: they are worked out from
/// the rises, so a conductor's limit or a reading that decided makes them look like a
/// contradiction.
[[nodiscard]] bool has_telling_probabilities(const diagnosis::Finding& finding);

/// What decided a band, as the end of "decided by …".
[[nodiscard]] std::string words_of(severity::DecidedBy by);

/// "phase B"
[[nodiscard]] std::string phase_title(const Survey& survey, Phase phase);
[[nodiscard]] const std::string& phase_name(const Survey& survey, Phase phase);
/// "A-B" for pair 0.
[[nodiscard]] std::string pair_name(const Survey& survey, std::size_t pair);

/// The band's title, or "none".
[[nodiscard]] std::string band_title(const severity::Policy& policy, const severity::Grade& grade);
/// 1 (mild) to 4 (severe), 0 for none: which of the four tints and weights a band gets.
[[nodiscard]] int band_level(const severity::Policy& policy, std::optional<std::size_t> band);

/// "38.4 ± 0.4 °C" and "12.3 ± 0.4 K"; the uncertainty is the standard one, and decides the
/// decimals of both.
[[nodiscard]] std::string temperature_with_u(double celsius, double u_k);
[[nodiscard]] std::string difference_with_u(double kelvin, double u_k);
[[nodiscard]] std::string difference_with_u(const radiometry::Estimate& rise);

/// "T1", "phase B, lug T5", or "the whole circuit" where a finding names neither.
[[nodiscard]] std::string where_of(const Survey& survey, const diagnosis::Finding& finding);

/// The day of a moment as the user wrote it, or "no date".
[[nodiscard]] std::string day_text(const std::optional<Moment>& moment);
[[nodiscard]] std::string day_text(std::chrono::sys_days day);

struct Counts {
  std::size_t measured = 0;
  std::size_t unmarked = 0;
  std::size_t rejected = 0;
};
[[nodiscard]] Counts count_images(const diagnosis::Assessment& assessment);

/// "3 images", "1 image" by msg("{} image"), msg("{} images").
[[nodiscard]] std::string counted(std::size_t count, std::string_view one, std::string_view many);

}  // namespace ohmglow::report
