#pragma once
/// A survey measured and judged one motor after the other, so that no more of it than the motors at
/// hand need be in memory, and put together again. What motors are judged alone says the same,
/// number by number, as the survey judged at once.

#include "ohmglow/assessment.h"
#include "ohmglow/image_rows.h"

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace ohmglow::assessment {

/// The rows of a survey that belong to one motor, by their places.
struct MotorRows {
  std::string id;
  std::optional<std::size_t> row;  ///< in Survey::motors; absent: motors.csv does not list it
  std::vector<std::size_t> images;
  std::vector<std::size_t> readings;
  std::vector<std::size_t> circuit;
};

/// A survey cut into its motors.
struct CutSurvey {
  /// Every motor that the survey names, in the order in which results list them: those of
  /// motors.csv, then those that only images or readings name.
  std::vector<MotorRows> motors;
  /// Of each image a number for its (motor, component, day): images of one visit share the camera's
  /// error.
  std::vector<std::uint32_t> visits;
};
/// `images` are the survey's, wherever they are; its own are not looked at.
[[nodiscard]] CutSurvey cut(const Survey& survey, const ImageRows& images);

/// A motor judged alone: `assessment` holds its own rows of the survey, its images and findings.
/// The findings' ranks are those among the motor's own.
struct MotorState {
  diagnosis::Assessment assessment;
  std::vector<std::size_t> images;  ///< of each its place in the survey

  [[nodiscard]] const diagnosis::MotorResult& result() const { return assessment.motors.front(); }
  /// The motor's row of motors.csv; null where it has none.
  [[nodiscard]] const Motor* row() const;
  /// Its place in `assessment.images`, by its place in the survey.
  [[nodiscard]] std::optional<std::size_t> place_of(std::size_t image) const;
};

/// The motors of a survey, each with its rows, measured and judged.
class MotorByMotor {
 public:
  /// Keeps references to the survey, whose own images are not looked at, and the policy. `marks`
  /// gives the marks of an image file and what is wrong with them, for a survey that was read
  /// without its marks; without it the survey holds them.
  using ReadMarks = std::function<std::optional<MarkFile>(const std::string& file,
                                                          std::vector<Problem>& problems)>;
  MotorByMotor(const Survey& survey, ImageRows images, const severity::Policy& policy,
               Options options, ReadMarks marks = {});

  [[nodiscard]] const ImageRows& images() const { return images_; }
  [[nodiscard]] const std::vector<MotorRows>& motors() const { return cut_.motors; }
  /// The motor's part of the survey, marks included, as its state will hold it.
  [[nodiscard]] Survey alone(std::size_t motor) const;

  /// Measures and judges motors, numbered as in motors(), over all cores. `receive` gets each as
  /// soon as it is done, from several threads at a time; `motors` are begun in their order. Nothing
  /// is begun any more once `receive` says no.
  void assess(std::span<const std::size_t> motors,
              const std::function<bool(std::size_t motor, MotorState state)>& receive) const;

 private:
  const Survey& survey_;
  ImageRows images_;
  const severity::Policy& policy_;
  Options options_;
  ReadMarks marks_;
  Result<radiometry::BandRadiance> band_;
  CutSurvey cut_;
};

/// The problems of the readings, among those of a motor judged alone.
[[nodiscard]] std::span<const Problem> problems_of_readings(const diagnosis::Assessment& motor);

/// The motors of a survey put together into the result of the whole. `motors` are all of its motors
/// in the order of cut().
[[nodiscard]] diagnosis::Assessment put_together(Survey survey, severity::Policy policy,
                                                 const diagnosis::Options& options,
                                                 std::vector<MotorState> motors);

}  // namespace ohmglow::assessment
