#pragma once
/// What callers send, read strictly: an unknown member or a wrong type is an error that names it.

#include "offered/editing/survey_edits.h"
#include "serve/answer.h"
#include "serve/json_text.h"

#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::serve {

/// The body as an object that has none but these members. Errors: not_this_format, invalid_value.
[[nodiscard]] Result<Json> object_in(const Request& request,
                                     const std::set<std::string_view>& members);

/// {column: text or null, …} as cells; null empties a cell. Numbers are taken as they are written.
/// Errors: invalid_value.
[[nodiscard]] Result<std::vector<records::CellText>> cells_in(const Json& object,
                                                              std::string_view what);

/// The etag that a change must name. Errors: missing.
[[nodiscard]] Result<std::string> expected_etag(const Request& request);

}  // namespace ohmglow::serve
