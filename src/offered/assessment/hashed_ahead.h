#pragma once
/// The inputs of a run, hashed over all cores.

#include "offered/results/manifest.h"

namespace ohmglow::assessment {

/// The same inputs for one reader that asks for them in their order: many are hashed at once,
/// before they are asked for. `jobs` = 0: a thread a core.
[[nodiscard]] records::Inputs hashed_ahead(records::Inputs inputs, unsigned jobs);

}  // namespace ohmglow::assessment
