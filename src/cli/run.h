#pragma once
/// What `assess`, `merge` and `recheck` do with a run once it is measured.

#include "offered/assessment/run.h"

#include <string>

namespace ohmglow::cli {

using assessment::Run;

/// What a run is, without inputs and outputs.
[[nodiscard]] records::Manifest run_manifest(const Run& run, const std::string& output);

/// Writes the formats of the run's options into the folder, and last the manifest that vouches for
/// them. Errors: what cannot be written.
[[nodiscard]] Result<void> write_results(const Run& run, const std::string& output);

/// The ranked list, or findings.json, on stdout.
[[nodiscard]] Result<void> print_results(const Run& run, bool as_json);

}  // namespace ohmglow::cli
