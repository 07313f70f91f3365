#pragma once
/// Propagation of distributions through a motor's measurements.

#include "assessment/measure.h"
#include "ohmglow/diagnosis.h"

#include <span>

namespace ohmglow::assessment {

/// Fills the Monte Carlo results of every measured lug. `measured` stands beside the images.
void propagate(diagnosis::Assessment& assessment, std::span<const Measured> measured,
               unsigned jobs);

}  // namespace ohmglow::assessment
