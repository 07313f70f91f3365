#include "assessment/scene.h"

#include "ohmglow/marking.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace ohmglow::assessment {
namespace {

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

/// A mark that stands for a temperature of the surroundings, and its mean stored temperature. The
/// patch is even enough that the mean may be taken before the conversion.
struct Patch {
  std::size_t index = 0;
  const Mark* mark = nullptr;
  Celsius stored{0};
  double pixels = 0;
};

Result<std::optional<Patch>> find_patch(const imaging::ThermalImage& image,
                                        const std::vector<Mark>& marks, MarkRole role) {
  const auto at = std::find_if(marks.begin(), marks.end(),
                               [role](const Mark& mark) { return mark.role == role; });
  if (at == marks.end()) return std::optional<Patch>{};
  const auto region = marking::region_of(at->shape, cv::Size(image.width(), image.height()));
  if (!region) return fail(region.error());
  const auto measured = marking::measure(image.celsius(region->box), *region);
  if (!measured) return fail(measured.error());
  return std::optional<Patch>{Patch{static_cast<std::size_t>(at - marks.begin()), &*at,
                                    Celsius{measured->mean},
                                    static_cast<double>(measured->pixels - measured->no_data)}};
}

/// The temperature of a patch, with the neighbours that are at its own temperature by default.
Result<Celsius> solve_patch(const Patch& patch, const Surroundings& around, Emissivity emissivity,
                            const radiometry::SharesTemperature& shares) {
  const auto& band = radiometry::long_wave();
  radiometry::Scene scene = around.scene;
  scene.emissivity = emissivity;
  const auto received = radiometry::apparent_radiance(band, patch.stored, around.saved);
  const auto object = received ? radiometry::object_temperature(band, *received, scene, shares)
                               : std::optional<Celsius>{};
  if (!object) {
    return fail(Error{
        .kind = ErrorKind::not_measurable,
        .what = fmt::format("mark \"{}\" has no temperature between -60 and 1500 °C under the "
                            "parameters given",
                            patch.mark->name),
        .mend = "check emissivity, transmittances and temperatures of its row"});
  }
  return *object;
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
  return u;
}

/// What an image's row gives directly, before anything is measured on the image.
Surroundings from_entry(const imaging::ThermalImage& image, const ImageParameters& given) {
  Surroundings around;
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

/// Puts a known air temperature, or a reflected one, into every place that defaults to it.
void set_air(Surroundings& around, Celsius air) {
  around.scene.air = air;
  if (around.window_is_air) around.scene.window = air;
  if (around.window_reflected_is_air) around.scene.window_reflected = air;
}
void set_reflected(Surroundings& around, Celsius reflected) {
  around.scene.reflected = reflected;
  if (around.saved_reflected_is_reflected) around.saved.reflected = reflected;
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

struct Patches {
  std::optional<Patch> ambient;
  std::optional<Patch> reflector;
};

std::optional<Error> what_is_missing(const Surroundings& around, const ImageParameters& given,
                                     const std::vector<Mark>& marks, const Patches& patches) {
  const bool air_known = given.air_c || patches.ambient;
  const bool reflected_known = patches.reflector || given.reflected_c || air_known;
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

/// Solves for the temperatures that are measured on the image.
std::optional<Error> measure_patches(Surroundings& around, const ImageParameters& given,
                                     const Patches& patches) {
  if (given.air_c) set_air(around, *given.air_c);
  if (given.reflected_c) set_reflected(around, *given.reflected_c);
  bool air_known = given.air_c.has_value();
  for (int round = 0; round < kRounds; ++round) {
    if (patches.reflector) {
      const radiometry::SharesTemperature shares{
          .air = !air_known,
          .window = !air_known && around.window_is_air,
          .window_reflected = !air_known && around.window_reflected_is_air};
      const auto solved = solve_patch(*patches.reflector, around, Emissivity{1}, shares);
      if (!solved) return solved.error();
      set_reflected(around, *solved);
    }
    if (given.air_c || !patches.ambient) break;
    const radiometry::SharesTemperature shares{.reflected = around.reflected_is_air,
                                               .air = true,
                                               .window = around.window_is_air,
                                               .window_reflected = around.window_reflected_is_air};
    const Emissivity own = patches.ambient->mark->emissivity.value_or(around.emissivity);
    const auto solved = solve_patch(*patches.ambient, around, own, shares);
    if (!solved) return solved.error();
    set_air(around, *solved);
    air_known = true;
  }
  if (around.reflected_is_air) set_reflected(around, around.scene.air);
  return std::nullopt;
}

Estimate deviation_of(const Estimate& estimate) {
  return Estimate{0, estimate.parts()};
}

/// The linear forms of reflected and air temperature: a given one has its own input; a measured one
/// also what its measurement depends on.
void estimate_surroundings(Surroundings& around, const Patches& patches, const Scopes& scopes) {
  const auto& u = around.used.uncertainties;
  const Estimate own_reflected{0,
                               {{Input{InputKind::reflected, scopes.image}, u.reflected.value()}}};
  const Estimate own_air{0, {{Input{InputKind::air, scopes.image}, u.air.value()}}};
  around.air = Estimate::combine(1, Estimate{around.scene.air.value()}, 1, own_air);
  around.reflected =
      Estimate::combine(1, Estimate{around.scene.reflected.value()}, 1, own_reflected);
  if (patches.reflector) {
    const Estimate measured = estimate_temperature(
        around.scene.reflected, patches.reflector->stored, Emissivity{1}, 0, around, scopes,
        scopes.mark(patches.reflector->index), patches.reflector->pixels);
    around.reflected = Estimate::combine(1, measured, 1, own_reflected);
  }
  if (patches.ambient && around.used.air_from == "ambient mark") {
    const Emissivity own = patches.ambient->mark->emissivity.value_or(around.emissivity);
    const double emissivity_u =
        patches.ambient->mark->emissivity ? radiometry::default_emissivity_u(own) : u.emissivity;
    const Estimate measured =
        estimate_temperature(around.scene.air, patches.ambient->stored, own, emissivity_u, around,
                             scopes, scopes.mark(patches.ambient->index), patches.ambient->pixels);
    around.air = Estimate::combine(1, measured, 1, own_air);
  }
  if (around.reflected_is_air) {
    around.reflected = Estimate::combine(1, around.air, 1, own_reflected);
  }
}

void record_used(Surroundings& around, const ImageParameters& given, const Patches& patches,
                 bool air_known) {
  auto& used = around.used;
  const auto& scene = around.scene;
  used.air_from = given.air_c ? "images.csv" : patches.ambient ? "ambient mark" : "";
  used.reflected_from = patches.reflector         ? "reflector mark"
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

Result<Surroundings> surroundings_of(const imaging::ThermalImage& image,
                                     const ImageParameters& given, const std::vector<Mark>& marks,
                                     const Scopes& scopes) {
  Surroundings around = from_entry(image, given);
  const auto ambient = find_patch(image, marks, MarkRole::ambient);
  if (!ambient) return fail(ambient.error());
  const auto reflector = find_patch(image, marks, MarkRole::reflector);
  if (!reflector) return fail(reflector.error());
  const Patches patches{*ambient, *reflector};
  if (const auto error = what_is_missing(around, given, marks, patches)) return fail(*error);

  const bool air_known = given.air_c || patches.ambient;
  around.reflected_is_air = !patches.reflector && !given.reflected_c && air_known;
  if (const auto error = measure_patches(around, given, patches)) return fail(*error);
  record_used(around, given, patches, air_known);
  estimate_surroundings(around, patches, scopes);
  if (air_known) around.used.air_c = around.air;
  return around;
}

radiometry::Estimate estimate_temperature(Celsius object, Celsius stored, Emissivity emissivity,
                                          double emissivity_u, const Surroundings& around,
                                          const Scopes& scopes, std::uint32_t mark_scope,
                                          double pixels_averaged) {
  radiometry::Scene scene = around.scene;
  scene.emissivity = emissivity;
  const auto s =
      radiometry::sensitivities(radiometry::long_wave(), stored, around.saved, object, scene);
  const auto& u = around.used.uncertainties;
  const double noise_k = u.noise.value() / std::sqrt(pixels_averaged);
  const Estimate own{object.value(),
                     {{Input{InputKind::emissivity, mark_scope}, s.emissivity * emissivity_u},
                      {Input{InputKind::window_transmittance, scopes.image},
                       s.window_transmittance * u.window_transmittance},
                      {Input{InputKind::camera, scopes.visit}, s.stored * u.camera.value()},
                      {Input{InputKind::noise, mark_scope}, s.stored * noise_k}}};
  // What defaults to another temperature moves with it.
  const double by_reflected =
      s.reflected + (around.saved_reflected_is_reflected ? s.saved_reflected : 0);
  const double by_air = s.air + (around.window_is_air ? s.window : 0) +
                        (around.window_reflected_is_air ? s.window_reflected : 0);
  const Estimate with_reflected =
      Estimate::combine(1, own, by_reflected, deviation_of(around.reflected));
  return Estimate::combine(1, with_reflected, by_air, deviation_of(around.air));
}

}  // namespace ohmglow::assessment
