#pragma once
/// The survey folder in, findings out. The only room that knows the tables, the JSON files and
/// their schemas.

#include "ohmglow/diagnosis.h"
#include "ohmglow/imaging.h"
#include "ohmglow/result.h"
#include "ohmglow/severity.h"
#include "ohmglow/survey.h"
#include "ohmglow/verification.h"

#include <cstddef>
#include <filesystem>
#include <optional>
#include <span>
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

/// A path of a table, resolved inside the survey folder. Errors: outside_survey for absolute paths,
/// "..", and links that lead out.
[[nodiscard]] Result<std::filesystem::path> resolve_inside(const std::filesystem::path& folder,
                                                           std::string_view relative);

/// Where the marks of an image live: marks/<image file>.json, subfolders mirrored.
[[nodiscard]] std::filesystem::path marks_path(const std::filesystem::path& folder,
                                               std::string_view image);
/// Reads one mark file. Bad marks are reported in `problems` and left out.
struct ReadMarks {
  MarkFile file;
  std::vector<Problem> problems;
};
[[nodiscard]] Result<ReadMarks> read_marks(const std::filesystem::path& folder,
                                           std::string_view image, const PhaseNames& declared);
/// The same from the text of a mark file.
[[nodiscard]] Result<ReadMarks> parse_marks(std::string_view json, std::string_view image,
                                            const PhaseNames& declared);
[[nodiscard]] Result<void> write_marks(const std::filesystem::path& folder, const MarkFile& marks);

/// Writes to a temporary name beside the target and renames: the old file or the whole new one.
[[nodiscard]] Result<void> write_atomically(const std::filesystem::path& path,
                                            std::string_view content);

/// Lower-case hexadecimal SHA-256 (FIPS 180-4).
[[nodiscard]] std::string sha256(std::span<const std::byte> bytes);

/// The electrical side alone: {"version":1,"motors":[…],"problems":[…]}.
[[nodiscard]] std::string readings_json(const diagnosis::Assessment& assessment);

/// Two surveys held against each other (docs/schema/verification.schema.json).
[[nodiscard]] std::string verification_json(const diagnosis::Verification& verification,
                                            const diagnosis::Assessment& before,
                                            const diagnosis::Assessment& after);

/// What `look` says of an image.
struct Look {
  std::string file;
  imaging::StoredImage image;
  imaging::Statistics stored;
  std::optional<Declaration> declaration;  ///< embedded or by range
  std::vector<std::string> problems;
};
[[nodiscard]] std::string look_json(const std::optional<Look>& look, std::string_view file,
                                    const std::vector<std::string>& problems);
[[nodiscard]] std::string marks_json(const MarkFile& marks);

}  // namespace ohmglow::records
