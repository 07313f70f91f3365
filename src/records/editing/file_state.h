#pragma once
/// A file of the survey as it is on disk at one moment.

#include "offered/tabular/tabular.h"
#include "ohmglow/result.h"

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace ohmglow::records {

struct FileSnapshot {
  std::filesystem::path path;       ///< resolved inside the survey folder
  std::string name;                 ///< as seen from there
  std::optional<std::string> text;  ///< in UTF-8; absent where there is no such file
  std::string etag;
  tabular::Encoding encoding = tabular::Encoding::utf_8;  ///< of the file

  /// A table comes by its usual name and is found as the survey finds it; of a workbook the text is
  /// that of its sheet.
  [[nodiscard]] static Result<FileSnapshot> read(const std::filesystem::path& folder,
                                                 std::string_view name);
  /// The bytes that a text comes to in this file. Errors: unsupported for a workbook; a character
  /// that the file's encoding lacks.
  [[nodiscard]] Result<std::string> bytes_of(std::string_view text) const;
  /// Errors: conflict where the file has another etag.
  [[nodiscard]] Result<void> expect(std::string_view etag) const;
};

[[nodiscard]] std::string etag_of_text(std::string_view text);

}  // namespace ohmglow::records
