#pragma once
/// One image measured, with the tables that a thread keeps between images.

#include "assessment/pixel_tables.h"
#include "assessment/scene.h"
#include "offered/assessment/images.h"

namespace ohmglow::assessment {

/// What is known of an image before it was opened; status rejected.
[[nodiscard]] diagnosis::ImageResult result_for(const ImageEntry& entry);

/// What an image's numbers were computed from, so that they can be computed again with other
/// inputs.
struct Measured {
  Scopes scopes;
  Basis basis;
  std::vector<Spot> lugs;  ///< one for each lug of the result
};

/// `how` receives the basis where it is asked for.
[[nodiscard]] diagnosis::ImageResult measure_with(const radiometry::BandRadiance& band,
                                                  const imaging::ThermalImage& image,
                                                  const ImageEntry& entry, const MarkFile& marks,
                                                  const Motor* motor, const PhaseNames& phase_names,
                                                  const Scopes& scopes, PixelTables& tables,
                                                  Measured* how = nullptr);

}  // namespace ohmglow::assessment
