#include "camera.h"
#include "offered/demo/demo.h"
#include "offered/editing/survey_edits.h"
#include "offered/files/folder.h"
#include "tables.h"
#include "truth.h"

#include <system_error>

namespace ohmglow::demo {
namespace {

namespace fs = std::filesystem;

// Streams of the seed: the meter's, then one an image.
constexpr std::uint64_t kMeterStream = 0;
// How far the lugs have warmed up on the page that was taken before the start.
constexpr double kBeforeTheStart = 0.05;
// The second survey's noise is its own.
constexpr std::uint64_t kAfterTheRepairs = 1000;

Error error_at(const fs::path& path, ErrorKind kind, std::string what, std::string mend) {
  Error error;
  error.kind = kind;
  error.what = std::move(what);
  error.mend = std::move(mend);
  error.place.file = path.string();
  return error;
}

/// Makes the folder and route/ in it; refuses one that already holds something.
Result<void> prepare(const fs::path& folder) {
  std::error_code trouble;
  if (fs::exists(folder, trouble)) {
    const bool usable = fs::is_directory(folder, trouble) && fs::is_empty(folder, trouble);
    if (!usable && !trouble) {
      return fail(error_at(folder, ErrorKind::conflict,
                           "the demo survey is not written over what is there",
                           "name a folder that is empty or does not exist yet"));
    }
  }
  if (!trouble) fs::create_directories(folder / "route", trouble);
  if (trouble) {
    Error error = error_at(folder, ErrorKind::system, "the folder cannot be made", "");
    error.found = trouble.message();
    return fail(error);
  }
  return {};
}

/// The pages of one image file as its encoding stores them; the last is the one to measure.
std::vector<cv::Mat> take(const TrueShot& shot, const Encoding& encoding, Noise& noise) {
  std::vector<cv::Mat> pages;
  for (int page = 1; page <= encoding.pages; ++page) {
    const double warmed = page == encoding.pages ? 1 : kBeforeTheStart;
    const Surfaces surfaces = paint(shot.picture, *shot.shot, warmed);
    const cv::Mat celsius =
        stored_celsius(received(surfaces, *shot.shot), shot.picture, *shot.shot, noise);
    pages.push_back(to_stored(celsius, encoding));
  }
  return pages;
}

Result<void> write_shot(const fs::path& folder, const TrueShot& shot, Noise& noise) {
  const std::string file = file_of(*shot.shot);
  const Encoding& encoding = encoding_of(shot.shot->encoding);
  auto written = write_image(folder / file, encoding, take(shot, encoding, noise));
  if (!written || shot.shot->outcome == Outcome::unmarked) return written;
  return records::write_marks(folder, mark(shot.picture, *shot.shot, file));
}

}  // namespace

Result<void> write_survey(const fs::path& folder, const Options& options) {
  if (auto prepared = prepare(folder); !prepared) return prepared;

  const std::vector<MotorStory> motors =
      options.after ? story_after(options.small) : story(options.small);
  const std::uint64_t first_stream = options.after ? kAfterTheRepairs : 0;
  std::vector<TrueShot> shots;
  for (const MotorStory& motor : motors) {
    for (const Shot& shot : motor.shots) {
      Noise noise(options.seed, first_stream + shots.size() + 1);
      shots.push_back({&motor, &shot, compose(motor, shot, noise)});
      if (auto written = write_shot(folder, shots.back(), noise); !written) return written;
    }
  }
  Noise meter(options.seed, first_stream + kMeterStream);
  const std::vector<std::pair<std::string, std::string>> texts{
      {"survey.json", survey_json(options.after ? kSurveyedAfter : kSurveyedOn)},
      {"motors.csv", motors_csv(motors)},
      {"images.csv", images_csv(motors)},
      {"readings.csv", readings_csv(motors, meter)},
      {"circuit.csv", circuit_csv(motors)},
      {"truth.json",
       truth_json(shots, options.after ? repairs(options.small) : std::vector<Repair>{})},
  };
  for (const auto& [name, text] : texts) {
    if (auto written = records::write_atomically(folder / name, text); !written) return written;
  }
  return {};
}

}  // namespace ohmglow::demo
