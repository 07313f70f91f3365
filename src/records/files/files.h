#pragma once
/// Text files of the survey folder, read whole.

#include "offered/files/folder.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// Tables may be long, JSON files are not; raise for larger surveys.
inline constexpr std::uint64_t kMaxTableBytes = std::uint64_t{1} << 30;
inline constexpr std::uint64_t kMaxJsonBytes = std::uint64_t{16} << 20;

/// A file's bytes, to be looked at as text.
class TextFile {
 public:
  /// Errors: those of imaging::read_bytes, and not_this_format for a folder, pipe or device. The
  /// caller adds the file's name.
  [[nodiscard]] static Result<TextFile> read(const std::filesystem::path& path,
                                             std::uint64_t max_bytes);
  [[nodiscard]] std::string_view text() const;
  /// Of these bytes, under that name.
  [[nodiscard]] FileRecord record(std::string_view name) const;

 private:
  explicit TextFile(std::vector<std::byte> bytes) : bytes_(std::move(bytes)) {}
  std::vector<std::byte> bytes_;
};

/// Size and SHA-256 of a file of any size, read piece by piece. Errors: it cannot be read.
struct Digest {
  std::uint64_t bytes = 0;
  std::string sha256;
};
[[nodiscard]] Result<Digest> digest_of(const std::filesystem::path& path);

/// Whether anything stands under that name, be it a link that leads nowhere.
[[nodiscard]] bool is_present(const std::filesystem::path& path);

/// A file of the survey, read whole and noted in Survey::files: be it usable or not, it was there.
/// Errors: those of TextFile::read, with the file's name.
[[nodiscard]] Result<TextFile> take_in(const std::filesystem::path& path, std::string_view name,
                                       std::uint64_t max_bytes, std::vector<FileRecord>& files);

/// A written path with forward slashes only.
[[nodiscard]] std::string forward_slashes(std::string_view path);
/// One file, one name: "./a.tif" and ".\\a.tif" are "a.tif". Steps up are folded too, so
/// resolve_inside() must have seen the path as it was written.
[[nodiscard]] std::string normal_path(std::string_view path);

/// What is done on a walk through a folder; paths are relative to it.
struct Walk {
  std::function<bool(const std::filesystem::path& folder)>
      enters;  ///< whether to go into a subfolder
  std::function<void(const std::filesystem::path& file)> visit;
  std::function<void(const std::filesystem::path& folder, const Error&)> complain;
};
/// Visits everything below a folder that is neither hidden nor a folder. Links to folders are not
/// followed, so that no walk is endless.
void walk(const std::filesystem::path& root, const Walk& what);

}  // namespace ohmglow::records
