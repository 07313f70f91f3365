#pragma once
/// The members of manifest.json that say what was run, on what and how; a journal begins with them.

#include "offered/results/manifest.h"
#include "records/files/json_text.h"

#include <vector>

namespace ohmglow::records {

/// The first members of the manifest.
[[nodiscard]] OrderedJson run_json(const Manifest& run);
/// What reads them.
[[nodiscard]] std::vector<Member> run_members(Manifest& run);
/// Errors: a way to the survey that leads nowhere.
[[nodiscard]] Result<void> check_run(const Manifest& run);

}  // namespace ohmglow::records
