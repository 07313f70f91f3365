#pragma once
/// A survey made of a bare folder of images: what is known of them before a person says anything,
/// the tables as they would be written, and the writing.

#include "offered/intake/bare_folder.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <cstddef>
#include <ctime>
#include <filesystem>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

inline constexpr std::string_view kNewSurveyFile = "survey.json";
inline constexpr std::string_view kNewImagesFile = "images.csv";
inline constexpr std::string_view kNewMotorsFile = "motors.csv";

/// A moment as the clock on this machine's wall has it; the library does not ask the environment.
using LocalTime = std::function<std::tm(std::time_t)>;

struct FoundImage {
  std::string file;
  int pages = 1;
  bool is_declared = false;             ///< the file says what its stored numbers mean
  std::optional<Moment> taken_at = {};  ///< by the file itself, else when it was written
  bool is_timed_by_file = false;        ///< the former
  GuessedNames guessed = {};
  std::string photo = {};
};

/// Whether an image file is a picture that people look at: eight bits, or colours.
[[nodiscard]] bool is_visible_png(std::span<const std::byte> file);

struct FoundImages {
  std::vector<FoundImage> images;
  std::vector<std::string> photos;
  std::vector<Error> left_out;  ///< images by their names that cannot be read
};
/// Reads the images of a folder and pairs them with its photographs. Errors: no such folder.
[[nodiscard]] Result<FoundImages> find_images(const std::filesystem::path& folder,
                                              const LocalTime& local_time);

/// A table as texts, as it is going to be written.
struct NewTable {
  std::vector<std::string> columns;
  std::vector<std::vector<std::string>> rows;
};

struct NewSurvey {
  std::string site;
  std::string surveyed_on;  ///< empty: not known
  std::string thermographer = {};
  NewTable images;
  NewTable motors;
};
/// What can be told of the images found; the other cells are blank, for a person to fill.
[[nodiscard]] NewSurvey new_survey(const std::filesystem::path& folder, const FoundImages& found);

/// What the survey's reader would complain about in the tables.
[[nodiscard]] std::vector<Problem> problems_of(const std::filesystem::path& folder,
                                               const NewSurvey& survey);

/// Whether a folder holds survey.json or any table of a survey.
[[nodiscard]] bool holds_survey(const std::filesystem::path& folder);

/// Files by their names.
struct WrittenSurvey {
  std::vector<std::string> written;
  std::vector<std::string> kept;  ///< they were there, under whatever name: nothing is written over
};
/// Errors: a file that cannot be written.
[[nodiscard]] Result<WrittenSurvey> write_new_survey(const std::filesystem::path& folder,
                                                     const NewSurvey& survey);

}  // namespace ohmglow::records
