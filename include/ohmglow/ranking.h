#pragma once
/// The order of the ranked list, for callers that judge motor by motor and show one list of all.

#include "ohmglow/diagnosis.h"

#include <cstddef>
#include <vector>

namespace ohmglow::diagnosis {

/// A finding with the row of its motor in motors.csv; null where there is none.
struct ToRank {
  const Finding* finding = nullptr;
  const Motor* motor = nullptr;
  std::size_t number = 0;  ///< the caller's own, to know the finding again
};

/// Sorts findings of one survey and one policy into the order in which judge() ranks them: band,
/// verdict, rise, stake, then names. Finding::rank is not looked at.
void sort_by_rank(std::vector<ToRank>& findings);

/// What a flag means for the number beside it, and the rule that it rests on.
[[nodiscard]] Evidence consequence_of(Flag flag);

/// All flags, in the order in which results list them.
[[nodiscard]] std::vector<Flag> all_flags();

}  // namespace ohmglow::diagnosis
