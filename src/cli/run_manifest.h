#pragma once
/// The manifest of a run of `assess`.

#include "cli/output_folder.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/manifest.h"

#include <string>
#include <vector>

namespace ohmglow::cli {

/// Where it was made, from what, and `files`, which go into the folder `output`; the options and
/// the hash of findings.json are the caller's to add.
[[nodiscard]] records::Manifest manifest_of(const diagnosis::Assessment& assessment,
                                            const records::PolicyText& policy,
                                            const std::string& output,
                                            const std::vector<OutputFile>& files);

/// Whether this program on this machine computes to the last digit what the manifest's did.
[[nodiscard]] bool is_this_program(const records::Manifest& manifest);

}  // namespace ohmglow::cli
