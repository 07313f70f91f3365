#pragma once
/// One image measured, with the tables that a thread keeps between images.

#include "assessment/pixel_tables.h"
#include "assessment/scene.h"
#include "ohmglow/assessment.h"

namespace ohmglow::assessment {

/// What is known of an image before it was opened; status rejected.
[[nodiscard]] diagnosis::ImageResult result_for(const ImageEntry& entry);

[[nodiscard]] diagnosis::ImageResult measure_with(const imaging::ThermalImage& image,
                                                  const ImageEntry& entry, const MarkFile& marks,
                                                  const Motor* motor, const PhaseNames& phase_names,
                                                  const Scopes& scopes, PixelTables& tables);

}  // namespace ohmglow::assessment
