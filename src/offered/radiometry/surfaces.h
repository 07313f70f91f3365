#pragma once
/// Surfaces and their emissivities: what handbooks say, and what a contact thermometer tells.

#include "ohmglow/quantity.h"
#include "ohmglow/radiometry.h"
#include "ohmglow/survey.h"

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::radiometry {

/// A surface as handbooks list it: a range, never a single value for bare metal.
struct Material {
  std::string_view name;   ///< "copper_oxidised"
  std::string_view title;  ///< "copper, oxidised"
  double low;
  double high;
  std::string_view source;

  /// The middle of the range.
  [[nodiscard]] Emissivity emissivity() const { return Emissivity{(low + high) / 2}; }
  /// Standard uncertainty: half the width over √3, a rectangular distribution (JCGM 100, 4.3.7).
  [[nodiscard]] double emissivity_u() const;
};

/// Every known surface, by metal.
[[nodiscard]] std::span<const Material> materials();
/// By its name or title in any case, blanks, commas and dashes standing for "_"; null if unknown.
[[nodiscard]] const Material* find_material(std::string_view text);

/// The marks with the emissivity of their material, and its uncertainty, where they name a known
/// one and no emissivity of their own. A reflector patch's emissivity is not looked at and stays.
[[nodiscard]] MarkFile with_materials(MarkFile marks);

/// The emissivity with which the balance gives a surface its known temperature; `scene.emissivity`
/// is not used. Absent where something lies outside the table, the surface has no share in the
/// signal, or its temperature is the reflected one: then no emissivity can be told. The number is
/// as it comes out, be it outside 0 … 1.
[[nodiscard]] std::optional<double> emissivity_of(const BandRadiance& band, Radiance received,
                                                  Celsius object, const Scene& scene);

/// An emissivity told by a contact thermometer, with its budget.
struct MeasuredEmissivity {
  double emissivity = 0;  ///< above 0 to 1
  double u = 0;           ///< combined standard uncertainty
  /// Contribution of each input to u: "contact", "reflected", "camera", "noise" …; signed.
  struct Part {
    std::string_view input;
    double u = 0;
  };
  std::vector<Part> parts;
  Celsius contact{0};
  KelvinDifference contact_u{0};
  Celsius apparent{0};  ///< what the camera received from the mark, as a blackbody's temperature
  Celsius reflected{0};
  std::string reflected_from;
  KelvinDifference spread{0};  ///< standard deviation of the mark's pixels, as stored
  std::int64_t pixels = 0;
};

}  // namespace ohmglow::radiometry
