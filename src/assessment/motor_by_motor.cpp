#include "ohmglow/motor_by_motor.h"

#include "assessment/measure_entry.h"
#include "assessment/motor_rows.h"
#include "assessment/parallel.h"
#include "assessment/propagate.h"

#include <algorithm>
#include <atomic>
#include <cstdint>
#include <map>
#include <mutex>
#include <set>
#include <tuple>
#include <unordered_map>
#include <utility>

namespace ohmglow::assessment {
namespace {

/// Images of one motor are shared out over the cores only where they are many: a survey without
/// images.csv may hold them all under one motor.
constexpr std::size_t kManyImages = 64;

template <class Rows, class Row>
void pick(const Rows& rows, const std::vector<std::size_t>& places, std::vector<Row>& picked) {
  picked.reserve(places.size());
  for (const std::size_t place : places) picked.push_back(rows[place]);
}

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

const MarkFile& marks_in(const Survey& survey, const std::string& file) {
  static const MarkFile kNone;
  const auto at = survey.marks.find(file);
  return at == survey.marks.end() ? kNone : at->second;
}

}  // namespace

const Motor* MotorState::row() const {
  return assessment.survey.motors.empty() ? nullptr : &assessment.survey.motors.front();
}

std::optional<std::size_t> MotorState::place_of(std::size_t image) const {
  const auto at = std::lower_bound(images.begin(), images.end(), image);
  if (at == images.end() || *at != image) return std::nullopt;
  return static_cast<std::size_t>(at - images.begin());
}

CutSurvey cut(const Survey& survey, const ImageRows& images) {
  CutSurvey result;
  std::vector<MotorRows>& motors = result.motors;
  std::unordered_map<std::string, std::size_t> index;
  const auto motor_of = [&](const std::string& id) {
    const auto [at, is_new] = index.emplace(id, motors.size());
    if (is_new) motors.emplace_back().id = id;
    return at->second;
  };
  motors.reserve(survey.motors.size());
  for (std::size_t i = 0; i < survey.motors.size(); ++i) {
    MotorRows& rows = motors[motor_of(survey.motors[i].id)];
    if (!rows.row) rows.row = i;
  }
  using Visit = std::tuple<std::size_t, std::string, std::optional<std::chrono::sys_days>>;
  std::map<Visit, std::uint32_t> visits;
  result.visits.reserve(images.size());
  for (std::size_t i = 0; i < images.size(); ++i) {
    ImageEntry entry = images[i];
    const std::size_t motor = motor_of(entry.motor);
    motors[motor].images.push_back(i);
    const auto day = entry.taken_at ? std::optional(entry.taken_at->day) : std::nullopt;
    const auto next = static_cast<std::uint32_t>(visits.size());
    result.visits.push_back(
        visits.try_emplace(Visit{motor, std::move(entry.component), day}, next).first->second);
  }
  for (std::size_t i = 0; i < survey.readings.size(); ++i) {
    motors[motor_of(survey.readings[i].motor)].readings.push_back(i);
  }
  for (std::size_t i = 0; i < survey.circuit.size(); ++i) {
    const auto at = index.find(survey.circuit[i].motor);
    if (at != index.end()) motors[at->second].circuit.push_back(i);
  }
  return result;
}

Survey head_of(const Survey& survey) {
  Survey head;
  head.folder = survey.folder;
  head.site = survey.site;
  head.surveyed_on = survey.surveyed_on;
  head.thermographer = survey.thermographer;
  head.policy = survey.policy;
  head.phase_names = survey.phase_names;
  head.band = survey.band;
  return head;
}

void append_rows(Survey& survey, const Survey& other) {
  const auto append = [](auto& to, const auto& from) {
    to.insert(to.end(), from.begin(), from.end());
  };
  append(survey.motors, other.motors);
  append(survey.images, other.images);
  append(survey.readings, other.readings);
  append(survey.circuit, other.circuit);
  survey.marks.insert(other.marks.begin(), other.marks.end());
}

Survey rows_alone(const Survey& survey, const ImageRows& images, const MotorRows& rows) {
  Survey alone = head_of(survey);
  if (rows.row) alone.motors.push_back(survey.motors[*rows.row]);
  pick(images, rows.images, alone.images);
  pick(survey.readings, rows.readings, alone.readings);
  pick(survey.circuit, rows.circuit, alone.circuit);
  for (const ImageEntry& entry : alone.images) {
    const auto marks = survey.marks.find(entry.file);
    if (marks != survey.marks.end()) alone.marks.insert(*marks);
  }
  return alone;
}

MotorByMotor::MotorByMotor(const Survey& survey, ImageRows images, const severity::Policy& policy,
                           Options options, ReadMarks marks)
    : survey_(survey),
      images_(std::move(images)),
      policy_(policy),
      options_(std::move(options)),
      marks_(std::move(marks)),
      band_(radiometry::BandRadiance::of(survey.band)),
      cut_(cut(survey, images_)) {}

Survey MotorByMotor::alone(std::size_t motor) const {
  Survey alone = rows_alone(survey_, images_, motors()[motor]);
  if (!marks_) return alone;
  std::set<std::string_view> read;  // one complaint is enough where an image has several pages
  for (const ImageEntry& entry : alone.images) {
    if (!read.insert(entry.file).second) continue;
    if (auto marks = marks_(entry.file, alone.problems)) {
      alone.marks.emplace(entry.file, std::move(*marks));
    }
  }
  return alone;
}

void MotorByMotor::assess(
    std::span<const std::size_t> motors,
    const std::function<bool(std::size_t motor, MotorState state)>& receive) const {
  std::size_t images = 0;
  for (const std::size_t motor : motors) images += cut_.motors[motor].images.size();
  Progress progress(options_, images);
  std::atomic<bool> goes_on = true;

  const auto measure = [&](std::size_t motor, Workplace& workplace) {
    const MotorRows& rows = cut_.motors[motor];
    Survey survey = alone(motor);
    std::vector<diagnosis::ImageResult> results(rows.images.size());
    std::vector<Measured> measured(rows.images.size());
    const auto one = [&](std::size_t i, Workplace& its_own) {
      const ImageEntry& entry = survey.images[i];
      const auto place = static_cast<std::uint32_t>(rows.images[i]);
      const EntryCase its{band_,
                          entry,
                          marks_in(survey, entry.file),
                          survey.motors.empty() ? nullptr : &survey.motors.front(),
                          survey.phase_names,
                          Scopes{place, cut_.visits[place]}};
      const Opened opened = open_stored(survey.folder, entry, options_.limits, &its_own.memory);
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
    MotorState state;
    state.images = rows.images;
    state.assessment = judge_measured(std::move(survey), std::move(results), measured, policy_,
                                      options_.judging, jobs);
    return state;
  };
  share_out(motors.size(), options_.jobs, [&] {
    return [&, workplace = Workplace{}](std::size_t i) mutable {
      if (goes_on && !receive(motors[i], measure(motors[i], workplace))) goes_on = false;
    };
  });
}

}  // namespace ohmglow::assessment
