#include "serve/open_survey.h"

#include "offered/editing/survey_drafts.h"
#include "offered/files/leftovers.h"
#include "offered/intake/mark_files.h"
#include "offered/intake/survey_tables.h"
#include "ohmglow/survey_folder.h"
#include "serve/json_text.h"
#include "serve/secrets.h"

#include <algorithm>
#include <opencv2/core.hpp>
#include <system_error>

namespace ohmglow::serve {
namespace fs = std::filesystem;

Result<std::unique_ptr<OpenSurvey>> OpenSurvey::open(Settings settings, std::string csrf) {
  for (const std::string& older : settings.earlier) {
    std::error_code error;
    if (fs::is_directory(older, error)) continue;
    return fail({.kind = ErrorKind::missing,
                 .what = "there is no such folder",
                 .expected = "an older survey folder",
                 .place = {.file = older}});
  }
  // The page writes into these folders alone; a killed server may have left something there.
  records::remove_leftovers(settings.folder);
  records::remove_leftovers_below(fs::path(settings.folder) / "marks");
  auto survey = records::read_survey(settings.folder);
  if (!survey) return fail(survey.error());
  const std::string& name = settings.policy.empty() ? survey->policy : settings.policy;
  auto policy = records::read_policy(name, settings.folder);
  if (!policy) return fail(policy.error());
  assessment::WorkbenchOptions options;
  options.judging = settings.judging;
  options.jobs = settings.jobs;
  options.limits = settings.limits;
  auto bench = std::make_unique<assessment::Workbench>(std::move(*survey), std::move(*policy),
                                                       std::move(options));
  return std::unique_ptr<OpenSurvey>(
      new OpenSurvey(std::move(settings), std::move(csrf), std::move(bench)));
}

OpenSurvey::OpenSurvey(Settings settings, std::string csrf,
                       std::unique_ptr<assessment::Workbench> bench)
    : settings_(std::move(settings)),
      folder_(settings_.folder),
      bench_(std::move(bench)),
      run_(random_text().substr(0, 16)),
      csrf_(std::move(csrf)),
      stamps_(look_at_tables()) {}

OpenSurvey::~OpenSurvey() {
  stop();
}

// --- measuring
// -----------------------------------------------------------------------------------------

void OpenSurvey::begin() {
  // Images are spread over the cores whole; a region of a few hundred pixels gains nothing from
  // more.
  cv::setNumThreads(1);
  worker_ = std::jthread([this](const std::stop_token& stopped) { work(stopped); });
}

void OpenSurvey::stop() {
  exports_.drop_all();
  worker_.request_stop();
  if (worker_.joinable()) worker_.join();
}

void OpenSurvey::work(const std::stop_token& stopped) {
  while (!stopped.stop_requested()) {
    try {
      return measure_on(stopped);
    } catch (const std::exception&) {
      // Memory ended, most likely for a while only: whoever looks on keeps what is there.
      constexpr auto kPause = std::chrono::seconds(1);
      std::unique_lock lock(waking_);
      woken_.wait_for(lock, stopped, kPause, [] { return false; });
    }
  }
}

void OpenSurvey::measure_on(const std::stop_token& stopped) {
  measure(stopped);
  while (earlier_begun_ < settings_.earlier.size()) {
    if (stopped.stop_requested()) return;
    const std::string& folder = settings_.earlier[earlier_begun_++];
    read_earlier(folder, bench_->policy(), bench_->options(), stopped, history_);
    note_change("");
  }
  while (!stopped.stop_requested()) {
    {
      std::unique_lock lock(waking_);
      if (!woken_.wait(lock, stopped, [this] { return has_work_; })) return;
    }
    measure(stopped);
  }
}

void OpenSurvey::measure(const std::stop_token& stopped) {
  {
    const std::lock_guard lock(waking_);
    has_work_ = false;
  }
  bench_->measure_all([&](std::size_t, std::size_t) { return !stopped.stop_requested(); });
}

void OpenSurvey::wake() {
  const std::lock_guard lock(waking_);
  has_work_ = true;
  woken_.notify_all();
}

void OpenSurvey::note_change(std::string_view motor) {
  // Whoever hears of it finds the motor in the lists already.
  if (!motor.empty()) static_cast<void>(bench_->motor(motor));
  ++changes_;
}

// --- the folder
// ----------------------------------------------------------------------------------------

OpenSurvey::Stamps OpenSurvey::look_at_tables() const {
  const TableNames names = look_at_names();
  Stamps stamps{.names = names, .files = {}};
  std::size_t next = 0;
  for (const std::string& file : {std::string("survey.json"), names.motors, names.images,
                                  names.readings, names.circuit, names.sweeps, names.air_gap}) {
    if (!file.empty()) stamps.files.at(next) = records::stamp_of(folder_ / file);
    ++next;
  }
  return stamps;
}

/// Names of a large folder are listed again only after something came or went in it.
TableNames OpenSurvey::look_at_names() const {
  // The clock of a file system ticks slowly: what changed just now may change again unseen.
  constexpr auto kTick = std::chrono::seconds(2);
  std::error_code error;
  const auto written = std::filesystem::last_write_time(folder_, error);
  if (!error && names_ && names_->first == written) return names_->second;
  TableNames names = records::table_names(folder_);
  const bool is_settled = !error && std::filesystem::file_time_type::clock::now() - written > kTick;
  names_.reset();
  if (is_settled) names_.emplace(written, names);
  return names;
}

void OpenSurvey::read_all_again() {
  const Stamps now = look_at_tables();
  auto survey = records::read_survey(folder_);
  // A survey.json that is being edited is looked at again next time.
  if (!survey) return;
  stamps_ = now;
  const std::uint64_t before = bench_->revision();
  bench_->change_survey(std::move(*survey));
  if (bench_->revision() == before) return;
  wake();
  note_change("");
}

void OpenSurvey::catch_up() {
  const auto lock = saving();
  if (look_at_tables() != stamps_) read_all_again();
}

void OpenSurvey::read_folder_again() {
  const auto lock = saving();
  read_all_again();
}

bool OpenSurvey::marks_changed(const std::string& file) const {
  std::optional<MarkFile> known;
  PhaseNames phases;
  bench_->with_survey([&](const Survey& survey) {
    phases = survey.phase_names;
    const auto at = survey.marks.find(file);
    if (at != survey.marks.end()) known = at->second;
  });
  const auto on_disk = records::read_marks(folder_, file, phases);
  return known != (on_disk ? std::optional(on_disk->file) : std::nullopt);
}

void OpenSurvey::catch_up_with(std::string_view motor) {
  catch_up();
  bench_->look_again(motor);
  std::vector<std::string> files;
  if (const auto state = bench_->known(motor)) {
    for (const auto& image : state->assessment.images) files.push_back(image.file);
  }
  for (const std::string& file : files) {
    const auto lock = saving();
    if (marks_changed(file)) read_marks_again(file);
  }
}

void OpenSurvey::read_marks_again(const std::string& file) {
  PhaseNames phases;
  std::string motor;
  const auto place = bench_->find_image(file);
  bench_->with_survey([&](const Survey& survey) {
    phases = survey.phase_names;
    if (place) motor = survey.images.at(*place).motor;
  });
  auto read = records::read_marks(folder_, file, phases);
  if (read) {
    bench_->change_marks(file, std::move(read->file), std::move(read->problems));
  } else {
    const bool is_gone = read.error().kind == ErrorKind::missing;
    bench_->change_marks(
        file, std::nullopt,
        is_gone ? std::vector<Problem>() : std::vector{problem_from(read.error())});
  }
  wake();
  note_change(motor);
}

void OpenSurvey::read_readings_again(const std::string& motor, bool in_step) {
  if (!in_step) return read_tables_again(motor);
  const Stamps now = look_at_tables();
  auto read = records::read_readings(folder_);
  if (!bench_->change_readings(std::move(read.readings), read.shop_tests,
                               std::move(read.problems))) {
    return read_tables_again(motor);
  }
  stamps_ = now;
  wake();
  note_change(motor);
}

void OpenSurvey::read_image_again(std::size_t place, std::optional<long> row, bool in_step) {
  ImageEntry known;
  bench_->with_survey([&](const Survey& survey) { known = survey.images.at(place); });
  const Stamps now = look_at_tables();
  auto entry = records::draft_image(folder_, known, {});
  if (!in_step || !entry) return read_tables_again(known.motor);
  entry->row = row;
  bench_->change_image(place, std::move(*entry));
  stamps_ = now;
  wake();
  note_change(known.motor);
}

void OpenSurvey::read_tables_again(const std::string& motor) {
  const Stamps now = look_at_tables();
  auto tables = records::read_tables(folder_);
  if (!tables) return;
  bool same_files = true;
  bench_->with_survey([&](const Survey& survey) {
    same_files = std::equal(
        survey.images.begin(), survey.images.end(), tables->images.begin(), tables->images.end(),
        [](const ImageEntry& a, const ImageEntry& b) { return a.file == b.file; });
  });
  if (!same_files) return read_all_again();
  stamps_ = now;
  bench_->change_tables(std::move(*tables));
  wake();
  note_change(motor);
}

}  // namespace ohmglow::serve
