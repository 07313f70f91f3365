#pragma once
/// Marks that a page sends.

#include "serve/parts_of_answers.h"

namespace ohmglow::serve {

/// A list of marks as the mark file of an image of that size. Errors: a mark that the survey would
/// leave out, or that lies beyond the image.
[[nodiscard]] Result<MarkFile> sent_marks(OpenSurvey& served, const NamedImage& image,
                                          const Json& marks);

}  // namespace ohmglow::serve
