#pragma once
/// The order of the ranked list, for callers that judge motor by motor and show one list of all.

#include "ohmglow/diagnosis.h"

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace ohmglow::diagnosis {

/// A finding with the row of its motor in motors.csv; null where there is none.
struct ToRank {
  const Finding* finding = nullptr;
  const Motor* motor = nullptr;
  std::size_t number = 0;  ///< the caller's own, to know the finding again
};

/// What a finding's place in the ranked list depends on before its names, so that findings can be
/// ranked that are not in memory.
struct RankKey {
  std::optional<std::size_t> band;
  Verdict verdict = Verdict::even;
  std::optional<double> loss;  ///< expected, × criticality; where costs are given these come first
  std::optional<double> rise;  ///< projected over like, else over like, else over air
  double stake = 0;            ///< criticality × downtime cost
};
[[nodiscard]] RankKey rank_key(const Finding& finding, const Motor* motor);
/// Where neither of two comes before the other, the order is that of motor, component, phase, lug
/// and image.
[[nodiscard]] bool comes_before(const RankKey& a, const RankKey& b);

/// Sorts findings of one survey and one policy into the order in which judge() ranks them: band,
/// verdict, expected loss, rise, stake, then names. Finding::rank is not looked at.
void sort_by_rank(std::vector<ToRank>& findings);
/// Sorts findings likewise and numbers them. `motors` stand beside them, null where there is no
/// row.
void rank(std::vector<Finding>& findings, std::span<const Motor* const> motors);

/// What a finding asks for: by its band, where its verdict names something to open. The most severe
/// band stops the motor, the mildest one asks for another look.
[[nodiscard]] Decision decision_of(const Finding& finding, const severity::Policy& policy);
/// Gives the findings of one motor, in the order of their ranks, their cases but for the numbers.
void form_cases(std::vector<Finding>& findings, const PhaseNames& names);
/// Numbers the cases of ranked findings.
void number_cases(std::vector<Finding>& findings);

/// How much there is, of what kind.
struct Totals {
  std::size_t findings = 0;
  std::size_t cases = 0;
  std::size_t warm_even = 0;   ///< components
  std::size_t not_judged = 0;  ///< components
  std::size_t measured = 0;    ///< images
  std::size_t unmarked = 0;
  std::size_t rejected = 0;
  std::size_t problems = 0;
};

/// What a flag means for the number beside it, and the rule that it rests on.
[[nodiscard]] Evidence consequence_of(Flag flag);

/// All flags, in the order in which results list them.
[[nodiscard]] std::vector<Flag> all_flags();

}  // namespace ohmglow::diagnosis
