#pragma once
/// Still-air cooling of a lug and the conductor behind it: from watts to a rise and back, and from
/// a rise to the resistance that a meter should show. Bounds rather than figures, since finish,
/// shape and what the stud carries away are not known from an image.

#include "ohmglow/quantity.h"

#include <optional>
#include <span>
#include <string_view>

namespace ohmglow::electrical {

// --- convection and radiation
// ---------------------------------------------------------------------

struct AirProperties {
  double kinematic_viscosity_m2_s;
  double conductivity_w_mk;
  double diffusivity_m2_s;
  double prandtl;
};
/// Air at atmospheric pressure by film temperature, linear between the rows of Incropera & DeWitt,
/// table A.4 (250 to 500 K, from memory); the end rows count beyond.
[[nodiscard]] AirProperties air_at(Kelvin film);

/// Churchill & Chu (1975), horizontal cylinder, Ra ≤ 1e12:
/// Nu = {0.60 + 0.387 Ra^(1/6) / [1 + (0.559/Pr)^(9/16)]^(8/27)}².
[[nodiscard]] double nusselt_cylinder(double rayleigh, double prandtl);
/// Churchill & Chu (1975), vertical plate, any Ra:
/// Nu = {0.825 + 0.387 Ra^(1/6) / [1 + (0.492/Pr)^(9/16)]^(8/27)}².
[[nodiscard]] double nusselt_plate(double rayleigh, double prandtl);
/// The same, laminar (Ra ≤ 1e9): Nu = 0.68 + 0.670 Ra^(1/4) / [1 + (0.492/Pr)^(9/16)]^(4/9).
[[nodiscard]] double nusselt_laminar_plate(double rayleigh, double prandtl);
/// Churchill & Bernstein (1977), cylinder in cross flow, Re Pr > 0.2:
/// Nu = 0.3 + 0.62 Re^½ Pr^⅓ / [1 + (0.4/Pr)^⅔]^¼ · [1 + (Re/282000)^⅝]^⅘.
[[nodiscard]] double nusselt_cross_flow(double reynolds, double prandtl);

enum class BodyShape { horizontal_cylinder, vertical_plate };

/// `size_m` is a cylinder's diameter or a plate's height.
struct Body {
  BodyShape shape = BodyShape::horizontal_cylinder;
  Metre size_m{0.02};
  Emissivity emissivity{0.9};
  MetrePerSecond wind{0};  ///< speed of the air past it
};
/// Coefficients at a surface temperature in air whose walls are at air temperature, W/(m² K):
/// h_c = Nu k / size with the film's properties and β = 1/T_film, and
/// h_r = ε σ (T_s + T_a)(T_s² + T_a²). Moved air adds its own share, Nu³ = Nu_free³ + Nu_forced³
/// (Incropera, 9.9: assisting and transverse flow).
struct HeatTransfer {
  double rayleigh = 0;
  double nusselt = 0;
  double convection_w_m2k = 0;
  double radiation_w_m2k = 0;
  [[nodiscard]] double total_w_m2k() const { return convection_w_m2k + radiation_w_m2k; }
};
[[nodiscard]] HeatTransfer heat_transfer(const Body& body, Celsius surface, Celsius air);

// --- a lug between its conductors
// -----------------------------------------------------------------

/// Thermal conductivity of copper at 300 K, W/(m K) (Incropera, table A.1, from memory).
inline constexpr double kCopperConductivity_w_mk = 401;

/// One way in which a lug may be cooled.
struct LugCooling {
  SquareCentimetre area{0};  ///< of the lug's surface
  Body body;                 ///< whose coefficients the surface has
  double section_mm2 = 0;    ///< of one conductor
  double covering = 1;       ///< outer diameter over the conductor's own
  int leads = 1;             ///< conductors, and studs like them, that carry heat away
};
/// Loss of the surface, and of each lead as a long fin with the lug's coefficient:
/// q = h A θ + n θ √(h P k S) (Incropera, table 3.4, case D).
[[nodiscard]] Watt loss(const LugCooling& cooling, Celsius lug, Celsius air);

/// What is known of a lug; the cooling lies between its two ends.
struct LugSetting {
  SquareCentimetre area{0};
  std::optional<SquareCentimetre> area_high = {};  ///< where only bounds of the area are known
  double section_low_mm2 = 0;
  double section_high_mm2 = 0;
  Celsius like{25};  ///< the like lugs' temperature, from which the extra rise counts
  Celsius air{25};
  MetrePerSecond wind{0};  ///< at most: of the weather, or of a fan in the enclosure
};
/// The ends (house rule): bare metal (ε 0.1) as a plate in still air with one bare lead of the
/// smaller section; a covered surface (ε 0.95) as a thin cylinder in the wind with three leads of
/// the larger one, for the cable, the stud or bar, and what they are mounted on, insulated to 1.4
/// times their diameter.
[[nodiscard]] LugCooling least_cooling(const LugSetting& lug);
[[nodiscard]] LugCooling most_cooling(const LugSetting& lug);

/// Where a survey does not give the conductor, its section by current density (common practice, no
/// source): 2 to 6 A/mm² at rated current.
inline constexpr double kLeastDensity_a_mm2 = 2;
inline constexpr double kMostDensity_a_mm2 = 6;

/// A barrel lug's surface where a survey does not give it, by its conductor's section: a cylinder
/// 1.6 conductor diameters thick and three times as long (house rule), 9.4 D².
[[nodiscard]] SquareCentimetre lug_area_of(double section_mm2);

struct Interval {
  double low = 0;
  double high = 0;
  [[nodiscard]] bool holds(double x) const { return low <= x && x <= high; }
};
/// Extra watts behind a rise over like, W.
[[nodiscard]] Interval watts_behind(const LugSetting& lug, KelvinDifference rise);
/// Rise over like that extra watts make, K; at most 1500.
[[nodiscard]] Interval rise_from(const LugSetting& lug, Watt extra);
/// Excess resistance behind a rise at a current above zero, Ω.
[[nodiscard]] Interval ohms_behind(const LugSetting& lug, KelvinDifference rise, Ampere current);

// --- contact spots
// --------------------------------------------------------------------------------

/// Contact voltages at which a metal's spots soften and melt (Holm; Slade, Electrical Contacts;
/// from memory).
struct ContactMetal {
  std::string_view name;
  Volt softening;
  Volt melting;
};
[[nodiscard]] std::span<const ContactMetal> contact_metals();

/// Temperature of a contact spot with a voltage across it (Holm, Electric Contacts):
/// V² = 4 L (T_m² − T_0²), L = 2.44e-8 V²/K² (Wiedemann and Franz).
[[nodiscard]] Celsius spot_temperature(Volt contact, Celsius bulk);

}  // namespace ohmglow::electrical
