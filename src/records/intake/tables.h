#pragma once
/// The tables and survey.json, each into its part of a survey.

#include "offered/intake/survey_tables.h"
#include "offered/vocabulary/image_rows.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"
#include "records/intake/columns.h"
#include "records/intake/sheet.h"

#include <filesystem>
#include <functional>
#include <set>
#include <string>

namespace ohmglow::records {

inline constexpr std::string_view kSurveyFile = "survey.json";
inline constexpr std::string_view kMotorsFile = "motors.csv";
inline constexpr std::string_view kImagesFile = "images.csv";
inline constexpr std::string_view kReadingsFile = "readings.csv";
inline constexpr std::string_view kCircuitFile = "circuit.csv";
inline constexpr std::string_view kSweepsFile = "sweeps.csv";
inline constexpr std::string_view kAirGapFile = "air_gap.csv";
inline constexpr std::string_view kMarksFolder = "marks";

/// What survey.json says for images that do not say it themselves.
struct ImageDefaults {
  ImageEntry entry;
  std::set<std::string> given;  ///< the columns that `entry` holds
};

/// The columns of images.csv.
[[nodiscard]] const std::vector<Column<ImageEntry>>& image_columns();
/// The names of the columns of readings.csv, in the order in which they are described.
[[nodiscard]] std::vector<std::string_view> reading_column_names();
/// The header row of a readings.csv that is begun.
[[nodiscard]] std::string readings_header();
/// The same of sweeps.csv and air_gap.csv.
[[nodiscard]] std::vector<std::string_view> sweep_column_names();
[[nodiscard]] std::vector<std::string_view> air_gap_column_names();
/// Names values that cannot hold together, be it of a row or of the defaults.
[[nodiscard]] std::optional<Error> contradiction(const ImageParameters& parameters);
/// Names what is missing beside the values that are given.
[[nodiscard]] std::optional<Error> omission(const ImageParameters& parameters);

/// Fills the survey's own members. Errors: whatever is wrong with survey.json; none where it is
/// absent.
[[nodiscard]] Result<ImageDefaults> read_survey_file(const std::filesystem::path& folder,
                                                     Survey& survey);

void read_motors(const std::filesystem::path& folder, Survey& survey);
void read_readings(const std::filesystem::path& folder, Survey& survey);
void read_circuit(const std::filesystem::path& folder, Survey& survey);
/// After survey.json, whose day names a sweep that has neither a name nor a day.
void read_sweeps(const std::filesystem::path& folder, Survey& survey);
void read_air_gaps(const std::filesystem::path& folder, Survey& survey);
/// Every image file that is named, be its row usable or not, sorted; absent where that cannot be
/// told.
using ListedFiles = std::optional<std::vector<std::string>>;
struct ReadImages {
  ImageRows images;
  ListedFiles named;
};
/// Called with each image in its order while the table is read.
using SeeImage = std::function<void(const ImageEntry&)>;
/// The images that images.csv lists, or, without that file, all that the folder holds. Of the
/// survey the band is looked at, and problems are added.
[[nodiscard]] ReadImages read_images(const std::filesystem::path& folder,
                                     const ImageDefaults& defaults, Survey& survey,
                                     const SeeImage& see = {});
/// The same from the table at hand.
[[nodiscard]] ReadImages read_listed(const std::filesystem::path& folder, Sheet sheet,
                                     const ImageDefaults& defaults, Problems& problems,
                                     const SeeImage& see = {});
/// All of them.
[[nodiscard]] std::vector<ImageEntry> entries_of(const ImageRows& images);
void read_motors(const Sheet& sheet, Survey& survey);
void read_readings(const Sheet& sheet, Survey& survey);
void read_sweeps(const Sheet& sheet, Survey& survey);
void read_air_gaps(const Sheet& sheet, Survey& survey);
/// Whether a file of a survey without images.csv is taken for an image, by its name.
[[nodiscard]] bool is_image_name(const std::filesystem::path& name);
/// Problems of mark files that belong to no image. What cannot be listed goes to `problems`.
[[nodiscard]] std::vector<Problem> marks_of_no_image(const std::filesystem::path& folder,
                                                     const ListedFiles& listed,
                                                     std::vector<Problem>& problems);
/// The name of an image's mark file, from the survey folder.
[[nodiscard]] std::string marks_name(std::string_view image);
/// The mark files of the survey's images.
void read_all_marks(const std::filesystem::path& folder, const ListedFiles& listed, Survey& survey);

/// "ohm", "a" or "v".
[[nodiscard]] std::string_view base_unit_of(Test test);

}  // namespace ohmglow::records
