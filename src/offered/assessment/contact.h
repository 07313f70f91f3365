#pragma once
/// The emissivity of a mark from the temperature that a contact thermometer shows there
/// (ISO 18434-1 annex A and ASTM E1933, contact thermometer method; both from memory).

#include "offered/radiometry/surfaces.h"
#include "ohmglow/imaging.h"
#include "ohmglow/quantity.h"
#include "ohmglow/radiometry.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <string_view>

namespace ohmglow::assessment {

struct ContactTemperature {
  Celsius temperature{0};
  KelvinDifference u{1};  ///< standard uncertainty
};

/// Nearer to the reflected temperature than this, a surface tells its emissivity too poorly
/// (ASTM E1933: 10 to 20 °C, from memory).
inline constexpr KelvinDifference kLeastContrast{10};

/// Solves the balance for the emissivity of the mark of that name, by the mean of its pixels and
/// the image's own parameters. Errors: missing for an unknown mark or a reflected temperature that
/// is not known; not_measurable within kLeastContrast of the reflected temperature, unless
/// `any_contrast`, and where the emissivity comes out at or below 0 or above 1; what the mark's
/// region or the surroundings report.
[[nodiscard]] Result<radiometry::MeasuredEmissivity> measure_emissivity(
    const radiometry::BandRadiance& band, const imaging::ThermalImage& image,
    const ImageEntry& entry, const MarkFile& marks, std::string_view mark,
    const ContactTemperature& contact, bool any_contrast);

}  // namespace ohmglow::assessment
