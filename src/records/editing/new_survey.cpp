#include "offered/editing/new_survey.h"

#include "offered/files/folder.h"
#include "offered/files/json_writer.h"
#include "offered/imaging/taken_at.h"
#include "offered/tabular/tabular.h"
#include "ohmglow/imaging.h"
#include "records/editing/folder_lock.h"
#include "records/files/files.h"
#include "records/intake/sheet.h"
#include "records/intake/tables.h"

#include <algorithm>
#include <array>
#include <chrono>
#include <ctime>
#include <fmt/format.h>
#include <set>
#include <span>
#include <utility>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

/// Local time as the camera's clock has it.
std::optional<Moment> written_at(const fs::path& path, const LocalTime& local_time) {
  std::error_code error;
  const auto written = fs::last_write_time(path, error);
  if (error) return std::nullopt;
  const auto system = std::chrono::file_clock::to_sys(written);
  const std::time_t seconds = std::chrono::system_clock::to_time_t(
      std::chrono::time_point_cast<std::chrono::system_clock::duration>(system));
  const std::tm local = local_time(seconds);
  return Moment::parse(fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}", local.tm_year + 1900,
                                   local.tm_mon + 1, local.tm_mday, local.tm_hour, local.tm_min,
                                   local.tm_sec));
}

std::optional<double> seconds_of(const std::optional<Moment>& moment) {
  if (!moment) return std::nullopt;
  return static_cast<double>(moment->time.time_since_epoch().count());
}

class Finding {
 public:
  Finding(const fs::path& folder, const LocalTime& local_time)
      : folder_(folder), local_time_(local_time) {}

  FoundImages all() {
    const BareFiles files = bare_files(folder_);
    for (const std::string& file : files.photos) take_photo(file, {});
    for (const std::string& file : files.images) look_at(file);
    pair();
    for (const TimedFile& photo : photos_) found_.photos.push_back(photo.file);
    return std::move(found_);
  }

 private:
  void take_photo(const std::string& file, std::span<const std::byte> bytes) {
    std::vector<std::byte> own;
    if (bytes.empty()) {
      if (auto read = imaging::read_bytes(folder_ / file, imaging::ReadLimits{}.max_bytes)) {
        own = std::move(*read);
        bytes = own;
      }
    }
    auto moment = imaging::taken_at(bytes);
    if (!moment) moment = written_at(folder_ / file, local_time_);
    photos_.push_back({file, seconds_of(moment)});
  }

  void look_at(const std::string& file) {
    const auto bytes = imaging::read_bytes(folder_ / file, imaging::ReadLimits{}.max_bytes);
    if (!bytes) return leave_out(file, bytes.error());
    if (is_visible_png(*bytes)) return take_photo(file, *bytes);
    const auto stored = imaging::read_stored(*bytes, file);
    if (!stored) return leave_out(file, stored.error());
    FoundImage image{.file = file, .pages = stored->pages};
    image.is_declared = imaging::resolve_declaration(*stored, {}).has_value();
    image.taken_at = imaging::taken_at(*bytes);
    image.is_timed_by_file = image.taken_at.has_value();
    if (!image.taken_at) image.taken_at = written_at(folder_ / file, local_time_);
    image.guessed = guess_names(file);
    found_.images.push_back(std::move(image));
  }

  void leave_out(const std::string& file, const Error& error) {
    found_.left_out.push_back(error.in_file(file));
  }

  void pair() {
    std::vector<TimedFile> images;
    for (const FoundImage& image : found_.images) {
      images.push_back({image.file, seconds_of(image.taken_at)});
    }
    const auto pairs = pair_photos(images, photos_);
    for (std::size_t i = 0; i < images.size(); ++i) {
      if (pairs[i]) found_.images[i].photo = photos_[*pairs[i]].file;
    }
  }

  const fs::path& folder_;
  const LocalTime& local_time_;
  FoundImages found_;
  std::vector<TimedFile> photos_;
};

std::string day_text(std::chrono::sys_days days) {
  const std::chrono::year_month_day day(days);
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(day.year()),
                     static_cast<unsigned>(day.month()), static_cast<unsigned>(day.day()));
}

NewTable images_table(const FoundImages& found) {
  NewTable table;
  table.columns = {"file",       "motor",       "component", "taken_at",   "page",
                   "emissivity", "reflected_c", "air_c",     "distance_m", "ifov_mrad",
                   "wind_m_s",   "load_1_a",    "load_2_a",  "load_3_a",   "scale",
                   "offset",     "unit",        "photo",     "note"};
  for (const FoundImage& image : found.images) {
    for (int page = 1; page <= image.pages; ++page) {
      auto& row = table.rows.emplace_back(table.columns.size());
      row[0] = image.file;
      row[1] = image.guessed.motor;
      row[2] = image.guessed.component;
      if (image.taken_at) row[3] = image.taken_at->text;
      if (image.pages > 1) row[4] = std::to_string(page);
      row[row.size() - 2] = image.photo;
    }
  }
  return table;
}

NewTable motors_table(const FoundImages& found) {
  std::set<std::string> names;
  for (const FoundImage& image : found.images) {
    if (!image.guessed.motor.empty()) names.insert(image.guessed.motor);
  }
  NewTable table;
  table.columns = {"motor",      "description", "area",       "lockout",           "rated_kw",
                   "rated_v",    "rated_a",     "connection", "conductor_limit_c", "lug_area_cm2",
                   "criticality"};
  for (const std::string& motor : names) table.rows.emplace_back(table.columns.size())[0] = motor;
  return table;
}

/// Cells as they are: names are looked up by them.
std::string text_of(const NewTable& table) {
  std::string text;
  const auto add = [&text](const std::vector<std::string>& row) {
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (i > 0) text += ',';
      text += tabular::cell_text(row[i], ',');
    }
    text += '\n';
  };
  add(table.columns);
  for (const auto& row : table.rows) add(row);
  return text;
}

std::string json_string(std::string_view text) {
  JsonWriter json;
  json.string(text);
  return json.take();
}

std::string survey_text(const NewSurvey& survey) {
  std::string text = "{\n  \"site\": " + json_string(survey.site) + ",\n";
  if (!survey.surveyed_on.empty()) {
    text += "  \"surveyed_on\": " + json_string(survey.surveyed_on) + ",\n";
  }
  return text + "  \"thermographer\": " + json_string(survey.thermographer) +
         ",\n  \"thermographer_level\": \"\",\n"
         "  \"thermographer_certificate\": \"\",\n"
         "  \"camera\": { \"make\": \"\", \"model\": \"\", \"serial\": \"\", \"lens\": \"\" },\n"
         "  \"defaults\": {}\n}\n";
}

}  // namespace

bool is_visible_png(std::span<const std::byte> file) {
  constexpr std::size_t kDepth = 24;  // PNG (third edition), 11.2.1: behind width and height
  constexpr auto kSignature = std::byte{0x89};
  return file.size() > kDepth && file[0] == kSignature && file[1] == std::byte{'P'} &&
         file[kDepth] == std::byte{8};
}

Result<FoundImages> find_images(const fs::path& folder, const LocalTime& local_time) {
  std::error_code error;
  if (!fs::is_directory(folder, error)) {
    return fail({.kind = ErrorKind::missing,
                 .what = "there is no such folder",
                 .mend = "copy the camera's images into a folder and name that",
                 .place = {.file = folder.string()}});
  }
  return Finding(folder, local_time).all();
}

NewSurvey new_survey(const fs::path& folder, const FoundImages& found) {
  // A trailing slash leaves the last name empty.
  const fs::path whole = (fs::absolute(folder) / "").lexically_normal().parent_path();
  std::optional<std::chrono::sys_days> last;
  for (const FoundImage& image : found.images) {
    if (image.taken_at && (!last || image.taken_at->day > *last)) last = image.taken_at->day;
  }
  return {.site = whole.filename().string(),
          .surveyed_on = last ? day_text(*last) : "",
          .images = images_table(found),
          .motors = motors_table(found)};
}

std::vector<Problem> problems_of(const fs::path& folder, const NewSurvey& survey) {
  Survey read;
  if (!survey.surveyed_on.empty() && !Moment::parse(survey.surveyed_on)) {
    read.problems.push_back({.file = std::string(kNewSurveyFile),
                             .row = {},
                             .column = "surveyed_on",
                             .message = "this is not a date; expected one such as 2026-03-04"});
  }
  for (const auto& [file, table] :
       {std::pair{kNewImagesFile, &survey.images}, std::pair{kNewMotorsFile, &survey.motors}}) {
    auto sheet = Sheet::parse(text_of(*table), file);
    if (!sheet) {
      read.problems.push_back(problem_from(sheet.error()));
    } else if (file == kNewImagesFile) {
      static_cast<void>(read_listed(folder, std::move(*sheet), {}, read.problems));
    } else {
      read_motors(*sheet, read);
    }
  }
  return std::move(read.problems);
}

bool holds_survey(const fs::path& folder) {
  constexpr std::array kTables{kMotorsFile,  kImagesFile, kReadingsFile,
                               kCircuitFile, kSweepsFile, kAirGapFile};
  return is_present(folder / kNewSurveyFile) ||
         std::any_of(kTables.begin(), kTables.end(),
                     [&folder](std::string_view table) { return has_table(folder, table); });
}

Result<WrittenSurvey> write_new_survey(const fs::path& folder, const NewSurvey& survey) {
  const auto lock = FolderLock::take(folder);
  if (!lock) return fail(lock.error());
  WrittenSurvey files;
  for (const auto& [name, text] : {std::pair{kNewSurveyFile, survey_text(survey)},
                                   std::pair{kNewImagesFile, text_of(survey.images)},
                                   std::pair{kNewMotorsFile, text_of(survey.motors)}}) {
    const bool is_there =
        name == kNewSurveyFile ? is_present(folder / name) : has_table(folder, name);
    if (is_there) {
      files.kept.emplace_back(name);
      continue;
    }
    if (const auto written = write_atomically(folder / name, text); !written) {
      return fail(written.error());
    }
    files.written.emplace_back(name);
  }
  return files;
}

}  // namespace ohmglow::records
