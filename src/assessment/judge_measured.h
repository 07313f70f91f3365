#pragma once
/// From what was measured on a motor's images to its findings, with their trials and budgets.

#include "assessment/measure.h"
#include "ohmglow/diagnosis.h"

#include <span>
#include <string>
#include <vector>

namespace ohmglow::assessment {

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
