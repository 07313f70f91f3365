#pragma once
/// JSON that somebody else wrote, read strictly: files of a survey and of a result, and requests.

#include "ohmglow/result.h"

#include <nlohmann/json_fwd.hpp>
#include <string_view>

namespace ohmglow::records {

/// The whole text as a tree (`nlohmann::json` or `nlohmann::ordered_json`). Errors: empty,
/// not_this_format (with the byte offset), conflict for a member given twice, too_large for
/// nesting deeper than kDeepestJson.
template <class Tree>
[[nodiscard]] Result<Tree> parse_json_as(std::string_view text);

}  // namespace ohmglow::records
