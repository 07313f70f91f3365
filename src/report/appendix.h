#pragma once
/// The long tables of a report.

#include "ohmglow/report_contents.h"

namespace ohmglow::report {

/// Components without a finding.
[[nodiscard]] Listing even(const Lookup& lookup);
[[nodiscard]] Listing readings(const diagnosis::Assessment& assessment);
[[nodiscard]] Listing stretches(const diagnosis::Assessment& assessment);
[[nodiscard]] Listing parameters(const diagnosis::Assessment& assessment);
[[nodiscard]] Listing problems(const diagnosis::Assessment& assessment);

}  // namespace ohmglow::report
