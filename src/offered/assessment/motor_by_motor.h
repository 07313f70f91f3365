#pragma once
/// A survey measured and judged one motor after the other, so that no more of it than the motors at
/// hand need be in memory.

#include "offered/diagnosis/motors.h"
#include "offered/vocabulary/image_rows.h"
#include "ohmglow/assessment.h"

#include <cstddef>
#include <functional>
#include <span>
#include <string>
#include <vector>

namespace ohmglow::assessment {

/// The motors of a survey, each with its rows, measured and judged.
class MotorByMotor {
 public:
  /// Keeps references to the survey, whose own images are not looked at, its cut and the policy.
  /// `marks` adds to a motor's part of the survey the marks of an image file, the record of that
  /// file and what is wrong with it, for a survey that was read without its marks; without it the
  /// survey holds them.
  using TakeInMarks = std::function<void(const std::string& file, Survey& motor)>;
  MotorByMotor(const Survey& survey, ImageRows images, const diagnosis::CutSurvey& cut,
               const severity::Policy& policy, Options options, TakeInMarks marks = {});

  /// The motor's part of the survey, marks included, as its state will hold it.
  [[nodiscard]] Survey alone(std::size_t motor) const;

  /// Measures and judges motors, numbered as in the cut, over all cores. `receive` gets each as
  /// soon as it is done, from several threads at a time; `motors` are begun in their order. Nothing
  /// is begun any more once `receive` says no.
  void assess(
      std::span<const std::size_t> motors,
      const std::function<bool(std::size_t motor, diagnosis::MotorState state)>& receive) const;

 private:
  const Survey& survey_;
  ImageRows images_;
  const diagnosis::CutSurvey& cut_;
  const severity::Policy& policy_;
  Options options_;
  TakeInMarks marks_;
  Result<radiometry::BandRadiance> band_;
};

}  // namespace ohmglow::assessment
