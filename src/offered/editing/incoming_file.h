#pragma once
/// Images and photographs that come into a folder piece by piece, from somebody who may be cut off
/// and go on later.
///
/// What has come lies under a hidden name beside its target until it is whole and can be read; then
/// it is renamed. Nothing that is there is written over, links are not followed.

#include "ohmglow/imaging.h"
#include "ohmglow/result.h"

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>

namespace ohmglow::records {

/// A file as its sender describes it: what it has of it must be of the same one.
struct IncomingFile {
  std::string name;
  std::uint64_t bytes = 0;
  std::string changed;  ///< whatever tells it from an earlier one of the same name and size
};

/// How much of it has come.
struct Arrived {
  std::uint64_t bytes = 0;
  bool is_whole = false;  ///< it lies in the folder under its name
};

/// Errors: a name that cannot be taken, or is taken already (conflict); a size beyond the limits.
[[nodiscard]] Result<Arrived> arrived_of(const std::filesystem::path& folder,
                                         const IncomingFile& file,
                                         const imaging::ReadLimits& limits);

/// Adds a piece that begins `from` bytes into the file; the last one puts it in place. Errors:
/// those above; stale where as much as arrived_of() says has come, and not `from`; an image or
/// photograph that cannot be read, which is thrown away; what the system says.
[[nodiscard]] Result<Arrived> add_piece(const std::filesystem::path& folder,
                                        const IncomingFile& file, std::uint64_t from,
                                        std::string_view piece, const imaging::ReadLimits& limits);

/// Throws away what never became whole.
void drop_unfinished(const std::filesystem::path& folder);

}  // namespace ohmglow::records
