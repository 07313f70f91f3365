#pragma once
// Inputs that can be and yet are most likely slips: a wrong unit, scale, phase or mark.

#include "ohmglow/diagnosis.h"
#include "ohmglow/survey.h"

#include <vector>

namespace ohmglow::diagnosis {

// What looks odd among one motor's rows, each with its place, its value and how to mend it. The
// measurement goes on with the values as they are. `images` stand beside the rows' images.
[[nodiscard]] std::vector<Problem> odd_inputs(const Survey& motor_rows,
                                              const std::vector<ImageResult>& images);

}  // namespace ohmglow::diagnosis
