#pragma once
/// A survey cut into its motors, each judged alone, and put together again. What motors judged
/// alone say is what their survey says, number by number; nothing else groups or joins them.

#include "offered/vocabulary/image_rows.h"
#include "ohmglow/diagnosis.h"

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <tuple>
#include <unordered_map>
#include <vector>

namespace ohmglow::diagnosis {

/// The rows of a survey that belong to one motor, by their places.
struct MotorRows {
  std::string id;
  std::optional<std::size_t> row;  ///< in Survey::motors; absent: motors.csv does not list it
  std::vector<std::size_t> images;
  std::optional<long> first_image_row;  ///< in images.csv
  std::vector<std::size_t> readings;
  std::vector<std::size_t> shop_tests;
  std::vector<std::size_t> circuit;
  std::vector<std::size_t> sweeps;
  std::vector<std::size_t> air_gaps;
};

struct CutSurvey {
  /// Every motor that the survey names, in the order in which results list them: those of
  /// motors.csv, then those that only images, readings, sweeps or air gaps name.
  std::vector<MotorRows> motors;
  /// Rows of circuit.csv whose motor nothing else names.
  std::vector<std::size_t> stray_circuit;
  /// Of each image its file, and a number for its (motor, component, day): images of one visit
  /// share the camera's error.
  std::vector<std::string> files;
  std::vector<std::uint32_t> visits;
  std::vector<std::string> photos;  ///< that images name
};

/// Cuts a survey while its tables are read: motors.csv is known, images are added in their order.
class Cutter {
 public:
  explicit Cutter(const std::vector<Motor>& motors);
  void add(const ImageEntry& image);
  /// With the survey's other tables.
  [[nodiscard]] CutSurvey finish(const Survey& survey);

 private:
  MotorRows& motor_of(const std::string& id);

  CutSurvey cut_;
  std::unordered_map<std::string, std::size_t> index_;
  using Visit = std::tuple<std::size_t, std::string, std::optional<std::chrono::sys_days>>;
  std::map<Visit, std::uint32_t> visits_;
};
/// A survey that is in memory.
[[nodiscard]] CutSurvey cut(const Survey& survey);

/// A motor's rows with the survey's head, and the marks of its images as far as the survey holds
/// them. `images` are the survey's, wherever they are.
[[nodiscard]] Survey rows_alone(const Survey& survey, const ImageRows& images,
                                const MotorRows& rows);
/// The survey without its rows.
[[nodiscard]] Survey head_of(const Survey& survey);

/// A problem for each motor that images, readings or circuits name and motors.csv does not, and the
/// table that names it.
[[nodiscard]] std::vector<Problem> unknown_motors(const Survey& survey, const CutSurvey& cut);

/// A motor judged alone: `assessment` holds its own rows of the survey, its images and findings.
/// The findings' ranks are those among the motor's own.
struct MotorState {
  Assessment assessment;
  std::vector<std::size_t> images;  ///< of each its place in the survey

  [[nodiscard]] const MotorResult& result() const { return assessment.motors.front(); }
  /// The motor's row of motors.csv; null where it has none.
  [[nodiscard]] const Motor* row() const;
  /// Its place in `assessment.images`, by its place in the survey.
  [[nodiscard]] std::optional<std::size_t> place_of(std::size_t image) const;
};

/// The motors of a survey put together into the result of the whole. `motors` are all of its motors
/// in the order of cut(); `survey` holds its images.
[[nodiscard]] Assessment put_together(Survey survey, severity::Policy policy,
                                      const Options& options, std::vector<MotorState> motors);

}  // namespace ohmglow::diagnosis
