#pragma once
/// The manifest of a run of `assess`.

#include "offered/results/manifest.h"
#include "ohmglow/survey.h"

#include <string>

namespace ohmglow::cli {

/// Where it was made and from what; inputs, outputs and options are the caller's to add.
[[nodiscard]] records::Manifest manifest_of(const Survey& survey, const records::PolicyText& policy,
                                            const std::string& output);

/// Whether this program on this machine computes to the last digit what the manifest's did.
[[nodiscard]] bool is_this_program(const records::Manifest& manifest);

}  // namespace ohmglow::cli
