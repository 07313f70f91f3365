#pragma once
/// Files inside a folder: found, written whole, hashed.

#include "ohmglow/result.h"

#include <cstddef>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>

namespace ohmglow::records {

/// The files by which a folder of results is known.
inline constexpr std::string_view kManifestFile = "manifest.json";
inline constexpr std::string_view kFindingsFile = "findings.json";

/// Whether a folder holds what `assess` writes.
[[nodiscard]] bool is_result_folder(const std::filesystem::path& folder);

/// A path of a table, resolved inside the survey folder. Errors: outside_survey for absolute paths,
/// "..", and links that lead out.
[[nodiscard]] Result<std::filesystem::path> resolve_inside(const std::filesystem::path& folder,
                                                           std::string_view relative);

/// " (did you mean bay 2/a.tif?)" for a file that is not there, with the nearest names of the
/// folder that it should be in; empty where none is near.
[[nodiscard]] std::string offer_files(const std::filesystem::path& folder,
                                      std::string_view relative);

/// Writes to a temporary name beside the target and renames: the old file or the whole new one.
[[nodiscard]] Result<void> write_atomically(const std::filesystem::path& path,
                                            std::string_view content);

/// Lower-case hexadecimal SHA-256 (FIPS 180-4).
[[nodiscard]] std::string sha256(std::span<const std::byte> bytes);

}  // namespace ohmglow::records
