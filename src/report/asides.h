#pragma once
/// What stands beside the ranked list: what was not judged, what is warm and even, and what must
/// not wait for the list to be read.

#include "offered/report/report_contents.h"

#include <string>
#include <vector>

namespace ohmglow::report {

[[nodiscard]] Listing not_judged(const diagnosis::Assessment& assessment);
[[nodiscard]] Listing warm_even(const diagnosis::Assessment& assessment);
/// A line for each motor that runs on two phases.
[[nodiscard]] std::vector<std::string> motors_to_stop(const diagnosis::Assessment& assessment);

}  // namespace ohmglow::report
