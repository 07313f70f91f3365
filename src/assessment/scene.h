#pragma once
/// What surrounds the lugs of one image: given, measured on the image, or by the documented
/// defaults.

#include "ohmglow/diagnosis.h"
#include "ohmglow/imaging.h"
#include "ohmglow/radiometry.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace ohmglow::assessment {

/// Numbers the inputs whose errors an image, or a mark on it, has for itself.
struct Scopes {
  std::uint32_t image = 0;
  std::uint32_t visit = 0;
  [[nodiscard]] std::uint32_t mark(std::size_t index) const;
};

/// The scene without a lug's own emissivity, with the linear forms of the two temperatures that may
/// themselves be measured on the image.
struct Surroundings {
  radiometry::Scene scene;
  radiometry::SavedAs saved;
  radiometry::Estimate air{0};
  radiometry::Estimate reflected{0};
  bool window_is_air = true;
  bool window_reflected_is_air = true;
  bool saved_reflected_is_reflected = true;
  bool reflected_is_air = false;
  Emissivity emissivity{1};  ///< of marks that name none
  diagnosis::UsedParameters used;
  std::vector<std::string> remarks;  ///< what was assumed for want of an entry
};

/// Errors (missing, not_measurable): what must be filled in before the image can be measured.
[[nodiscard]] Result<Surroundings> surroundings_of(const imaging::ThermalImage& image,
                                                   const ImageParameters& given,
                                                   const std::vector<Mark>& marks,
                                                   const Scopes& scopes);

/// A temperature on the image with the linear form of all that it depends on. `pixels_averaged` is
/// what the noise is averaged over.
[[nodiscard]] radiometry::Estimate estimate_temperature(Celsius object, Celsius stored,
                                                        Emissivity emissivity, double emissivity_u,
                                                        const Surroundings& around,
                                                        const Scopes& scopes,
                                                        std::uint32_t mark_scope,
                                                        double pixels_averaged);

}  // namespace ohmglow::assessment
