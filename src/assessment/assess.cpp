#include "ohmglow/motor_by_motor.h"

#include <numeric>

namespace ohmglow::assessment {

diagnosis::Assessment assess(Survey survey, severity::Policy policy, const Options& options) {
  std::vector<MotorState> states;
  {
    const MotorByMotor parts(survey, ImageRows::of(survey.images), policy, options);
    states.resize(parts.motors().size());
    std::vector<std::size_t> all(states.size());
    std::iota(all.begin(), all.end(), std::size_t{0});
    parts.assess(all, [&states](std::size_t motor, MotorState state) {
      states[motor] = std::move(state);
      return true;
    });
  }
  return put_together(std::move(survey), std::move(policy), options.judging, std::move(states));
}

}  // namespace ohmglow::assessment
