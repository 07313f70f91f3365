#include "assessment/scene.h"

#include "offered/marking/marking.h"
#include "ohmglow/reader.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace ohmglow::assessment {
namespace {

using radiometry::Contribution;
using radiometry::Estimate;
using radiometry::Input;
using radiometry::InputKind;

/// Marks of one image that can be told apart as inputs.
constexpr std::uint32_t kMarksPerImage = 4096;
/// Farther than this the air's transmittance must be given (house rule).
constexpr double kShortPath_m = 5.0;
/// Air and reflected temperature, where both are measured on the image, depend on each other by a
/// product of (1-τ) and (1-ε); each round shrinks the error by that.
constexpr int kRounds = 8;

bool all_black(Emissivity of_image, const std::vector<Mark>& marks) {
  return std::all_of(marks.begin(), marks.end(), [of_image](const Mark& mark) {
    return mark.role == MarkRole::reflector || mark.emissivity.value_or(of_image).value() == 1;
  });
}

/// A mark that stands for a temperature of the surroundings. The patch is even enough that the mean
/// may be taken before the conversion.
Result<std::optional<Spot>> find_patch(const imaging::ThermalImage& image,
                                       const std::vector<Mark>& marks, MarkRole role) {
  const auto at = std::find_if(marks.begin(), marks.end(),
                               [role](const Mark& mark) { return mark.role == role; });
  if (at == marks.end()) return std::optional<Spot>{};
  const auto region = marking::region_of(at->shape, cv::Size(image.width(), image.height()));
  if (!region) return fail(region.error());
  const auto measured = marking::measure(image.celsius(region->box), *region);
  if (!measured) return fail(measured.error());
  return std::optional<Spot>{
      Spot{.mark = static_cast<std::size_t>(at - marks.begin()),
           .stored = Celsius{measured->mean},
           .pixels = static_cast<double>(measured->pixels - measured->no_data)}};
}

Error no_solution(const Mark& mark) {
  return Error{
      .kind = ErrorKind::not_measurable,
      .what = fmt::format("mark \"{}\" has no temperature between -60 and 1500 °C under the "
                          "parameters given",
                          mark.name),
      .mend = "check emissivity, transmittances and temperatures of its row"};
}

std::string text_of(const Declaration& declaration) {
  const std::string_view unit = declaration.unit == TemperatureUnit::kelvin ? "K" : "°C";
  if (declaration.scale == 1 && declaration.offset == 0) {
    return fmt::format("{}, by {}", unit, declaration.from);
  }
  return fmt::format("{} × stored + {} {}, by {}", declaration.scale, declaration.offset, unit,
                     declaration.from);
}

radiometry::InputUncertainties uncertainties_of(const ImageParameters& given,
                                                Emissivity emissivity) {
  radiometry::InputUncertainties u;
  u.emissivity = given.emissivity_u.value_or(radiometry::default_emissivity_u(emissivity));
  if (given.reflected_u_c) u.reflected = KelvinDifference{*given.reflected_u_c};
  if (given.air_u_c) u.air = KelvinDifference{*given.air_u_c};
  if (given.camera_u_c) u.camera = KelvinDifference{*given.camera_u_c};
  if (given.noise_k) u.noise = KelvinDifference{*given.noise_k};
  if (given.window_u) u.window_transmittance = *given.window_u;
  if (given.atmosphere_u) u.atmosphere_transmittance = *given.atmosphere_u;
  if (given.nonuniformity_k) u.nonuniformity = KelvinDifference{*given.nonuniformity_k};
  if (given.load_u_pct) u.load = Percent{*given.load_u_pct};
  return u;
}

/// What an image's row gives directly, before anything is measured on the image.
Surroundings from_entry(const radiometry::BandRadiance& band, const imaging::ThermalImage& image,
                        const ImageParameters& given) {
  Surroundings around;
  around.band = &band;
  if (given.emissivity) {
    around.emissivity = *given.emissivity;
  } else {
    around.emissivity = given.saved_emissivity.value_or(Emissivity{1});
    around.remarks.push_back(fmt::format(
        "emissivity is not given: marks without their own are measured with {}, which the stored "
        "temperatures already assume; a surface of lower emissivity is hotter than shown; fill in "
        "the column emissivity",
        around.emissivity.value()));
  }
  if (given.saved_emissivity) around.saved.emissivity = *given.saved_emissivity;
  radiometry::Scene& scene = around.scene;
  if (given.atmosphere_transmittance)
    scene.atmosphere_transmittance = *given.atmosphere_transmittance;
  if (given.window_transmittance) scene.window_transmittance = *given.window_transmittance;
  if (given.window_reflectance) scene.window_reflectance = *given.window_reflectance;
  if (given.window_c) scene.window = *given.window_c;
  if (given.window_reflected_c) scene.window_reflected = *given.window_reflected_c;
  around.window_is_air = !given.window_c;
  around.window_reflected_is_air = !given.window_reflected_c;
  around.saved_reflected_is_reflected = !given.saved_reflected_c;
  if (given.saved_reflected_c) around.saved.reflected = *given.saved_reflected_c;
  around.used.uncertainties = uncertainties_of(given, around.emissivity);
  around.used.declaration = text_of(image.declaration());
  return around;
}

Error missing(std::string what, std::string mend) {
  return Error{ErrorKind::missing, std::move(what), {}, {}, std::move(mend)};
}

/// Whether the balance needs an air temperature at all.
bool needs_air(const radiometry::Scene& scene, const Surroundings& around) {
  const double emitted_by_window =
      1 - scene.window_transmittance.value() - scene.window_reflectance.value();
  return scene.atmosphere_transmittance.value() < 1 ||
         (around.window_is_air && emitted_by_window > 0) ||
         (around.window_reflected_is_air && scene.window_reflectance.value() > 0);
}

std::optional<Error> what_is_missing(const Surroundings& around, const ImageParameters& given,
                                     const std::vector<Mark>& marks) {
  const bool air_known = given.air_c || around.ambient;
  const bool reflected_known = around.reflector || given.reflected_c || air_known;
  if (!reflected_known &&
      !(all_black(around.emissivity, marks) && around.saved.emissivity.value() == 1)) {
    return missing("the reflected apparent temperature is not known",
                   "fill in reflected_c or air_c, or mark a diffuse reflector patch");
  }
  if (!air_known && needs_air(around.scene, around)) {
    return missing("the air temperature is not known, and the path or window needs it",
                   "fill in air_c (and window_c), or mark an ambient patch");
  }
  if (given.distance_m && given.distance_m->value() > kShortPath_m &&
      !given.atmosphere_transmittance) {
    return missing(fmt::format("the distance is {} m and the air's transmittance is not given",
                               given.distance_m->value()),
                   "fill in atmosphere_transmittance (it may be left empty up to 5 m only)");
  }
  return std::nullopt;
}

Estimate deviation_of(const Estimate& estimate) {
  return Estimate{0, estimate.parts()};
}

/// How a spot's temperature follows the surroundings, what defaults to another temperature moving
/// with it; kelvin per kelvin.
struct Following {
  double reflected;
  double air;
};
Following following(const radiometry::Sensitivities& s, const Basis& around) {
  return {s.reflected + (around.saved_reflected_is_reflected ? s.saved_reflected : 0),
          s.air + (around.window_is_air ? s.window : 0) +
              (around.window_reflected_is_air ? s.window_reflected : 0)};
}

radiometry::Sensitivities sensitivities_of(Celsius object, const Spot& spot, const Basis& around) {
  radiometry::Scene scene = around.scene;
  scene.emissivity = spot.emissivity;
  return radiometry::sensitivities(*around.band, spot.stored, around.saved, object, scene);
}

/// The air measured on a patch that is itself at the air's temperature: what the patch reflects and
/// the path adds follow the patch, which divides its linear form.
Estimate measured_air(Surroundings& around, const Scopes& scopes) {
  const Celsius air = around.scene.air;
  around.air = Estimate{air.value()};
  if (around.reflected_is_air) around.reflected = around.air;
  const Estimate measured = estimate_temperature(air, *around.ambient, around, scopes);
  const Following by = following(sensitivities_of(air, *around.ambient, around), around);
  const double own_share = 1 - by.air - (around.reflected_is_air ? by.reflected : 0);
  return Estimate::combine(1, around.air, 1 / own_share, deviation_of(measured));
}

/// The linear forms of reflected and air temperature: a given one has its own input; a measured one
/// also what its measurement depends on.
void estimate_surroundings(Surroundings& around, const Scopes& scopes) {
  const auto& u = around.used.uncertainties;
  const Estimate own_reflected{0,
                               {{Input{InputKind::reflected, scopes.image}, u.reflected.value()}}};
  const Estimate own_air{0, {{Input{InputKind::air, scopes.image}, u.air.value()}}};
  around.air = Estimate::combine(1, Estimate{around.scene.air.value()}, 1, own_air);
  around.reflected =
      Estimate::combine(1, Estimate{around.scene.reflected.value()}, 1, own_reflected);
  if (around.reflector) {
    const Estimate measured =
        estimate_temperature(around.scene.reflected, *around.reflector, around, scopes);
    around.reflected = Estimate::combine(1, measured, 1, own_reflected);
  }
  if (around.ambient && !around.air_is_given) {
    around.air = Estimate::combine(1, measured_air(around, scopes), 1, own_air);
  }
  if (around.reflected_is_air) {
    around.reflected = Estimate::combine(1, around.air, 1, own_reflected);
  }
}

void record_used(Surroundings& around, const ImageParameters& given, bool air_known) {
  auto& used = around.used;
  const auto& scene = around.scene;
  used.air_from = given.air_c ? "images.csv" : around.ambient ? msg("ambient mark") : "";
  used.reflected_from = around.reflector          ? msg("reflector mark")
                        : given.reflected_c       ? "images.csv"
                        : around.reflected_is_air ? "air"
                                                  : "";
  if (!used.reflected_from.empty()) used.reflected_c = scene.reflected.value();
  used.atmosphere_transmittance = scene.atmosphere_transmittance.value();
  used.window_transmittance = scene.window_transmittance.value();
  used.window_reflectance = scene.window_reflectance.value();
  if (air_known || given.window_c) used.window_c = scene.window.value();
  if (air_known || given.window_reflected_c)
    used.window_reflected_c = scene.window_reflected.value();
  used.saved_emissivity = around.saved.emissivity.value();
  if (used.saved_emissivity < 1) used.saved_reflected_c = around.saved.reflected.value();
}

}  // namespace

std::uint32_t Scopes::mark(std::size_t index) const {
  return image * kMarksPerImage + static_cast<std::uint32_t>(index);
}

std::size_t Scopes::image_of(std::uint32_t mark_scope) {
  return mark_scope / kMarksPerImage;
}

std::size_t Scopes::index_of(std::uint32_t mark_scope) {
  return mark_scope % kMarksPerImage;
}

void Basis::set_air(Celsius air) {
  scene.air = air;
  if (window_is_air) scene.window = air;
  if (window_reflected_is_air) scene.window_reflected = air;
}

void Basis::set_reflected(Celsius reflected) {
  scene.reflected = reflected;
  if (saved_reflected_is_reflected) saved.reflected = reflected;
}

std::optional<Celsius> Basis::temperature_of(const Spot& spot,
                                             const radiometry::SharesTemperature& shares) const {
  radiometry::Scene seen = scene;
  seen.emissivity = spot.emissivity;
  const auto received = radiometry::apparent_radiance(*band, spot.stored, saved);
  if (!received) return std::nullopt;
  return radiometry::object_temperature(*band, *received, seen, shares);
}

const Spot* Basis::settle() {
  bool air_known = air_is_given;
  for (int round = 0; round < kRounds; ++round) {
    if (reflector) {
      const auto solved =
          temperature_of(*reflector, {.air = !air_known,
                                      .window = !air_known && window_is_air,
                                      .window_reflected = !air_known && window_reflected_is_air});
      if (!solved) return &*reflector;
      set_reflected(*solved);
    }
    if (air_is_given || !ambient) break;
    const auto solved = temperature_of(*ambient, {.reflected = reflected_is_air,
                                                  .air = true,
                                                  .window = window_is_air,
                                                  .window_reflected = window_reflected_is_air});
    if (!solved) return &*ambient;
    set_air(*solved);
    if (reflected_is_air) set_reflected(*solved);
    air_known = true;
    if (!reflector && saved.emissivity.value() == 1) break;
  }
  if (reflected_is_air) set_reflected(scene.air);
  return nullptr;
}

double emissivity_u_of(const Mark& mark, Emissivity emissivity, double of_image) {
  if (mark.emissivity_u) return *mark.emissivity_u;
  return mark.emissivity ? radiometry::default_emissivity_u(emissivity) : of_image;
}

Result<Surroundings> surroundings_of(const radiometry::BandRadiance& band,
                                     const imaging::ThermalImage& image,
                                     const ImageParameters& given, const std::vector<Mark>& marks,
                                     const Scopes& scopes) {
  Surroundings around = from_entry(band, image, given);
  auto ambient = find_patch(image, marks, MarkRole::ambient);
  if (!ambient) return fail(ambient.error());
  const auto reflector = find_patch(image, marks, MarkRole::reflector);
  if (!reflector) return fail(reflector.error());
  around.reflector = *reflector;
  if (*ambient) {
    const Mark& mark = marks.at((*ambient)->mark);
    around.ambient = *ambient;
    around.ambient->emissivity = mark.emissivity.value_or(around.emissivity);
    around.ambient->emissivity_u =
        emissivity_u_of(mark, around.ambient->emissivity, around.used.uncertainties.emissivity);
  }
  if (const auto error = what_is_missing(around, given, marks)) return fail(*error);

  const bool air_known = given.air_c || around.ambient;
  around.reflected_is_air = !around.reflector && !given.reflected_c && air_known;
  around.air_is_given = given.air_c.has_value();
  if (given.air_c) around.set_air(*given.air_c);
  if (given.reflected_c) around.set_reflected(*given.reflected_c);
  if (const Spot* spot = around.settle()) return fail(no_solution(marks.at(spot->mark)));
  record_used(around, given, air_known);
  estimate_surroundings(around, scopes);
  if (air_known) around.used.air_c = around.air;
  return around;
}

radiometry::Estimate estimate_temperature(Celsius object, const Spot& spot,
                                          const Surroundings& around, const Scopes& scopes) {
  const auto s = sensitivities_of(object, spot, around);
  const auto& u = around.used.uncertainties;
  const std::uint32_t mark = scopes.mark(spot.mark);
  const double noise_k = u.noise.value() / std::sqrt(spot.pixels);
  std::vector<Contribution> parts{
      {Input{InputKind::emissivity, mark}, s.emissivity * spot.emissivity_u},
      {Input{InputKind::window_transmittance, scopes.image},
       s.window_transmittance * u.window_transmittance},
      {Input{InputKind::camera, scopes.visit}, s.stored * u.camera.value()},
      {Input{InputKind::noise, mark}, s.stored * noise_k},
      {Input{InputKind::nonuniformity, mark}, s.stored * u.nonuniformity.value()}};
  if (u.atmosphere_transmittance > 0) {
    parts.push_back({Input{InputKind::atmosphere_transmittance, scopes.image},
                     s.atmosphere_transmittance * u.atmosphere_transmittance});
  }
  const Estimate own{object.value(), std::move(parts)};
  const Following by = following(s, around);
  const Estimate with_reflected =
      Estimate::combine(1, own, by.reflected, deviation_of(around.reflected));
  return Estimate::combine(1, with_reflected, by.air, deviation_of(around.air));
}

}  // namespace ohmglow::assessment
