#include "assessment/measure_entry.h"
#include "assessment/parallel.h"
#include "assessment/propagate.h"

#include <mutex>
#include <unordered_map>

namespace ohmglow::assessment {
namespace {

/// The survey's rows, found in constant time.
class Lookup {
 public:
  explicit Lookup(const Survey& survey) : survey_(survey) {
    for (const Motor& motor : survey.motors) motors_.emplace(motor.id, &motor);
  }
  [[nodiscard]] const Motor* motor(const std::string& id) const {
    const auto at = motors_.find(id);
    return at == motors_.end() ? nullptr : at->second;
  }
  [[nodiscard]] const MarkFile& marks(const std::string& file) const {
    static const MarkFile kNone;
    const auto at = survey_.marks.find(file);
    return at == survey_.marks.end() ? kNone : at->second;
  }

 private:
  const Survey& survey_;
  std::unordered_map<std::string, const Motor*> motors_;
};

}  // namespace

diagnosis::Assessment assess(Survey survey, severity::Policy policy, const Options& options) {
  const Lookup lookup(survey);
  const auto band = radiometry::BandRadiance::of(survey.band);
  const auto visits = visits_of(survey.images);
  const std::size_t count = survey.images.size();
  std::vector<diagnosis::ImageResult> results(count);
  std::vector<Measured> measured(count);
  std::mutex progress_mutex;
  std::size_t done = 0;

  const auto worker = [&] {
    return [&, tables = PixelTables{}](std::size_t i) mutable {
      const ImageEntry& entry = survey.images[i];
      const EntryCase its{band,
                          entry,
                          lookup.marks(entry.file),
                          lookup.motor(entry.motor),
                          survey.phase_names,
                          Scopes{static_cast<std::uint32_t>(i), visits[i]}};
      results[i] = measure_entry(its, open_stored(survey.folder, entry, options.limits), tables,
                                 &measured[i]);
      if (!options.progress) return;
      const std::lock_guard lock(progress_mutex);
      options.progress(++done, count);
    };
  };
  share_out(count, options.jobs, worker);
  return judge_measured(std::move(survey), std::move(results), measured, std::move(policy),
                        options.judging, options.jobs);
}

}  // namespace ohmglow::assessment
