#pragma once
/// Rows of the survey as they would be read with cells that nobody has saved yet, for callers that
/// show what a change would do. Nothing is written.

#include "offered/editing/survey_edits.h"

#include <filesystem>
#include <vector>

namespace ohmglow::records {

/// The image's row of images.csv with some cells set; an empty text empties the cell, and the
/// default of survey.json serves again. `current` is the image as it was read. Errors: what the
/// survey's reader would complain about, with row and column.
[[nodiscard]] Result<ImageEntry> draft_image(const std::filesystem::path& folder,
                                             const ImageEntry& current,
                                             const std::vector<CellText>& cells);

/// Rows as readings.csv would hold them, with its decimal mark. Errors as above; rows count from 2,
/// below a header.
[[nodiscard]] Result<std::vector<Reading>> draft_readings(
    const std::filesystem::path& folder, const std::vector<std::vector<CellText>>& rows);

}  // namespace ohmglow::records
