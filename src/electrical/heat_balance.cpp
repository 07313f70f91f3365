#include "offered/electrical/heat_balance.h"

#include "ohmglow/sentence.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace ohmglow::electrical {
namespace {

constexpr double kGravity_m_s2 = 9.80665;                   // CGPM 1901
constexpr double kStefanBoltzmann_w_m2k4 = 5.670374419e-8;  // CODATA 2018
constexpr double kLorenz_v2_k2 = 2.44e-8;
constexpr double kHottestRise_k = 1500;
constexpr double kSquareCentimetresPerSquareMetre = 1e4;
constexpr double kSquareMillimetresPerSquareMetre = 1e6;
constexpr Emissivity kBareMetal{0.1};
constexpr Emissivity kCovered{0.95};
constexpr double kInsulated = 1.4;

struct AirRow {
  double kelvin;
  AirProperties air;
};
constexpr std::array<AirRow, 6> kAir{{
    {250, {11.44e-6, 22.3e-3, 15.9e-6, .720}},
    {300, {15.89e-6, 26.3e-3, 22.5e-6, .707}},
    {350, {20.92e-6, 30.0e-3, 29.9e-6, .700}},
    {400, {26.41e-6, 33.8e-3, 38.3e-6, .690}},
    {450, {32.39e-6, 37.3e-3, 47.2e-6, .686}},
    {500, {38.79e-6, 40.7e-3, 56.7e-6, .684}},
}};

constexpr std::array<ContactMetal, 6> kMetals{{
    {msg("tin"), Volt{.07}, Volt{.13}},
    {msg("copper"), Volt{.12}, Volt{.43}},
    {msg("aluminium"), Volt{.1}, Volt{.3}},
    {msg("silver"), Volt{.09}, Volt{.37}},
    {msg("zinc"), Volt{.1}, Volt{.17}},
    {msg("nickel"), Volt{.22}, Volt{.65}},
}};

double between(double low, double high, double share) {
  return low + share * (high - low);
}

double prandtl_term(double constant, double prandtl, double outer) {
  return std::pow(1 + std::pow(constant / prandtl, 9.0 / 16), outer);
}

double square(double x) {
  return x * x;
}

// Extra loss of a lug that stands `rise_k` over its like lugs.
double extra_w(const LugCooling& cooling, const LugSetting& lug, double rise_k) {
  const Celsius hot = lug.like + KelvinDifference{rise_k};
  return (loss(cooling, hot, lug.air) - loss(cooling, lug.like, lug.air)).value();
}

// The rise at which the extra loss is the given watts; the loss grows with the rise.
double rise_at(const LugCooling& cooling, const LugSetting& lug, double watts) {
  double low = 0;
  double high = kHottestRise_k;
  constexpr int kHalvings = 50;
  for (int i = 0; i < kHalvings; ++i) {
    const double middle = (low + high) / 2;
    (extra_w(cooling, lug, middle) < watts ? low : high) = middle;
  }
  return high;
}

Metre side_of(SquareCentimetre area) {
  return Metre{std::sqrt(area.value() / kSquareCentimetresPerSquareMetre)};
}

}  // namespace

AirProperties air_at(Kelvin film) {
  const double t = std::clamp(film.value(), kAir.front().kelvin, kAir.back().kelvin);
  const auto upper = std::find_if(kAir.begin() + 1, kAir.end(),
                                  [t](const AirRow& row) { return t <= row.kelvin; });
  const AirRow& a = *(upper - 1);
  const AirRow& b = *upper;
  const double share = (t - a.kelvin) / (b.kelvin - a.kelvin);
  return {between(a.air.kinematic_viscosity_m2_s, b.air.kinematic_viscosity_m2_s, share),
          between(a.air.conductivity_w_mk, b.air.conductivity_w_mk, share),
          between(a.air.diffusivity_m2_s, b.air.diffusivity_m2_s, share),
          between(a.air.prandtl, b.air.prandtl, share)};
}

double nusselt_cylinder(double rayleigh, double prandtl) {
  return square(0.60 +
                0.387 * std::pow(rayleigh, 1.0 / 6) / prandtl_term(0.559, prandtl, 8.0 / 27));
}
double nusselt_plate(double rayleigh, double prandtl) {
  return square(0.825 +
                0.387 * std::pow(rayleigh, 1.0 / 6) / prandtl_term(0.492, prandtl, 8.0 / 27));
}
double nusselt_laminar_plate(double rayleigh, double prandtl) {
  return 0.68 + 0.670 * std::pow(rayleigh, 0.25) / prandtl_term(0.492, prandtl, 4.0 / 9);
}

double nusselt_cross_flow(double reynolds, double prandtl) {
  const double laminar = 0.62 * std::sqrt(reynolds) * std::cbrt(prandtl) /
                         std::pow(1 + std::pow(0.4 / prandtl, 2.0 / 3), 0.25);
  return 0.3 + laminar * std::pow(1 + std::pow(reynolds / 282000, 5.0 / 8), 0.8);
}

HeatTransfer heat_transfer(const Body& body, Celsius surface, Celsius air) {
  const double ts = to_kelvin(surface).value();
  const double ta = to_kelvin(air).value();
  const double film = (ts + ta) / 2;
  const AirProperties properties = air_at(Kelvin{film});
  const double size = body.size_m.value();
  HeatTransfer h;
  h.rayleigh = kGravity_m_s2 / film * std::fabs(ts - ta) * size * size * size /
               (properties.kinematic_viscosity_m2_s * properties.diffusivity_m2_s);
  h.nusselt = body.shape == BodyShape::horizontal_cylinder
                  ? nusselt_cylinder(h.rayleigh, properties.prandtl)
                  : nusselt_laminar_plate(h.rayleigh, properties.prandtl);
  if (body.wind.value() > 0) {
    const double reynolds = body.wind.value() * size / properties.kinematic_viscosity_m2_s;
    const double forced = nusselt_cross_flow(reynolds, properties.prandtl);
    h.nusselt = std::cbrt(h.nusselt * h.nusselt * h.nusselt + forced * forced * forced);
  }
  h.convection_w_m2k = h.nusselt * properties.conductivity_w_mk / size;
  h.radiation_w_m2k =
      body.emissivity.value() * kStefanBoltzmann_w_m2k4 * (ts + ta) * (ts * ts + ta * ta);
  return h;
}

Watt loss(const LugCooling& cooling, Celsius lug, Celsius air) {
  const double rise = (lug - air).value();
  const double h = heat_transfer(cooling.body, lug, air).total_w_m2k();
  const double surface = h * cooling.area.value() / kSquareCentimetresPerSquareMetre;
  const double section = cooling.section_mm2 / kSquareMillimetresPerSquareMetre;
  const double perimeter = cooling.covering * 2 * std::sqrt(std::numbers::pi * section);
  const double fin = std::sqrt(h * perimeter * kCopperConductivity_w_mk * section);
  return Watt{(surface + cooling.leads * fin) * rise};
}

LugCooling least_cooling(const LugSetting& lug) {
  return {.area = lug.area,
          .body = {BodyShape::vertical_plate, side_of(lug.area), kBareMetal},
          .section_mm2 = lug.section_low_mm2,
          .leads = 1};
}

LugCooling most_cooling(const LugSetting& lug) {
  const SquareCentimetre area = lug.area_high.value_or(lug.area);
  // A cylinder as thick as a quarter of the side loses more to each cm² than a plate.
  return {.area = area,
          .body = {BodyShape::horizontal_cylinder, side_of(area) * 0.25, kCovered, lug.wind},
          .section_mm2 = lug.section_high_mm2,
          .covering = kInsulated,
          .leads = 3};
}

SquareCentimetre lug_area_of(double section_mm2) {
  constexpr double kBarrel = 1.6;
  constexpr double kAreaOfDiameter = 9.4;
  constexpr double kMillimetresPerCentimetre = 10;
  const double conductor_mm = std::sqrt(4 * section_mm2 / std::numbers::pi);
  return SquareCentimetre{kAreaOfDiameter *
                          square(kBarrel * conductor_mm / kMillimetresPerCentimetre)};
}

Interval watts_behind(const LugSetting& lug, KelvinDifference rise) {
  return {extra_w(least_cooling(lug), lug, rise.value()),
          extra_w(most_cooling(lug), lug, rise.value())};
}

Interval rise_from(const LugSetting& lug, Watt extra) {
  return {rise_at(most_cooling(lug), lug, extra.value()),
          rise_at(least_cooling(lug), lug, extra.value())};
}

Interval ohms_behind(const LugSetting& lug, KelvinDifference rise, Ampere current) {
  const Interval watts = watts_behind(lug, rise);
  const double square_a = square(current.value());
  return {watts.low / square_a, watts.high / square_a};
}

std::span<const ContactMetal> contact_metals() {
  return kMetals;
}

Celsius spot_temperature(Volt contact, Celsius bulk) {
  return to_celsius(Kelvin{
      std::sqrt(square(to_kelvin(bulk).value()) + square(contact.value()) / (4 * kLorenz_v2_k2))});
}

}  // namespace ohmglow::electrical
