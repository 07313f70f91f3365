#include "assessment/judge_measured.h"

#include "assessment/propagate.h"

namespace ohmglow::assessment {

diagnosis::Assessment judge_measured(const std::string& motor, Survey survey,
                                     std::vector<diagnosis::ImageResult> images,
                                     std::span<const Measured> measured, severity::Policy policy,
                                     const diagnosis::Options& options, unsigned jobs) {
  diagnosis::Propagate trials;
  if (options.uncertainty == diagnosis::Uncertainty::monte_carlo) {
    trials = [&](diagnosis::Assessment& assessment) { propagate(assessment, measured, jobs); };
  }
  auto assessment = diagnosis::judge(motor, std::move(survey), std::move(images), std::move(policy),
                                     options, trials);
  add_budgets(assessment, measured);
  return assessment;
}

}  // namespace ohmglow::assessment
