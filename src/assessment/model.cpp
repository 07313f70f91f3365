#include "assessment/model.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmglow::assessment {
namespace {

using radiometry::Input;
using radiometry::InputKind;

constexpr double kUndrawn = std::numeric_limits<double>::quiet_NaN();

}  // namespace

Spot ImageModel::drawn(const Spot& spot, const Draws& draws, std::uint64_t trial) const {
  const std::uint32_t mark = measured_.scopes.mark(spot.mark);
  Spot result = spot;
  const double error =
      draws.normal({InputKind::camera, measured_.scopes.visit}, trial, u_.camera.value()) +
      draws.normal({InputKind::nonuniformity, mark}, trial, u_.nonuniformity.value()) +
      draws.normal({InputKind::noise, mark}, trial, u_.noise.value() / std::sqrt(spot.pixels));
  result.stored = spot.stored + KelvinDifference{error};
  result.emissivity =
      Emissivity{draws.truncated({InputKind::emissivity, mark}, trial, spot.emissivity.value(),
                                 spot.emissivity_u, kDrawnEmissivity.low, kDrawnEmissivity.high)};
  return result;
}

// What was given is drawn before the spots are solved for; what was measured on a spot has, beside
// the errors of its measurement, the spot's difference from what it stands for.
std::optional<Basis> ImageModel::drawn_basis(const Draws& draws, std::uint64_t trial) const {
  const std::uint32_t image = measured_.scopes.image;
  Basis basis = measured_.basis;
  auto& scene = basis.scene;
  scene.window_transmittance = Fraction{draws.truncated(
      {InputKind::window_transmittance, image}, trial, scene.window_transmittance.value(),
      u_.window_transmittance, 0, 1 - scene.window_reflectance.value())};
  scene.atmosphere_transmittance = Fraction{
      draws.truncated({InputKind::atmosphere_transmittance, image}, trial,
                      scene.atmosphere_transmittance.value(), u_.atmosphere_transmittance, 0, 1)};
  const KelvinDifference air{draws.normal({InputKind::air, image}, trial, u_.air.value())};
  const KelvinDifference reflected{
      draws.normal({InputKind::reflected, image}, trial, u_.reflected.value())};
  const bool air_measured = basis.ambient && !basis.air_is_given;
  if (!air_measured) basis.set_air(scene.air + air);
  if (!basis.reflector && !basis.reflected_is_air) basis.set_reflected(scene.reflected + reflected);
  if (basis.ambient) basis.ambient = drawn(*basis.ambient, draws, trial);
  if (basis.reflector) {
    basis.reflector = drawn(*basis.reflector, draws, trial);
  }
  if (basis.settle() != nullptr) return std::nullopt;
  if (air_measured) basis.set_air(scene.air + air);
  if (basis.reflected_is_air) {
    basis.set_reflected(scene.air + reflected);
  } else if (basis.reflector) {
    basis.set_reflected(scene.reflected + reflected);
  }
  return basis;
}

void ImageModel::evaluate(const Draws& draws, std::uint64_t trial, std::span<double> lugs_c,
                          double& air_c) const {
  std::fill(lugs_c.begin(), lugs_c.end(), kUndrawn);
  air_c = kUndrawn;
  const auto basis = drawn_basis(draws, trial);
  if (!basis) return;
  air_c = basis->scene.air.value();
  for (std::size_t i = 0; i < lugs_c.size(); ++i) {
    const auto object = basis->temperature_of(drawn(measured_.lugs[i], draws, trial));
    if (object) lugs_c[i] = object->value();
  }
}

}  // namespace ohmglow::assessment
