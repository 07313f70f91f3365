#pragma once
/// How sharp the lugs of an image are seen, and which of them are too small for that.

#include "ohmglow/diagnosis.h"
#include "ohmglow/imaging.h"
#include "ohmglow/survey.h"

namespace ohmglow::assessment {

/// Fills edge_blur_px from the edges around the lugs' marks, and flags the lugs whose marks are
/// smaller than the hottest 3×3 block and a blur of two standard deviations to either side of it:
/// nearer to the rim the block holds more than 2 % of what lies beyond, and the lug's temperature
/// is a lower bound.
void judge_sharpness(diagnosis::ImageResult& result, const imaging::ThermalImage& image,
                     const MarkFile& marks);

}  // namespace ohmglow::assessment
