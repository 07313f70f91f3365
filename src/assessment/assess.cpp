#include "assessment/measure.h"
#include "assessment/parallel.h"
#include "assessment/propagate.h"
#include "ohmglow/records.h"

#include <mutex>
#include <tuple>
#include <unordered_map>

namespace ohmglow::assessment {
namespace {

/// A number per (motor, component, day): images of one visit share the camera's error.
std::vector<std::uint32_t> visits_of(const std::vector<ImageEntry>& images) {
  using Key = std::tuple<std::string, std::string, std::optional<std::chrono::sys_days>>;
  std::map<Key, std::uint32_t> numbers;
  std::vector<std::uint32_t> visits;
  visits.reserve(images.size());
  for (const ImageEntry& entry : images) {
    const auto day = entry.taken_at ? std::optional(entry.taken_at->day) : std::nullopt;
    const auto next = static_cast<std::uint32_t>(numbers.size());
    visits.push_back(
        numbers.try_emplace(Key{entry.motor, entry.component, day}, next).first->second);
  }
  return visits;
}

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

diagnosis::ImageResult measure_entry(const Survey& survey, const Lookup& lookup,
                                     const Result<radiometry::BandRadiance>& band,
                                     std::size_t index, std::uint32_t visit,
                                     const imaging::ReadLimits& limits, PixelTables& tables,
                                     Measured& how) {
  const ImageEntry& entry = survey.images[index];
  std::string sha256;
  const auto image = open_image(survey, entry, limits, &sha256);
  if (!band) {
    auto rejected = result_for(entry);
    rejected.sha256 = sha256;
    rejected.problems.push_back("the camera's band: " + sentence(band.error()));
    return rejected;
  }
  auto result = image ? measure_with(*band, *image, entry, lookup.marks(entry.file),
                                     lookup.motor(entry.motor), survey.phase_names,
                                     Scopes{static_cast<std::uint32_t>(index), visit}, tables, &how)
                      : result_for(entry);
  result.sha256 = sha256;
  if (!image) result.problems.push_back(problem_from(image.error()).message);
  return result;
}

}  // namespace

Result<imaging::ThermalImage> open_image(const Survey& survey, const ImageEntry& entry,
                                         const imaging::ReadLimits& limits, std::string* sha256) {
  const auto path = records::resolve_inside(survey.folder, entry.file);
  if (!path) return fail(path.error().in_file(entry.file));
  const auto bytes = imaging::read_bytes(*path, limits.max_bytes);
  if (!bytes) return fail(bytes.error().in_file(entry.file));
  if (sha256 != nullptr) *sha256 = records::sha256(*bytes);
  const imaging::ReadOptions options{entry.parameters.page.value_or(1), limits};
  auto stored = imaging::read_stored(*bytes, entry.file, options);
  if (!stored) return fail(stored.error().in_file(entry.file));
  const auto declaration = imaging::resolve_declaration(*stored, entry.parameters);
  if (!declaration) return fail(declaration.error().in_file(entry.file));
  return imaging::ThermalImage(std::move(*stored), *declaration);
}

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
      results[i] =
          measure_entry(survey, lookup, band, i, visits[i], options.limits, tables, measured[i]);
      if (!options.progress) return;
      const std::lock_guard lock(progress_mutex);
      options.progress(++done, count);
    };
  };
  share_out(count, options.jobs, worker);
  diagnosis::Propagate trials;
  if (options.judging.uncertainty == diagnosis::Uncertainty::monte_carlo) {
    trials = [&](diagnosis::Assessment& assessment) {
      propagate(assessment, measured, options.jobs);
    };
  }
  auto assessment = diagnosis::judge(std::move(survey), std::move(results), std::move(policy),
                                     options.judging, trials);
  add_budgets(assessment, measured);
  return assessment;
}

}  // namespace ohmglow::assessment
