#include "offered/radiometry/surfaces.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <numbers>
#include <string>

namespace ohmglow::radiometry {
namespace {

constexpr std::string_view kHandbooks =
    "Incropera & DeWitt table A.11; Wolfe & Zissis, The Infrared Handbook; Bramson; total or "
    "8–14 µm; from memory";
constexpr std::string_view kSpread =
    "a single handbook value widened to a range of 2:1, the handbooks' spread on one nominal "
    "surface (house rule); value from memory, as the others";
constexpr std::string_view kBandDependent =
    "Incropera & DeWitt table A.11; Wolfe & Zissis, The Infrared Handbook; from memory; depends "
    "strongly on the band and the layer";

constexpr std::array<Material, 19> kMaterials{{
    {"copper_polished", "copper, polished", 0.02, 0.05, kHandbooks},
    {"copper_tarnished", "copper, tarnished", 0.20, 0.50, kHandbooks},
    {"copper_oxidised", "copper, oxidised", 0.60, 0.70, kHandbooks},
    {"copper_black_oxide", "copper, black oxide", 0.78, 0.88, kHandbooks},
    {"brass_polished", "brass, polished", 0.03, 0.05, kHandbooks},
    {"brass_tarnished", "brass, tarnished", 0.15, 0.30, kSpread},
    {"brass_oxidised", "brass, oxidised", 0.50, 0.61, kHandbooks},
    {"tin_plated", "tin, bright or plated", 0.04, 0.08, kHandbooks},
    {"aluminium_polished", "aluminium, polished", 0.04, 0.07, kHandbooks},
    {"aluminium_as_received", "aluminium, as received", 0.06, 0.12, kSpread},
    {"aluminium_oxidised", "aluminium, strongly oxidised", 0.20, 0.30, kHandbooks},
    {"aluminium_anodised", "aluminium, anodised", 0.55, 0.97, kBandDependent},
    {"steel_oxidised", "steel, oxidised", 0.70, 0.80, kHandbooks},
    {"steel_galvanised_bright", "steel, galvanised, bright", 0.15, 0.30, kSpread},
    {"steel_galvanised_weathered", "steel, galvanised, weathered", 0.28, 0.56, kSpread},
    {"aluminium_paint", "aluminium paint", 0.27, 0.50, kHandbooks},
    {"paint", "paint, any colour without metal", 0.90, 0.97, kHandbooks},
    {"vinyl_tape", "vinyl electrical tape", 0.95, 0.97, kHandbooks},
    {"insulation", "PVC or rubber insulation", 0.91, 0.95, kHandbooks},
}};

/// Runs of anything but letters and digits are one "_"; ASCII letters lower case.
std::string folded(std::string_view text) {
  std::string result;
  for (const char c : text) {
    const bool separates = c == ' ' || c == ',' || c == '-' || c == '_' || c == '\t';
    if (!separates) {
      result += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    } else if (!result.empty() && result.back() != '_') {
      result += '_';
    }
  }
  if (!result.empty() && result.back() == '_') result.pop_back();
  return result;
}

}  // namespace

double Material::emissivity_u() const {
  return (high - low) / 2 / std::numbers::sqrt3;
}

std::span<const Material> materials() {
  return kMaterials;
}

const Material* find_material(std::string_view text) {
  const std::string wanted = folded(text);
  const auto at = std::find_if(kMaterials.begin(), kMaterials.end(), [&](const Material& m) {
    return wanted == m.name || wanted == folded(m.title);
  });
  return at == kMaterials.end() ? nullptr : &*at;
}

MarkFile with_materials(MarkFile marks) {
  for (Mark& mark : marks.marks) {
    if (mark.emissivity || mark.material.empty() || mark.role == MarkRole::reflector) continue;
    const Material* material = find_material(mark.material);
    if (material == nullptr) continue;
    mark.emissivity = material->emissivity();
    if (!mark.emissivity_u) mark.emissivity_u = material->emissivity_u();
  }
  return marks;
}

std::optional<double> emissivity_of(const BandRadiance& band, Radiance received, Celsius object,
                                    const Scene& scene) {
  // The balance is linear in the emissivity: between a mirror and a blackbody it says all.
  Scene black = scene;
  black.emissivity = Emissivity{1};
  Scene mirror = scene;
  mirror.emissivity = Emissivity{0};
  const auto most = received_radiance(band, object, black);
  const auto least = received_radiance(band, object, mirror);
  if (!most || !least) return std::nullopt;
  const double span = most->value() - least->value();
  // Below this nothing but rounding tells the surface from what it reflects.
  constexpr double kLeastContrast = 1e-9;
  if (!(std::abs(span) > kLeastContrast * most->value())) return std::nullopt;
  return (received.value() - least->value()) / span;
}

}  // namespace ohmglow::radiometry
