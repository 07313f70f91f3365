#pragma once
/// The mark files of a survey.

#include "ohmglow/phase.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <filesystem>
#include <string_view>
#include <vector>

namespace ohmglow::records {

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

}  // namespace ohmglow::records
