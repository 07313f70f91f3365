#pragma once
/// Which row of a table is meant.

#include "offered/editing/survey_edits.h"
#include "records/intake/sheet.h"
#include "records/intake/tables.h"

#include <cstddef>
#include <filesystem>
#include <optional>

namespace ohmglow::records {

/// The row of images.csv for an image and page, as Sheet counts.
[[nodiscard]] std::optional<std::size_t> row_of_image(const std::filesystem::path& folder,
                                                      const Sheet& sheet, const ImageKey& image,
                                                      const ImageDefaults& defaults);
/// The row that a spreadsheet gives that number.
[[nodiscard]] std::optional<std::size_t> row_by_number(const Sheet& sheet, long number);

}  // namespace ohmglow::records
