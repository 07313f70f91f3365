#pragma once
/// A mark as every JSON file of ours writes it.

#include "ohmglow/survey.h"
#include "records/files/json_text.h"

namespace ohmglow::records {

[[nodiscard]] OrderedJson mark_json(const Mark& mark);

}  // namespace ohmglow::records
