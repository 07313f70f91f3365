#pragma once
/// What killed programs left of the files that they were writing.

#include <filesystem>

namespace ohmglow::records {

/// Removes it from a folder and from all folders below; links are not followed. What a living
/// program is writing stays.
void remove_leftovers_below(const std::filesystem::path& folder);

/// The same of this folder alone, once for each folder.
void remove_leftovers(const std::filesystem::path& folder);

}  // namespace ohmglow::records
