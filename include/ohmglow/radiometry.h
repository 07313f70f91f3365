#pragma once
/// From what the camera's band received to the temperature of a surface, and back, with the
/// standard uncertainty that comes along.
///
/// The radiation balance is the standard one with a window at the camera (Vollmer & Möllmann,
/// Infrared Thermal Imaging, ch. 2; Minkina & Dudzik, Infrared Thermography; equations from
/// memory), see docs/method.md.

#include "ohmglow/quantity.h"
#include "ohmglow/result.h"
#include "ohmglow/sentence.h"
#include "ohmglow/survey.h"

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::radiometry {

/// A blackbody's radiance as a camera weighs it, tabulated over -60 … 1500 °C so that interpolation
/// errs by less than 1 mK, strictly rising, inverted by the same table. In W/(m² sr) for a flat
/// band or a response table, in the calibration's own unit for Sakuma–Hattori: a temperature does
/// not depend on the unit. Immutable and safe to share between threads.
class BandRadiance {
 public:
  /// Errors: invalid_value for a band that is not 0 < from < to, or narrower than can be tabulated.
  [[nodiscard]] static Result<BandRadiance> for_band(Micrometre from, Micrometre to);
  /// Of a spectral response, its largest value taken as 1, straight lines between the points.
  /// Errors: invalid_value for fewer than two points, wavelengths that are not positive and rising,
  /// a response that is negative, not finite or nowhere above 0, or too narrow to be tabulated;
  /// too_large above kMostResponsePoints.
  [[nodiscard]] static Result<BandRadiance> for_response(const SpectralResponse& response);
  /// Of a calibration. Errors: invalid_value where the signal does not rise over the whole table
  /// (A and C above 0, A T + B above 0 from -60 °C up).
  [[nodiscard]] static Result<BandRadiance> from_sakuma_hattori(const SakumaHattori& calibration);
  /// Whichever of the three a survey names.
  [[nodiscard]] static Result<BandRadiance> of(const SpectralBand& band);

  static constexpr std::size_t kMostResponsePoints = 4096;

  static constexpr Celsius kLowest{-60};
  static constexpr Celsius kHighest{1500};

  /// Absent outside kLowest … kHighest.
  [[nodiscard]] std::optional<Radiance> radiance(Celsius t) const;
  /// Absent outside the table.
  [[nodiscard]] std::optional<Celsius> temperature(Radiance l) const;
  /// dL/dT in W/(m² sr K) at a temperature inside the table.
  [[nodiscard]] double slope(Celsius t) const;

 private:
  struct Value {
    double radiance;
    double slope;
  };
  using Law = std::function<Value(Kelvin)>;
  BandRadiance() = default;
  /// Absent where the table would not be within 1 mK of the law or not rise throughout.
  [[nodiscard]] static std::optional<BandRadiance> tabulated(const Law& law);
  [[nodiscard]] bool interpolates(const Law& law) const;
  void index_cells();

  std::vector<double> radiance_;  ///< at the table's nodes
  std::vector<double> slope_;
  std::vector<std::uint16_t> cell_of_bin_;  ///< where the search of the inverse begins
};

/// The long-wave band of uncooled cameras, 8–14 µm flat.
[[nodiscard]] const BandRadiance& long_wave();

/// For people: "8 to 14 µm, flat", "the response of lens.csv, 7.5 to 14 µm", "calibration A …".
[[nodiscard]] Sentence text_of(const SpectralBand& band);

/// Share of a blackbody's total radiation below λ, F(0→λT), by the series of Chang & Rhee (1984)
/// as textbooks print it; λT in µm·K.
[[nodiscard]] double blackbody_fraction(double wavelength_temperature_um_k);

/// Everything between a surface and the stored number that is not the surface's temperature.
struct Scene {
  Emissivity emissivity{1};
  Celsius reflected{20};
  Fraction atmosphere_transmittance{1};
  Celsius air{20};
  Fraction window_transmittance{1};
  Fraction window_reflectance{0};
  Celsius window{20};
  Celsius window_reflected{20};
};

/// What the stored temperatures already assume; emissivity 1 = they are apparent temperatures.
struct SavedAs {
  Emissivity emissivity{1};
  Celsius reflected{20};
};

/// Radiance that the camera received for a stored temperature: ε_s L(T_stored) + (1-ε_s)
/// L(T_refl,s). Absent outside the table.
[[nodiscard]] std::optional<Radiance> apparent_radiance(const BandRadiance& band, Celsius stored,
                                                        const SavedAs& saved);

/// The balance forward: what the camera receives from a surface at `object`. Absent outside the
/// table.
[[nodiscard]] std::optional<Radiance> received_radiance(const BandRadiance& band, Celsius object,
                                                        const Scene& scene);

/// The balance solved for the surface's temperature. Absent where the right side leaves the table
/// (emissivity too low for the scene): not measurable.
[[nodiscard]] std::optional<Celsius> object_temperature(const BandRadiance& band, Radiance received,
                                                        const Scene& scene);

/// Which terms of the balance are the surface's own temperature, for a patch that stands for the
/// air (or for the surroundings) and whose neighbours therefore share its temperature.
struct SharesTemperature {
  bool reflected = false;
  bool air = false;
  bool window = false;
  bool window_reflected = false;
};
/// The balance solved with the named terms at the unknown temperature itself.
[[nodiscard]] std::optional<Celsius> object_temperature(const BandRadiance& band, Radiance received,
                                                        const Scene& scene,
                                                        const SharesTemperature& shares);

/// Partial derivatives of the object temperature at a solution, analytic; kelvin per unit of each.
struct Sensitivities {
  double emissivity = 0;
  double reflected = 0;
  double air = 0;
  double atmosphere_transmittance = 0;
  double window_transmittance = 0;
  double window = 0;
  double window_reflected = 0;
  double stored = 0;  ///< to the stored temperature
  double saved_reflected = 0;
};
/// All three temperatures must lie inside the table (they do after object_temperature succeeded).
[[nodiscard]] Sensitivities sensitivities(const BandRadiance& band, Celsius stored,
                                          const SavedAs& saved, Celsius object, const Scene& scene);

// --- uncertainty (JCGM 100, clause 5: linear propagation with shared inputs) ---------------------

enum class InputKind {
  emissivity,
  reflected,
  air,
  atmosphere_transmittance,
  window_transmittance,
  window,
  camera,
  noise,
  nonuniformity,  ///< of the camera's field: a spot against its neighbours
  load,
  load_exponent,
  sound_scatter,     ///< by which sound lugs differ from each other
  reference_choice,  ///< the coolest of several like lugs is cool by chance, too
};
[[nodiscard]] std::string_view name_of(InputKind kind);

/// An input quantity. Two estimates that name the same kind and scope share its error; the camera's
/// scope is the visit; that of an emissivity, a noise or a nonuniformity its mark; that of all
/// others their image.
struct Input {
  InputKind kind{};
  std::uint32_t scope = 0;
  friend auto operator<=>(const Input&, const Input&) = default;
};

struct Contribution {
  Input input;
  double u_k = 0;  ///< sensitivity × standard uncertainty, signed, kelvin
};

/// A value with its linear form in the inputs' errors: differences keep what is common out.
class Estimate {
 public:
  explicit Estimate(double value, std::vector<Contribution> parts = {});

  [[nodiscard]] double value() const { return value_; }
  [[nodiscard]] const std::vector<Contribution>& parts() const { return parts_; }
  /// Combined standard uncertainty.
  [[nodiscard]] double u() const;

  /// a·x + b·y with the parts of shared inputs added before squaring.
  [[nodiscard]] static Estimate combine(double a, const Estimate& x, double b, const Estimate& y);
  [[nodiscard]] static double covariance(const Estimate& x, const Estimate& y);

 private:
  double value_;
  std::vector<Contribution> parts_;  ///< sorted by input, each input once
};

/// Standard uncertainties of the inputs, absolute. 0 = exact.
struct InputUncertainties {
  double emissivity = 0;
  KelvinDifference reflected{1};
  KelvinDifference air{1};
  KelvinDifference camera{1};
  KelvinDifference noise{0.05};
  double window_transmittance = 0;
  double atmosphere_transmittance = 0;
  KelvinDifference nonuniformity{0.1};  ///< of a spot's stored temperature (docs/method.md)
  Percent load{2};                      ///< of the measured current
};

/// 0.02 for ε ≥ 0.8, 0.05 for ε ≥ 0.5, 0.15 below (house rule; docs/method.md).
[[nodiscard]] double default_emissivity_u(Emissivity emissivity);

}  // namespace ohmglow::radiometry
