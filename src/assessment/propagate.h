#pragma once
/// Propagation of distributions through a whole survey, and the budgets of its findings.

#include "assessment/measure.h"
#include "ohmglow/diagnosis.h"

#include <span>
#include <vector>

namespace ohmglow::assessment {

/// Fills the Monte Carlo results of every measured lug. `measured` stands beside the images.
void propagate(diagnosis::Assessment& assessment, std::span<const Measured> measured,
               unsigned jobs);

/// Fills the budgets of the findings.
void add_budgets(diagnosis::Assessment& assessment, std::span<const Measured> measured);

/// judge(), with the trials that the options ask for and the budgets. `measured` stands beside the
/// images.
[[nodiscard]] diagnosis::Assessment judge_measured(const std::string& motor, Survey survey,
                                                   std::vector<diagnosis::ImageResult> images,
                                                   std::span<const Measured> measured,
                                                   severity::Policy policy,
                                                   const diagnosis::Options& options,
                                                   unsigned jobs);

}  // namespace ohmglow::assessment
