#pragma once
/// A survey that is looked at and changed while it stays open: measured once, answered from memory,
/// and after a change measured and judged anew only where the change reaches. What it shows is what
/// assess() makes of the same survey, number by number.

#include "offered/diagnosis/motors.h"
#include "offered/diagnosis/ranking.h"
#include "ohmglow/assessment.h"

#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::assessment {

struct WorkbenchOptions {
  diagnosis::Options judging;
  unsigned jobs = 0;  ///< threads of measure_all(); 0 = all cores
  imaging::ReadLimits limits = {};
  /// Pixels of images that were looked at lately are kept up to this size.
  std::uint64_t kept_pixel_bytes = std::uint64_t{256} << 20;
};

using MotorStatePtr = std::shared_ptr<const diagnosis::MotorState>;

/// A finding of the whole survey in its place.
struct Ranked {
  MotorStatePtr motor;
  std::size_t finding = 0;  ///< in motor->assessment.findings
  int case_number = 0;
};

/// A survey and its motors, all judged, in the order of cut().
struct Judged {
  Survey survey;
  std::vector<MotorStatePtr> motors;
};

struct RankedList {
  std::uint64_t revision = 0;  ///< of the survey that it was made from
  std::vector<Ranked> findings;
};

/// What a person tries out without saving it; what is absent stays as it is.
struct Draft {
  std::optional<MarkFile> marks;                 ///< of the image
  std::optional<ImageEntry> entry;               ///< of the image
  std::optional<std::vector<Reading>> readings;  ///< of the motor, all of them
};

/// Safe to use from several threads.
class Workbench {
 public:
  Workbench(Survey survey, severity::Policy policy, WorkbenchOptions options);
  ~Workbench();
  Workbench(const Workbench&) = delete;
  Workbench& operator=(const Workbench&) = delete;

  // --- measuring

  /// Measures and judges whatever is not yet, over all cores. `go_on` is called after each image
  /// with (done, total), from one thread at a time; where it says no, the rest is left.
  void measure_all(const std::function<bool(std::size_t done, std::size_t total)>& go_on);
  struct Progress {
    std::size_t done = 0;
    std::size_t total = 0;
  };
  [[nodiscard]] Progress progress() const;
  /// Counts up with everything that changes a result.
  [[nodiscard]] std::uint64_t revision() const;

  // --- looking

  /// Calls `look` with the survey as it stands; nothing changes it meanwhile. Must not call back.
  void with_survey(const std::function<void(const Survey&)>& look) const;
  [[nodiscard]] const severity::Policy& policy() const;
  [[nodiscard]] const WorkbenchOptions& options() const;

  /// The place in the survey of an image, its first row where a file has several pages and none is
  /// named.
  [[nodiscard]] std::optional<std::size_t> find_image(std::string_view file,
                                                      std::optional<int> page = {}) const;
  /// The motors' ids: those of motors.csv in its order, then those that other tables name.
  [[nodiscard]] std::vector<std::string> motors() const;
  /// Measured and judged now if it is not yet; null for a motor that nothing names.
  [[nodiscard]] MotorStatePtr motor(std::string_view id);
  /// The same where it is known already, else null.
  [[nodiscard]] MotorStatePtr known(std::string_view id) const;
  /// The motors that are judged by now, in order.
  [[nodiscard]] std::vector<MotorStatePtr> judged() const;
  /// The findings of these, in their order.
  [[nodiscard]] std::shared_ptr<const RankedList> ranked();
  /// The pixels of an image, from memory where they are.
  [[nodiscard]] Result<imaging::ThermalImage> image(std::size_t place);
  /// The survey as it stands with all of its motors; measures what is left to measure.
  [[nodiscard]] Judged whole();

  // --- changing

  /// The motor as it would be with a draft; `image` is a place in the survey. No trials by Monte
  /// Carlo are run. Null for a motor that nothing names.
  [[nodiscard]] std::optional<diagnosis::MotorState> try_out(std::string_view motor,
                                                             std::optional<std::size_t> image,
                                                             const Draft& draft);
  /// Takes over the marks of an image file as they are on disk now; none where there are none.
  void change_marks(const std::string& file, std::optional<MarkFile> marks,
                    std::vector<Problem> problems = {});
  /// Takes over a survey that was read anew. What was measured is kept where rows, marks and camera
  /// say the same as before, and so is what was judged. Counts the revision up only where something
  /// does not.
  void change_survey(Survey survey);
  /// The same for readings.csv alone. False, with nothing done, where a motor is named by readings
  /// alone, and where its tests on the bench are others.
  [[nodiscard]] bool change_readings(std::vector<Reading> readings,
                                     const std::vector<ShopTest>& shop_tests,
                                     std::vector<Problem> problems);
  /// The same for one image's parameters; its file, motor, component and day are those it had.
  void change_image(std::size_t place, ImageEntry entry);
  /// The same for tables of the same images, read without the marks, which are kept.
  void change_tables(Survey tables);
  /// Forgets what was measured on those of a motor's images whose files have changed since.
  void look_again(std::string_view motor);

 private:
  class Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace ohmglow::assessment
