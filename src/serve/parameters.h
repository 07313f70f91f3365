#pragma once
/// The parameters of an image as the page shows them: what each is, what is written, what was used.

#include "offered/editing/survey_edits.h"
#include "ohmglow/diagnosis.h"
#include "serve/json_text.h"

#include <string_view>

namespace ohmglow::serve {

/// Whether a column of images.csv may be changed as a parameter.
[[nodiscard]] bool is_parameter(std::string_view column);
[[nodiscard]] Error no_such_parameter(std::string_view name);

/// One item a parameter. `row` and `defaults` are what is written; `result` says what was used.
[[nodiscard]] Json parameters_json(const records::TableText& row,
                                   const records::TableText& defaults, const ImageEntry& entry,
                                   const diagnosis::ImageResult& result);

}  // namespace ohmglow::serve
