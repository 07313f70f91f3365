#pragma once
/// What a survey covered, and what it did not.

#include "ohmglow/report_contents.h"

#include <vector>

namespace ohmglow::report {

[[nodiscard]] std::vector<Fact> scope_in_numbers(const diagnosis::Assessment& assessment);

/// Motors without an image, places without one, images and lugs without a number; each with why.
[[nodiscard]] Listing not_covered(const Lookup& lookup);

}  // namespace ohmglow::report
