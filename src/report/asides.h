#pragma once
/// What stands beside the ranked list: what was not judged, and what is warm and even.

#include "offered/report/report_contents.h"

namespace ohmglow::report {

[[nodiscard]] Listing not_judged(const diagnosis::Assessment& assessment);
[[nodiscard]] Listing warm_even(const diagnosis::Assessment& assessment);

}  // namespace ohmglow::report
