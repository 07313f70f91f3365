#pragma once
/// What the survey's tables know by name, and the tables without the marks.

#include "offered/diagnosis/motors.h"
#include "offered/vocabulary/image_rows.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// read_survey() without marks/: for a folder whose marks are known already.
[[nodiscard]] Result<Survey> read_tables(const std::filesystem::path& folder);

/// A survey whose images and marks are read when they are needed, one image at a time.
struct LargeSurvey {
  Survey survey;  ///< without both
  ImageRows images;
  diagnosis::CutSurvey cut;
  std::vector<Problem> of_marks;  ///< of mark files that belong to no image
};
/// Errors: those of read_survey().
[[nodiscard]] Result<LargeSurvey> read_large_survey(const std::filesystem::path& folder);
/// Adds the marks of an image to the survey, where it has any, with the record of their file and
/// what is wrong with them.
void take_in_marks(const std::filesystem::path& folder, const std::string& image, Survey& survey);

/// What the tables are called in a folder: under their usual names where they are missing, empty
/// where it cannot be told which file is meant.
[[nodiscard]] TableNames table_names(const std::filesystem::path& folder);

/// readings.csv alone, and what is wrong with it.
struct ReadReadings {
  std::vector<Reading> readings;
  std::vector<ShopTest> shop_tests;
  std::vector<Problem> problems;
};
[[nodiscard]] ReadReadings read_readings(const std::filesystem::path& folder);

/// "winding_resistance", as tables and findings write it.
[[nodiscard]] std::string_view name_of(Test test);
[[nodiscard]] std::string_view name_of(ShopTestKind kind);
[[nodiscard]] std::vector<Test> all_tests();
/// The units in which a test's values may be written, the usual one first.
[[nodiscard]] std::vector<std::string_view> units_of(Test test);
[[nodiscard]] std::vector<std::string_view> units_of(ShopTestKind kind);
[[nodiscard]] std::vector<ShopTestKind> all_shop_tests();
/// Of sweeps.csv and of air_gap.csv, likewise.
[[nodiscard]] std::vector<std::string_view> sweep_units();
[[nodiscard]] std::vector<std::string_view> air_gap_units();

}  // namespace ohmglow::records
