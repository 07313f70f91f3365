#include "ohmglow/radiometry.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmglow::radiometry {
namespace {

/// Where the unknown surface's share of the signal is smaller than this, its temperature would be
/// made of rounding errors.
constexpr double kLeastShare = 1e-6;
/// A share of the signal that is nothing but rounding of 1 - tau - rho.
constexpr double kRounding = 1e-12;

/// A source of radiation and its share of what the camera receives.
struct Source {
  double share;
  Celsius temperature;
  bool unknown = false;  ///< at the temperature that is looked for
};

bool is_share(double x) {
  return x >= 0 && x <= 1;
}

/// Everything but the surface itself; absent where the scene cannot be.
struct Balance {
  double object_share;
  std::array<Source, 4> others;
};

std::optional<Balance> balance_of(const Scene& scene, const SharesTemperature& shares) {
  const double eps = scene.emissivity.value();
  const double tau_a = scene.atmosphere_transmittance.value();
  const double tau_w = scene.window_transmittance.value();
  const double rho_w = scene.window_reflectance.value();
  double emitted_w = 1 - tau_w - rho_w;
  if (std::abs(emitted_w) < kRounding) emitted_w = 0;
  if (!is_share(eps) || !is_share(tau_a) || !is_share(tau_w) || !is_share(rho_w) ||
      !is_share(emitted_w))
    return std::nullopt;
  return Balance{tau_w * tau_a * eps,
                 {{{tau_w * tau_a * (1 - eps), scene.reflected, shares.reflected},
                   {tau_w * (1 - tau_a), scene.air, shares.air},
                   {emitted_w, scene.window, shares.window},
                   {rho_w, scene.window_reflected, shares.window_reflected}}}};
}

/// What the sources of known temperature contribute; a source without a share is not looked up.
std::optional<double> known_radiance(const BandRadiance& band, const Balance& balance) {
  double sum = 0;
  for (const Source& source : balance.others) {
    if (source.unknown || source.share == 0) continue;
    const auto radiance = band.radiance(source.temperature);
    if (!radiance) return std::nullopt;
    sum += source.share * radiance->value();
  }
  return sum;
}

double unknown_share(const Balance& balance) {
  double share = balance.object_share;
  for (const Source& source : balance.others) {
    if (source.unknown) share += source.share;
  }
  return share;
}

}  // namespace

std::optional<Radiance> apparent_radiance(const BandRadiance& band, Celsius stored,
                                          const SavedAs& saved) {
  Scene assumed;
  assumed.emissivity = saved.emissivity;
  assumed.reflected = saved.reflected;
  return received_radiance(band, stored, assumed);
}

std::optional<Radiance> received_radiance(const BandRadiance& band, Celsius object,
                                          const Scene& scene) {
  const auto balance = balance_of(scene, {});
  if (!balance) return std::nullopt;
  const auto own = band.radiance(object);
  const auto others = known_radiance(band, *balance);
  if (!own || !others) return std::nullopt;
  return Radiance{balance->object_share * own->value() + *others};
}

std::optional<Celsius> object_temperature(const BandRadiance& band, Radiance received,
                                          const Scene& scene) {
  return object_temperature(band, received, scene, SharesTemperature{});
}

std::optional<Celsius> object_temperature(const BandRadiance& band, Radiance received,
                                          const Scene& scene, const SharesTemperature& shares) {
  const auto balance = balance_of(scene, shares);
  if (!balance) return std::nullopt;
  const double share = unknown_share(*balance);
  if (share < kLeastShare) return std::nullopt;
  const auto others = known_radiance(band, *balance);
  if (!others) return std::nullopt;
  return band.temperature(Radiance{(received.value() - *others) / share});
}

Sensitivities sensitivities(const BandRadiance& band, Celsius stored, const SavedAs& saved,
                            Celsius object, const Scene& scene) {
  // A source that has no share may lie outside the table: its nearest end then serves.
  const auto radiance = [&band](Celsius t) {
    const Celsius inside =
        t > BandRadiance::kLowest ? std::min(t, BandRadiance::kHighest) : BandRadiance::kLowest;
    return band.radiance(inside)->value();
  };
  const double eps = scene.emissivity.value();
  const double tau_a = scene.atmosphere_transmittance.value();
  const double tau_w = scene.window_transmittance.value();
  const double rho_w = scene.window_reflectance.value();
  const double eps_s = saved.emissivity.value();
  const double L_obj = radiance(object);
  const double L_refl = radiance(scene.reflected);
  const double L_air = radiance(scene.air);
  const double leaving = eps * L_obj + (1 - eps) * L_refl;

  // Both sides of S(stored, saved) = W(object, scene) are differentiated; dW/dT_obj divides.
  const double per_object = tau_w * tau_a * eps * band.slope(object);
  Sensitivities d;
  d.stored = eps_s * band.slope(stored) / per_object;
  d.saved_reflected = (1 - eps_s) * band.slope(saved.reflected) / per_object;
  d.emissivity = -tau_w * tau_a * (L_obj - L_refl) / per_object;
  d.reflected = -tau_w * tau_a * (1 - eps) * band.slope(scene.reflected) / per_object;
  d.air = -tau_w * (1 - tau_a) * band.slope(scene.air) / per_object;
  d.atmosphere_transmittance = -tau_w * (leaving - L_air) / per_object;
  d.window_transmittance =
      -(tau_a * leaving + (1 - tau_a) * L_air - radiance(scene.window)) / per_object;
  d.window = -(1 - tau_w - rho_w) * band.slope(scene.window) / per_object;
  d.window_reflected = -rho_w * band.slope(scene.window_reflected) / per_object;
  return d;
}

}  // namespace ohmglow::radiometry
