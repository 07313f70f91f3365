#pragma once
/// A row keeps to the scale that its temperatures are written in.

#include "offered/editing/survey_edits.h"

#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// Cells as they go into a row: a temperature in °C goes into the °F cell that the row fills
/// already, in °F, unless the cells name that one too. `written` gives a cell of the row by its
/// column.
[[nodiscard]] std::vector<CellText> in_scale_of_row(
    const std::vector<CellText>& cells,
    const std::function<std::string(std::string_view column)>& written, char decimal_mark);

}  // namespace ohmglow::records
