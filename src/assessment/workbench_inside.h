#pragma once
/// What a workbench holds.

#include "assessment/judge_measured.h"
#include "assessment/pixel_memory.h"
#include "offered/assessment/workbench.h"

#include <algorithm>
#include <atomic>
#include <map>
#include <shared_mutex>

namespace ohmglow::assessment {

/// The camera's band stays where it is while anything measured with it is about.
using BandPtr = std::shared_ptr<const Result<radiometry::BandRadiance>>;

/// One image as measured, not judged.
struct Kept {
  diagnosis::ImageResult result;
  Measured how;
  BandPtr band;
  std::optional<records::FileStamp> stamp;
};
using KeptPtr = std::shared_ptr<const Kept>;

/// A motor and what is known of it.
struct Slot : diagnosis::MotorRows {
  std::size_t pending = 0;  ///< images that are not measured
  /// Changes with anything that the motor's results depend on; never the same twice.
  std::uint64_t generation = 0;
  MotorStatePtr state;  ///< null: not judged since
};

/// A motor taken out of the survey, with what was measured on its images by then.
struct MotorCase {
  std::uint64_t generation = 0;
  std::string id;
  Survey survey;                    ///< its own rows
  std::vector<std::size_t> places;  ///< of its images in the whole survey
  std::vector<Scopes> scopes;
  std::vector<KeptPtr> kept;  ///< null: not measured
  BandPtr band;
  diagnosis::Unconfirmed unconfirmed = diagnosis::Unconfirmed::measure;
};

/// Measures one image of a motor from what the file holds.
[[nodiscard]] KeptPtr measured(const MotorCase& its, std::size_t i, const OpenedFile& file,
                               PixelTables& tables);

class Workbench::Inside {
 public:
  Inside(Survey its_survey, severity::Policy its_policy, WorkbenchOptions its_options);

  // Under the lock:
  [[nodiscard]] Slot* slot_of(std::string_view motor);
  /// Makes the slots anew; no motor is judged after.
  void index_survey();
  /// A motor's results no longer hold.
  void touch(Slot& slot);
  /// Another survey in place of this one.
  void exchange(Survey other, bool marks_are_kept);
  /// What was measured on an image; null: nothing that holds any longer.
  void put(Slot& slot, std::size_t place, KeptPtr measured);
  [[nodiscard]] const Motor* row_of(std::string_view motor) const;
  [[nodiscard]] MotorCase gather(const Slot& slot) const;

  // Without it:
  /// The motor measured and judged; null for one that nothing names.
  [[nodiscard]] MotorStatePtr settled(std::string_view motor);
  /// Measures the next image that nobody has begun with; false if there is none.
  bool measure_next(PixelTables& tables);
  [[nodiscard]] std::vector<std::string> not_judged() const;
  [[nodiscard]] diagnosis::MotorState judged(const MotorCase& its,
                                             const diagnosis::Options& how) const;

  const severity::Policy policy;
  const WorkbenchOptions options;
  PixelMemory pixels;
  std::atomic<std::uint64_t> revision{1};

  mutable std::shared_mutex mutex;  ///< guards what follows
  Survey survey;
  BandPtr band;
  std::vector<std::uint32_t> visits;
  std::vector<KeptPtr> kept;  ///< by image; null: not measured
  std::size_t next = 0;       ///< no image before it is left for measure_next()
  std::vector<Slot> slots;    ///< in the order in which judge() lists motors
  std::map<std::string, std::size_t, std::less<>> slot_index;
  std::map<std::string, std::size_t, std::less<>> rows;                 ///< of motors.csv
  std::map<std::string, std::vector<std::size_t>, std::less<>> places;  ///< by image file
  std::uint64_t generations = 0;
  std::shared_ptr<const RankedList> ranked;
};

}  // namespace ohmglow::assessment
