#pragma once
/// Whether rows of a survey that was read anew still say what they said.

#include "ohmglow/survey.h"

#include <optional>

namespace ohmglow::assessment {

/// Everything that measuring the image looks at. The row's number, note and unknown columns are
/// not.
[[nodiscard]] bool measures_the_same(const ImageEntry& a, const ImageEntry& b);
[[nodiscard]] bool measures_the_same(const MarkFile& a, const MarkFile& b);
/// Of two motors' rows, null where there is none.
[[nodiscard]] bool measures_the_same(const Motor* a, const Motor* b);

/// Everything that judging looks at; the rows' numbers are not.
[[nodiscard]] bool judges_the_same(const Motor* a, const Motor* b);
[[nodiscard]] bool judges_the_same(const Reading& a, const Reading& b);
[[nodiscard]] bool judges_the_same(const CircuitStop& a, const CircuitStop& b);
[[nodiscard]] bool is_same_day(const std::optional<Moment>& a, const std::optional<Moment>& b);

}  // namespace ohmglow::assessment
