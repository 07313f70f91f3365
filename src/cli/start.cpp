#include "cli/commands.h"
#include "cli/talk.h"
#include "offered/editing/new_survey.h"

#include <algorithm>
#include <fmt/format.h>
#include <memory>

namespace ohmglow::cli {
namespace {

using records::FoundImage;

class Starting {
 public:
  explicit Starting(std::string folder) : folder_(std::move(folder)) {}

  int run() {
    auto found = records::find_images(folder_, local_time);
    if (!found) return refuse(found.error());
    found_ = std::move(*found);
    for (const Error& error : found_.left_out) complain("start", error);
    if (found_.images.empty()) return refuse(no_image());
    const records::NewSurvey survey = records::new_survey(folder_, found_);
    auto files = records::write_new_survey(folder_, survey);
    if (!files) return refuse(files.error());
    files_ = std::move(*files);
    motors_ = survey.motors.rows.size();
    say();
    return found_.left_out.empty() ? kDone : kSomeNotMeasured;
  }

 private:
  int refuse(const Error& error) const {
    complain("start", error);
    return kNothingDone;
  }

  [[nodiscard]] Error no_image() const {
    return {.kind = ErrorKind::empty,
            .what = "no image in this folder can be read",
            .expected = "temperatures as 16-bit TIFF, PNG, CSV matrix, NPY or FITS",
            .mend = "export the images from the camera's program in one of these",
            .place = {.file = folder_}};
  }

  // --- what is said

  static std::string counted(std::size_t count, std::string_view one, std::string_view more) {
    return fmt::format("{} {}", count, count == 1 ? one : more);
  }

  void say() const {
    print("{}: {}, {}, {} with a photograph\n", folder_,
          counted(found_.images.size(), "image", "images"), counted(motors_, "motor", "motors"),
          count([](const FoundImage& image) { return !image.photo.empty(); }));
    for (const std::string& name : files_.written) print("wrote {}\n", name);
    for (const std::string& name : files_.kept) print("kept {}: it was there\n", name);
    const std::size_t by_clock_of_files =
        count([](const FoundImage& image) { return !image.is_timed_by_file; });
    if (by_clock_of_files > 0) {
      print(
          "taken_at of {} is when the file was written: look whether it is when it was "
          "taken\n",
          counted(by_clock_of_files, "image", "images"));
    }
    say_blanks();
    print("next: fill these in, mark the lugs, then: ohmglow check {}\n", folder_);
  }

  void say_blanks() const {
    print("left blank, for you to fill in:\n");
    if (was_written(records::kNewSurveyFile)) {
      print(
          "  survey.json  thermographer, camera; defaults, where one value holds for every image "
          "(such as \"emissivity\": 0.95)\n");
    }
    if (was_written(records::kNewImagesFile)) {
      say_rows(
          "motor", [](const FoundImage& image) { return image.guessed.motor.empty(); },
          "no name of a file or folder tells; a row without it is not used");
      say_rows(
          "component", [](const FoundImage& image) { return image.guessed.component.empty(); },
          "terminal box, starter, disconnect …; a row without it is not used");
      say_rows(
          "scale, offset, unit", [](const FoundImage& image) { return !image.is_declared; },
          "what the stored numbers mean: the camera's program tells");
      say_rows(
          "emissivity, reflected_c, air_c", [](const FoundImage&) { return true; },
          "of the lugs' surface and the air around them");
      say_rows(
          "load_1_a, load_2_a, load_3_a", [](const FoundImage&) { return true; },
          "line currents while the image was taken");
      say_rows(
          "distance_m, ifov_mrad, wind_m_s", [](const FoundImage&) { return true; },
          "whether the lug is large enough, and cooled");
    }
    if (was_written(records::kNewMotorsFile)) {
      print("  motors.csv   rated_a ({}): from the nameplate\n", counted(motors_, "row", "rows"));
    }
  }

  [[nodiscard]] bool was_written(std::string_view name) const {
    const auto& written = files_.written;
    return std::find(written.begin(), written.end(), name) != written.end();
  }

  template <class Is>
  [[nodiscard]] std::size_t count(const Is& is) const {
    return static_cast<std::size_t>(std::count_if(found_.images.begin(), found_.images.end(), is));
  }

  template <class IsBlank>
  void say_rows(std::string_view columns, const IsBlank& is_blank, std::string_view why) const {
    const auto first = std::find_if(found_.images.begin(), found_.images.end(), is_blank);
    if (first == found_.images.end()) return;
    std::size_t rows = 0;
    for (const FoundImage& image : found_.images)
      rows += is_blank(image) ? static_cast<std::size_t>(image.pages) : 0;
    const std::string of =
        count(is_blank) == found_.images.size()
            ? counted(rows, "row", "rows")
            : fmt::format("{}, first {}", counted(rows, "row", "rows"), first->file);
    print("  images.csv   {} ({}): {}\n", columns, of, why);
  }

  std::string folder_;
  records::FoundImages found_;
  records::WrittenSurvey files_;
  std::size_t motors_ = 0;
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
