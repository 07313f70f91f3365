#pragma once
/// Whether a file has changed, without reading it.

#include <cstdint>
#include <filesystem>
#include <optional>

namespace ohmglow::records {

struct FileStamp {
  std::filesystem::file_time_type written;
  std::uintmax_t size = 0;
  friend bool operator==(const FileStamp&, const FileStamp&) = default;
};
/// Absent where there is no such file.
[[nodiscard]] std::optional<FileStamp> stamp_of(const std::filesystem::path& path);

}  // namespace ohmglow::records
