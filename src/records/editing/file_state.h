#pragma once
/// A file of the survey as it is on disk at one moment.

#include "ohmglow/result.h"

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace ohmglow::records {

struct FileSnapshot {
  std::filesystem::path path;       ///< resolved inside the survey folder
  std::string name;                 ///< as seen from there
  std::optional<std::string> text;  ///< absent where there is no such file
  std::string etag;

  [[nodiscard]] static Result<FileSnapshot> read(const std::filesystem::path& folder,
                                                 std::string_view name);
  /// Errors: conflict where the file has another etag.
  [[nodiscard]] Result<void> expect(std::string_view etag) const;
};

[[nodiscard]] std::string etag_of_text(std::string_view text);

}  // namespace ohmglow::records
