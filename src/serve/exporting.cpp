#include "serve/exporting.h"

#include "serve/history.h"
#include "serve/json_text.h"
#include "serve/open_survey.h"
#include "serve/secrets.h"

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstring>
#include <fmt/format.h>
#include <system_error>
#include <unistd.h>
#include <zip.h>

namespace ohmglow::serve {
namespace fs = std::filesystem;

namespace {

constexpr std::string_view kExportPrefix = "ohmglow-export-";
constexpr std::size_t kMostAtOnce = 2;
constexpr std::size_t kMostKept = 4;

Error export_error(std::string what) {
  return {.kind = ErrorKind::system,
          .what = std::move(what),
          .mend = "look whether the temporary folder has room"};
}
Error given_up() {
  return {.kind = ErrorKind::conflict, .what = "the export was cancelled"};
}

/// What servers that were killed left behind.
void remove_dead_exports(const fs::path& place) {
  std::error_code error;
  fs::directory_iterator entries(place, error);
  for (; !error && entries != fs::directory_iterator{}; entries.increment(error)) {
    const std::string name = entries->path().filename().string();
    int process = 0;
    if (!name.starts_with(kExportPrefix) ||
        std::sscanf(name.c_str() + kExportPrefix.size(), "%d-", &process) != 1 || process <= 0 ||
        ::kill(process, 0) == 0 || errno != ESRCH) {
      continue;
    }
    std::error_code unknown;
    if (!entries->is_symlink(unknown)) fs::remove_all(entries->path(), unknown);
  }
}

/// Small letters, digits and hyphens: a name that every system takes.
std::string plain_name(std::string_view text) {
  std::string name;
  for (const char c : text) {
    const bool is_digit = c >= '0' && c <= '9';
    const char small = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    if (is_digit || (small >= 'a' && small <= 'z')) {
      name += small;
    } else if (!name.empty() && name.back() != '-') {
      name += '-';
    }
  }
  while (!name.empty() && name.back() == '-') name.pop_back();
  return name;
}

/// "bexley-creek-2026-03-04-report.html".
std::string saved_name(OpenSurvey& served, std::string_view file, bool is_part) {
  std::string name;
  served.bench().with_survey([&name](const Survey& survey) {
    name = plain_name(survey.site);
    if (survey.surveyed_on)
      name += (name.empty() ? "" : "-") + plain_name(survey.surveyed_on->text);
  });
  if (name.empty()) name = plain_name(folder_name(served.folder()));
  if (!name.empty()) name += '-';
  return name + (is_part ? "part-of-" : "") + std::string(file);
}

}  // namespace

Result<std::unique_ptr<ExportFolder>> ExportFolder::make() {
  std::error_code error;
  const fs::path place = fs::temp_directory_path(error);
  if (error) return fail(export_error("there is no temporary folder: " + error.message()));
  remove_dead_exports(place);
  std::string path = (place / fmt::format("{}{}-XXXXXX", kExportPrefix, ::getpid())).string();
  if (::mkdtemp(path.data()) == nullptr) {
    return fail(
        export_error(std::string("no temporary folder can be made: ") + std::strerror(errno)));
  }
  return std::make_unique<ExportFolder>(path);
}

ExportFolder::~ExportFolder() {
  std::error_code error;
  fs::remove_all(path_, error);
}

Result<void> zip_files(const fs::path& folder, const std::vector<std::string>& names,
                       const fs::path& archive, const std::function<bool()>& go_on) {
  int code = 0;
  zip_t* const zip = ::zip_open(archive.c_str(), ZIP_CREATE | ZIP_EXCL, &code);
  if (zip == nullptr) return fail(export_error("the archive cannot be made"));
  for (const std::string& name : names) {
    zip_source_t* const source = ::zip_source_file(zip, (folder / name).c_str(), 0, -1);
    if (source == nullptr || ::zip_file_add(zip, name.c_str(), source, ZIP_FL_ENC_UTF_8) < 0) {
      if (source != nullptr) ::zip_source_free(source);
      const std::string why = ::zip_strerror(zip);
      ::zip_discard(zip);
      return fail(export_error("the archive cannot be written: " + why));
    }
  }
  auto go_on_now = go_on;
  ::zip_register_cancel_callback_with_state(
      zip, [](zip_t*, void* go) { return (*static_cast<std::function<bool()>*>(go))() ? 0 : 1; },
      nullptr, &go_on_now);
  if (::zip_close(zip) == 0) return {};
  const std::string why = ::zip_strerror(zip);
  ::zip_discard(zip);
  return go_on() ? fail(export_error("the archive cannot be written: " + why)) : fail(given_up());
}

Result<Exported> write_export(OpenSurvey& served, const Format& format,
                              const std::vector<std::size_t>& ranks, const GoOn& go_on) {
  served.read_folder_again();
  assessment::Workbench& bench = served.bench();
  const assessment::Judged judged = bench.whole();
  // Kept as a run keeps them, so that a report has one writer.
  auto journal = records::Journal::create({}, "");
  if (!journal) return fail(journal.error());
  std::vector<records::Journal> journals;
  journals.push_back(std::move(*journal));
  const diagnosis::CutSurvey cut = diagnosis::cut(judged.survey);
  records::KeptResults results(judged.survey, cut, bench.policy(), bench.options().judging,
                               std::move(journals));
  for (std::size_t i = 0; i < judged.motors.size(); ++i) {
    if (const auto added = results.add(i, *judged.motors[i]); !added) return fail(added.error());
  }
  results.rank();

  auto folder = ExportFolder::make();
  if (!folder) return fail(folder.error());
  std::size_t drawn = 0;
  const std::size_t total = results.totals().findings;
  const auto count = [&](std::size_t more) {
    drawn += more;
    return go_on(std::min(drawn, total), total);
  };
  const auto files = format.write(results, {(*folder)->path().string(), ranks, count});
  if (!files) return fail(count(0) ? files.error() : given_up());
  fs::path file = files->front();
  if (files->size() > 1) {
    file.replace_extension(".zip");
    const auto packed = zip_files((*folder)->path(), *files, (*folder)->path() / file,
                                  [&count] { return count(0); });
    if (!packed) return fail(packed.error());
  }
  std::error_code error;
  const std::uint64_t bytes = fs::file_size((*folder)->path() / file, error);
  if (error) return fail(export_error("the export cannot be read: " + error.message()));
  const std::string name = saved_name(served, file.string(), !ranks.empty());
  const fs::path path = (*folder)->path() / file;
  return Exported{std::make_shared<const FileBody>(
                      FileBody{path, bytes, std::shared_ptr<ExportFolder>(std::move(*folder))}),
                  name};
}

ExportJob::ExportJob(OpenSurvey& served, Format format, std::vector<std::size_t> ranks)
    : id_(random_text().substr(0, 16)) {
  thread_ = std::jthread([this, &served, format = std::move(format), ranks = std::move(ranks)] {
    auto outcome = written(served, format, ranks);
    const std::lock_guard lock(mutex_);
    outcome_.emplace(std::move(outcome));
    is_done_ = true;
  });
}

Result<Exported> ExportJob::written(OpenSurvey& served, const Format& format,
                                    const std::vector<std::size_t>& ranks) {
  try {
    return write_export(served, format, ranks, [this](std::size_t drawn, std::size_t total) {
      drawn_ = drawn;
      total_ = total;
      return !given_up_;
    });
  } catch (const std::exception&) {
    return fail(export_error("there is not enough memory for it; choose fewer findings"));
  }
}

ExportJob::~ExportJob() {
  give_up();
}

std::string ExportJob::view() const {
  const std::lock_guard lock(mutex_);
  ObjectText object;
  object.add("id", id_).add("progress", {{"done", drawn_.load()}, {"total", total_.load()}});
  const bool is_ready = outcome_ && outcome_->has_value();
  object.add("state", !outcome_ ? "writing" : is_ready ? "ready" : "failed");
  object.add("file", is_ready ? Json((*outcome_)->name) : Json());
  object.add("bytes", is_ready ? Json((*outcome_)->file->bytes) : Json());
  return object.add_text("error", outcome_ && !is_ready ? error_text(outcome_->error()) : "null")
      .finish();
}

std::optional<Exported> ExportJob::exported() const {
  const std::lock_guard lock(mutex_);
  if (!outcome_ || !outcome_->has_value()) return std::nullopt;
  return **outcome_;
}

Result<std::shared_ptr<ExportJob>> ExportJobs::begin(OpenSurvey& served, const Format& format,
                                                     std::vector<std::size_t> ranks) {
  std::shared_ptr<ExportJob> dropped;  // gone when the lock is: its thread may be waited for
  const std::lock_guard lock(mutex_);
  const auto under_way =
      std::count_if(jobs_.begin(), jobs_.end(), [](const auto& job) { return !job->is_done(); });
  if (static_cast<std::size_t>(under_way) >= kMostAtOnce) {
    return fail({.kind = ErrorKind::conflict,
                 .what = "other exports are being written",
                 .mend = "wait until they are ready, or cancel one"});
  }
  if (jobs_.size() >= kMostKept) {
    dropped = std::move(jobs_.front());
    jobs_.pop_front();
  }
  jobs_.push_back(std::make_shared<ExportJob>(served, format, std::move(ranks)));
  return jobs_.back();
}

std::shared_ptr<ExportJob> ExportJobs::find(const std::string& id) {
  const std::lock_guard lock(mutex_);
  const auto at =
      std::find_if(jobs_.begin(), jobs_.end(), [&id](const auto& job) { return job->id() == id; });
  return at == jobs_.end() ? nullptr : *at;
}

bool ExportJobs::drop(const std::string& id) {
  const auto job = find(id);
  if (!job) return false;
  job->give_up();
  const std::lock_guard lock(mutex_);
  std::erase(jobs_, job);
  return true;
}

void ExportJobs::drop_all() {
  std::deque<std::shared_ptr<ExportJob>> jobs;
  {
    const std::lock_guard lock(mutex_);
    jobs.swap(jobs_);
  }
  for (const auto& job : jobs) job->give_up();
}

}  // namespace ohmglow::serve
