#pragma once
/// What a survey did not cover.

#include "offered/report/report_contents.h"

namespace ohmglow::report {

/// Motors without an image, places without one, images and lugs without a number; each with why.
[[nodiscard]] Listing not_covered(const Lookup& lookup);

}  // namespace ohmglow::report
