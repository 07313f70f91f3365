#include "cli/commands.h"
#include "cli/talk.h"
#include "offered/files/folder.h"
#include "offered/files/json_writer.h"
#include "offered/imaging/taken_at.h"
#include "offered/intake/bare_folder.h"
#include "offered/tabular/tabular.h"
#include "ohmglow/imaging.h"

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <fmt/format.h>
#include <memory>
#include <set>

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kSurvey = "survey.json";
constexpr std::string_view kImages = "images.csv";
constexpr std::string_view kMotors = "motors.csv";

/// What is known of an image before a person says anything.
struct Seen {
  std::string file;
  int pages = 1;
  bool is_declared = false;
  std::optional<Moment> taken_at = {};  ///< by the file itself, else when it was written
  records::GuessedNames guessed = {};
  std::string photo = {};
};

/// Local time as the camera's clock has it.
std::optional<Moment> written_at(const fs::path& path) {
  std::error_code error;
  const auto written = fs::last_write_time(path, error);
  if (error) return std::nullopt;
  const auto system = std::chrono::file_clock::to_sys(written);
  const std::time_t seconds = std::chrono::system_clock::to_time_t(
      std::chrono::time_point_cast<std::chrono::system_clock::duration>(system));
  std::tm local{};
  localtime_r(&seconds, &local);
  return Moment::parse(fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}", local.tm_year + 1900,
                                   local.tm_mon + 1, local.tm_mday, local.tm_hour, local.tm_min,
                                   local.tm_sec));
}

std::optional<double> seconds_of(const std::optional<Moment>& moment) {
  if (!moment) return std::nullopt;
  return static_cast<double>(moment->time.time_since_epoch().count());
}

/// Whether an image file is a picture that people look at: eight bits, or colours.
bool is_visible_png(std::span<const std::byte> file) {
  constexpr std::size_t kDepth = 24;  // PNG (third edition), 11.2.1: behind width and height
  constexpr auto kSignature = std::byte{0x89};
  return file.size() > kDepth && file[0] == kSignature && file[1] == std::byte{'P'} &&
         file[kDepth] == std::byte{8};
}

class Starting {
 public:
  explicit Starting(fs::path folder) : folder_(std::move(folder)) {}

  int run() {
    if (const auto looked = look(); !looked) return refuse(looked.error());
    pair();
    for (const auto& [name, write] :
         {std::pair{kSurvey, &Starting::survey_text}, std::pair{kImages, &Starting::images_text},
          std::pair{kMotors, &Starting::motors_text}}) {
      if (const auto written = write_new(name, (this->*write)()); !written) {
        return refuse(written.error());
      }
    }
    say();
    return left_out_ == 0 ? kDone : kSomeNotMeasured;
  }

 private:
  int refuse(const Error& error) const {
    complain("start", error);
    return kNothingDone;
  }

  Result<void> look() {
    std::error_code error;
    if (!fs::is_directory(folder_, error)) {
      return fail({.kind = ErrorKind::missing,
                   .what = "there is no such folder",
                   .mend = "copy the camera's images into a folder and name that",
                   .place = {.file = folder_.string()}});
    }
    const records::BareFiles files = records::bare_files(folder_);
    for (const std::string& file : files.photos) take_photo(file, {});
    for (const std::string& file : files.images) look_at(file);
    if (!seen_.empty()) return {};
    return fail({.kind = ErrorKind::empty,
                 .what = "no image in this folder can be read",
                 .expected = "temperatures as 16-bit TIFF, PNG, CSV matrix, NPY or FITS",
                 .mend = "export the images from the camera's program in one of these",
                 .place = {.file = folder_.string()}});
  }

  void take_photo(const std::string& file, std::span<const std::byte> bytes) {
    std::vector<std::byte> own;
    if (bytes.empty()) {
      if (auto read = imaging::read_bytes(folder_ / file, imaging::ReadLimits{}.max_bytes)) {
        own = std::move(*read);
        bytes = own;
      }
    }
    auto moment = imaging::taken_at(bytes);
    if (!moment) moment = written_at(folder_ / file);
    photos_.push_back({file, seconds_of(moment)});
  }

  void look_at(const std::string& file) {
    const auto bytes = imaging::read_bytes(folder_ / file, imaging::ReadLimits{}.max_bytes);
    if (!bytes) return leave_out(file, bytes.error());
    if (is_visible_png(*bytes)) return take_photo(file, *bytes);
    const auto stored = imaging::read_stored(*bytes, file);
    if (!stored) return leave_out(file, stored.error());
    Seen image{.file = file, .pages = stored->pages};
    image.is_declared = imaging::resolve_declaration(*stored, {}).has_value();
    image.taken_at = imaging::taken_at(*bytes);
    if (!image.taken_at) {
      image.taken_at = written_at(folder_ / file);
      ++by_clock_of_files_;
    }
    image.guessed = records::guess_names(file);
    seen_.push_back(std::move(image));
  }

  void leave_out(const std::string& file, const Error& error) {
    complain("start", error.in_file(file));
    ++left_out_;
  }

  void pair() {
    std::vector<records::TimedFile> images;
    for (const Seen& image : seen_) images.push_back({image.file, seconds_of(image.taken_at)});
    const auto pairs = records::pair_photos(images, photos_);
    for (std::size_t i = 0; i < seen_.size(); ++i) {
      if (!pairs[i]) continue;
      seen_[i].photo = photos_[*pairs[i]].file;
      ++paired_;
    }
  }

  /// Nothing that is there is touched, under whatever name it is kept.
  Result<void> write_new(std::string_view name, const std::string& text) {
    const bool is_table = name != kSurvey;
    if (is_table ? records::has_table(folder_, name) : fs::exists(folder_ / name)) {
      kept_.emplace_back(name);
      return {};
    }
    auto written = records::write_atomically(folder_ / name, text);
    if (written) written_.emplace_back(name);
    return written;
  }

  [[nodiscard]] std::string survey_text() const {
    // A trailing slash leaves the last name empty.
    const fs::path whole = (fs::absolute(folder_) / "").lexically_normal().parent_path();
    std::optional<std::chrono::sys_days> last;
    for (const Seen& image : seen_) {
      if (image.taken_at && (!last || image.taken_at->day > *last)) last = image.taken_at->day;
    }
    std::string text = "{\n  \"site\": " + json_string(whole.filename().string()) + ",\n";
    if (last) text += fmt::format("  \"surveyed_on\": \"{}\",\n", day_text(*last));
    return text +
           "  \"thermographer\": \"\",\n  \"thermographer_level\": \"\",\n"
           "  \"thermographer_certificate\": \"\",\n"
           "  \"camera\": { \"make\": \"\", \"model\": \"\", \"serial\": \"\", \"lens\": \"\" },\n"
           "  \"defaults\": {}\n}\n";
  }

  static std::string json_string(std::string_view text) {
    records::JsonWriter json;
    json.string(text);
    return json.take();
  }
  static std::string day_text(std::chrono::sys_days days) {
    const std::chrono::year_month_day day(days);
    return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(day.year()),
                       static_cast<unsigned>(day.month()), static_cast<unsigned>(day.day()));
  }

  [[nodiscard]] std::string images_text() const {
    std::vector<std::vector<std::string>> rows{
        {"file", "motor", "component", "taken_at", "page", "emissivity", "reflected_c", "air_c",
         "distance_m", "ifov_mrad", "wind_m_s", "load_1_a", "load_2_a", "load_3_a", "scale",
         "offset", "unit", "photo", "note"}};
    for (const Seen& image : seen_) {
      for (int page = 1; page <= image.pages; ++page) {
        auto& row = rows.emplace_back(rows.front().size());
        row[0] = image.file;
        row[1] = image.guessed.motor;
        row[2] = image.guessed.component;
        if (image.taken_at) row[3] = image.taken_at->text;
        if (image.pages > 1) row[4] = std::to_string(page);
        row[row.size() - 2] = image.photo;
      }
    }
    return tabular_text(rows);
  }

  [[nodiscard]] std::string motors_text() const {
    std::vector<std::vector<std::string>> rows{
        {"motor", "description", "area", "lockout", "rated_kw", "rated_v", "rated_a", "connection",
         "conductor_limit_c", "lug_area_cm2", "criticality"}};
    for (const std::string& motor : motors()) rows.emplace_back(rows.front().size())[0] = motor;
    return tabular_text(rows);
  }

  /// Cells as they are: names are looked up by them.
  static std::string tabular_text(const std::vector<std::vector<std::string>>& rows) {
    std::string text;
    for (const auto& row : rows) {
      for (std::size_t i = 0; i < row.size(); ++i) {
        if (i > 0) text += ',';
        text += tabular::cell_text(row[i], ',');
      }
      text += '\n';
    }
    return text;
  }

  [[nodiscard]] std::set<std::string> motors() const {
    std::set<std::string> names;
    for (const Seen& image : seen_) {
      if (!image.guessed.motor.empty()) names.insert(image.guessed.motor);
    }
    return names;
  }

  // --- what is said

  static std::string counted(std::size_t count, std::string_view one, std::string_view more) {
    return fmt::format("{} {}", count, count == 1 ? one : more);
  }

  void say() const {
    print("{}: {}, {}, {} with a photograph\n", folder_.string(),
          counted(seen_.size(), "image", "images"), counted(motors().size(), "motor", "motors"),
          paired_);
    for (const std::string& name : written_) print("wrote {}\n", name);
    for (const std::string& name : kept_) print("kept {}: it was there\n", name);
    if (by_clock_of_files_ > 0) {
      print(
          "taken_at of {} is when the file was written: look whether it is when it was "
          "taken\n",
          counted(by_clock_of_files_, "image", "images"));
    }
    say_blanks();
    print("next: fill these in, mark the lugs, then: ohmglow check {}\n", folder_.string());
  }

  void say_blanks() const {
    print("left blank, for you to fill in:\n");
    if (was_written(kSurvey)) {
      print(
          "  survey.json  thermographer, camera; defaults, where one value holds for every image "
          "(such as \"emissivity\": 0.95)\n");
    }
    if (was_written(kImages)) {
      say_rows(
          "motor", [](const Seen& image) { return image.guessed.motor.empty(); },
          "no name of a file or folder tells; a row without it is not used");
      say_rows(
          "component", [](const Seen& image) { return image.guessed.component.empty(); },
          "terminal box, starter, disconnect …; a row without it is not used");
      say_rows(
          "scale, offset, unit", [](const Seen& image) { return !image.is_declared; },
          "what the stored numbers mean: the camera's program tells");
      say_rows(
          "emissivity, reflected_c, air_c", [](const Seen&) { return true; },
          "of the lugs' surface and the air around them");
      say_rows(
          "load_1_a, load_2_a, load_3_a", [](const Seen&) { return true; },
          "line currents while the image was taken");
      say_rows(
          "distance_m, ifov_mrad, wind_m_s", [](const Seen&) { return true; },
          "whether the lug is large enough, and cooled");
    }
    if (was_written(kMotors)) {
      print("  motors.csv   rated_a ({}): from the nameplate\n",
            counted(motors().size(), "row", "rows"));
    }
  }

  [[nodiscard]] bool was_written(std::string_view name) const {
    return std::find(written_.begin(), written_.end(), name) != written_.end();
  }

  template <class IsBlank>
  void say_rows(std::string_view columns, const IsBlank& is_blank, std::string_view why) const {
    const auto first = std::find_if(seen_.begin(), seen_.end(), is_blank);
    if (first == seen_.end()) return;
    std::size_t rows = 0;
    for (const Seen& image : seen_)
      rows += is_blank(image) ? static_cast<std::size_t>(image.pages) : 0;
    const auto count =
        static_cast<std::size_t>(std::count_if(seen_.begin(), seen_.end(), is_blank));
    const std::string of =
        count == seen_.size()
            ? counted(rows, "row", "rows")
            : fmt::format("{}, first {}", counted(rows, "row", "rows"), first->file);
    print("  images.csv   {} ({}): {}\n", columns, of, why);
  }

  fs::path folder_;
  std::vector<Seen> seen_;
  std::vector<records::TimedFile> photos_;
  std::size_t left_out_ = 0;
  std::size_t by_clock_of_files_ = 0;
  std::size_t paired_ = 0;
  std::vector<std::string> written_;
  std::vector<std::string> kept_;
};

}  // namespace

void add_start(CLI::App& program, int& exit_code) {
  const auto folder = std::make_shared<std::string>();
  CLI::App* command = program.add_subcommand(
      "start", "Make a survey of a bare folder of images: survey.json, images.csv, motors.csv");
  command->add_option("DIR", *folder, "Folder with the camera's images")->required();
  command->footer(
      "Files that are there are never written over. What a person must fill in is left blank and "
      "listed.\n"
      "Example: ohmglow start bexley-march");
  command->callback([folder, &exit_code] { exit_code = Starting(*folder).run(); });
}

}  // namespace ohmglow::cli
