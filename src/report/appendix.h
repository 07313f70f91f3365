#pragma once
/// The long tables of a report.

#include "offered/report/report_contents.h"

#include <span>

namespace ohmglow::report {

/// Components without a finding.
[[nodiscard]] Listing even(const Lookup& lookup);
[[nodiscard]] Listing readings(const diagnosis::Assessment& assessment);
[[nodiscard]] Listing stretches(const diagnosis::Assessment& assessment);
[[nodiscard]] Listing parameters(const Lookup& lookup);
[[nodiscard]] Listing problems(std::span<const Problem> problems);

}  // namespace ohmglow::report
