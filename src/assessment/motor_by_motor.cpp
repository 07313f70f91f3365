#include "offered/assessment/motor_by_motor.h"

#include "assessment/judge_measured.h"
#include "assessment/measure_entry.h"
#include "assessment/parallel.h"

#include <algorithm>
#include <atomic>
#include <mutex>
#include <set>
#include <utility>

namespace ohmglow::assessment {
namespace {

/// Images of one motor are shared out over the cores only where they are many: a survey without
/// images.csv may hold them all under one motor.
constexpr std::size_t kManyImages = 64;

/// Larger images are measured one at a time, in memory that is given back: as many at once as there
/// are cores would take gigabytes.
constexpr std::uint64_t kMostPixelsOfEachThread = 16'000'000;

/// Counts images as they are measured, for whoever watches.
class Progress {
 public:
  Progress(const Options& options, std::size_t total) : options_(options), total_(total) {}
  void step() {
    if (!options_.progress) return;
    const std::lock_guard lock(mutex_);
    options_.progress(++done_, total_);
  }

 private:
  const Options& options_;
  std::size_t total_;
  std::size_t done_ = 0;
  std::mutex mutex_;
};

/// What a thread keeps from image to image.
struct Workplace {
  PixelTables tables;
  imaging::ReadMemory memory;
};

}  // namespace

MotorByMotor::MotorByMotor(const Survey& survey, ImageRows images, const diagnosis::CutSurvey& cut,
                           const severity::Policy& policy, Options options, TakeInMarks marks)
    : survey_(survey),
      images_(std::move(images)),
      cut_(cut),
      policy_(policy),
      options_(std::move(options)),
      marks_(std::move(marks)),
      band_(radiometry::BandRadiance::of(survey.band)) {}

Survey MotorByMotor::alone(std::size_t motor) const {
  Survey alone = diagnosis::rows_alone(survey_, images_, cut_.motors[motor]);
  if (!marks_) return alone;
  std::set<std::string_view> read;  // one complaint is enough where an image has several pages
  for (const ImageEntry& entry : alone.images) {
    if (read.insert(entry.file).second) marks_(entry.file, alone);
  }
  return alone;
}

void MotorByMotor::assess(
    std::span<const std::size_t> motors,
    const std::function<bool(std::size_t motor, diagnosis::MotorState state)>& receive) const {
  std::size_t images = 0;
  for (const std::size_t motor : motors) images += cut_.motors[motor].images.size();
  Progress progress(options_, images);
  std::atomic<bool> goes_on = true;
  imaging::ReadLimits of_each_thread = options_.limits;
  of_each_thread.max_pixels = std::min(of_each_thread.max_pixels, kMostPixelsOfEachThread);
  std::mutex one_large_image;

  const auto measure = [&](std::size_t motor, Workplace& workplace) {
    const diagnosis::MotorRows& rows = cut_.motors[motor];
    Survey survey = alone(motor);
    std::vector<diagnosis::ImageResult> results(rows.images.size());
    std::vector<Measured> measured(rows.images.size());
    const auto one = [&](std::size_t i, Workplace& its_own) {
      const ImageEntry& entry = survey.images[i];
      const auto place = static_cast<std::uint32_t>(rows.images[i]);
      const EntryCase its = case_of(band_, survey, i, Scopes{place, cut_.visits[place]},
                                    options_.judging.unconfirmed);
      Opened opened = open_stored(survey.folder, entry, of_each_thread, &its_own.memory);
      std::unique_lock<std::mutex> alone;
      if (!opened.stored && opened.stored.error().kind == ErrorKind::too_large) {
        alone = std::unique_lock(one_large_image);
        opened = open_stored(survey.folder, entry, options_.limits);
      }
      results[i] = measure_entry(its, opened, its_own.tables, &measured[i]);
      progress.step();
    };
    const unsigned jobs = rows.images.size() < kManyImages ? 1 : options_.jobs;
    if (jobs == 1) {
      for (std::size_t i = 0; i < results.size(); ++i) one(i, workplace);
    } else {
      share_out(results.size(), jobs, [&] {
        return [&, its_own = Workplace{}](std::size_t i) mutable { one(i, its_own); };
      });
    }
    return diagnosis::MotorState{judge_measured(rows.id, std::move(survey), std::move(results),
                                                measured, policy_, options_.judging, jobs),
                                 rows.images};
  };
  share_out(motors.size(), options_.jobs, [&] {
    return [&, workplace = Workplace{}](std::size_t i) mutable {
      if (goes_on && !receive(motors[i], measure(motors[i], workplace))) goes_on = false;
    };
  });
}

}  // namespace ohmglow::assessment
