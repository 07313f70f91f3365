#pragma once
/// Answers compressed for the way.

#include "serve/answer.h"

#include <string_view>

namespace ohmglow::serve {

/// The answer as gzip where the caller takes that and it gains something: long texts. Others as
/// they are.
[[nodiscard]] Answer packed(const Answer& answer, std::string_view accept_encoding);

}  // namespace ohmglow::serve
