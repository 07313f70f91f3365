#pragma once
/// A survey folder, and the band policy that it is judged by, as values.

#include "ohmglow/result.h"
#include "ohmglow/severity.h"
#include "ohmglow/survey.h"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// Reads survey.json, motors.csv, images.csv, readings.csv and marks/ of a folder. Bad rows and bad
/// mark files become problems; the rest is kept. Errors, before anything is measured: a folder that
/// is not there, a broken survey.json.
[[nodiscard]] Result<Survey> read_survey(const std::filesystem::path& folder);

/// A policy by its built-in name ("neta_mts", "mil_std_2194"), by a file inside the survey folder,
/// or by a path; empty = the default. Errors: unknown name, unreadable or broken policy file.
[[nodiscard]] Result<severity::Policy> read_policy(std::string_view name_or_file,
                                                   const std::filesystem::path& survey_folder);
[[nodiscard]] std::vector<std::string> policy_names();

/// A policy from the text of its JSON file.
[[nodiscard]] Result<severity::Policy> parse_policy(std::string_view json, std::string_view file);

}  // namespace ohmglow::records
