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
#include <optional>
#include <string>
#include <vector>

namespace ohmglow::assessment {

/// Numbers the inputs whose errors an image, or a mark on it, has for itself.
struct Scopes {
  std::uint32_t image = 0;
  std::uint32_t visit = 0;
  [[nodiscard]] std::uint32_t mark(std::size_t index) const;
  [[nodiscard]] static std::size_t image_of(std::uint32_t mark_scope);
  [[nodiscard]] static std::size_t index_of(std::uint32_t mark_scope);
};

/// A marked spot as the radiation balance takes it in.
struct Spot {
  std::size_t mark = 0;  ///< its place in the mark file
  Celsius stored{0};     ///< mean of its pixels
  Emissivity emissivity{1};
  double emissivity_u = 0;
  double pixels = 1;  ///< that the noise is averaged over
};

/// The scene without a lug's own emissivity, and the spots on the image that stand for its air and
/// reflected temperature. What defaults to another temperature moves with it.
struct Basis {
  const radiometry::BandRadiance* band = nullptr;  ///< of the camera; outlives the basis
  radiometry::Scene scene;
  radiometry::SavedAs saved;
  bool window_is_air = true;
  bool window_reflected_is_air = true;
  bool saved_reflected_is_reflected = true;
  bool reflected_is_air = false;
  bool air_is_given = false;
  std::optional<Spot> ambient;
  std::optional<Spot> reflector;

  void set_air(Celsius air);
  void set_reflected(Celsius reflected);
  /// Solves for the temperatures that are measured on the image. The spot that has no solution;
  /// null if all have one.
  [[nodiscard]] const Spot* settle();
  /// The temperature of a spot under the scene as it stands.
  [[nodiscard]] std::optional<Celsius> temperature_of(
      const Spot& spot, const radiometry::SharesTemperature& shares = {}) const;
};

/// A basis with the linear forms of the two temperatures that may be measured on the image.
struct Surroundings : Basis {
  radiometry::Estimate air{0};
  radiometry::Estimate reflected{0};
  Emissivity emissivity{1};  ///< of marks that name none
  diagnosis::UsedParameters used;
  std::vector<std::string> remarks;  ///< what was assumed for want of an entry
};

/// Errors (missing, not_measurable): what must be filled in before the image can be measured.
[[nodiscard]] Result<Surroundings> surroundings_of(const radiometry::BandRadiance& band,
                                                   const imaging::ThermalImage& image,
                                                   const ImageParameters& given,
                                                   const std::vector<Mark>& marks,
                                                   const Scopes& scopes);

/// The temperature of a spot with the linear form of all that it depends on.
[[nodiscard]] radiometry::Estimate estimate_temperature(Celsius object, const Spot& spot,
                                                        const Surroundings& around,
                                                        const Scopes& scopes);

/// The standard uncertainty of a mark's emissivity: its own, else the image's where it takes over
/// the image's emissivity, else the default for its emissivity.
[[nodiscard]] double emissivity_u_of(const Mark& mark, Emissivity emissivity, double of_image);

}  // namespace ohmglow::assessment
