#pragma once
// A survey of any number of motors, judged motor by motor as the program does it.

#include "offered/diagnosis/motors.h"

#include <utility>
#include <vector>

namespace ohmglow::test {

// `propagate` is given each motor's assessment and the places of its images in the survey.
template <class Propagate>
diagnosis::Assessment judged(const Survey& survey,
                             const std::vector<diagnosis::ImageResult>& images,
                             const severity::Policy& policy, const diagnosis::Options& options,
                             const Propagate& propagate) {
  std::vector<diagnosis::MotorState> motors;
  for (const diagnosis::MotorRows& rows : diagnosis::cut(survey).motors) {
    std::vector<diagnosis::ImageResult> its;
    for (const std::size_t image : rows.images) its.push_back(images[image]);
    motors.push_back(
        {diagnosis::judge(rows.id,
                          diagnosis::rows_alone(survey, ImageRows::of(survey.images), rows),
                          std::move(its), policy, options,
                          [&](diagnosis::Assessment& motor) { propagate(motor, rows.images); }),
         rows.images});
  }
  return diagnosis::put_together(survey, policy, options, std::move(motors));
}

inline diagnosis::Assessment judged(const Survey& survey,
                                    const std::vector<diagnosis::ImageResult>& images,
                                    const severity::Policy& policy,
                                    const diagnosis::Options& options) {
  return judged(survey, images, policy, options,
                [](diagnosis::Assessment&, const std::vector<std::size_t>&) {});
}

}  // namespace ohmglow::test
