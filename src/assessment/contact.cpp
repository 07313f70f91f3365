#include "offered/assessment/contact.h"

#include "assessment/scene.h"
#include "offered/marking/marking.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace ohmglow::assessment {
namespace {

using radiometry::MeasuredEmissivity;

struct Found {
  std::size_t index = 0;
  marking::RegionMeasure measured{};
};

Error not_measurable(std::string what, std::string mend) {
  return Error{ErrorKind::not_measurable, std::move(what), {}, {}, std::move(mend)};
}

Result<Found> find_spot(const imaging::ThermalImage& image, const MarkFile& marks,
                        std::string_view name) {
  const auto at = std::find_if(marks.marks.begin(), marks.marks.end(),
                               [name](const Mark& mark) { return mark.name == name; });
  if (at == marks.marks.end()) {
    std::string known;
    for (const Mark& mark : marks.marks) known += (known.empty() ? "" : ", ") + mark.name;
    return fail(Error{ErrorKind::missing, "there is no such mark on the image", std::string(name),
                      known.empty() ? "a mark; the image has none" : "one of " + known,
                      "mark the spot first with: ohmglow mark"});
  }
  const auto region = marking::region_of(at->shape, cv::Size(image.width(), image.height()));
  if (!region) return fail(region.error());
  const auto measured = marking::measure(image.celsius(region->box), *region);
  if (!measured) return fail(measured.error());
  return Found{static_cast<std::size_t>(at - marks.marks.begin()), *measured};
}

std::optional<Error> too_little_contrast(const Surroundings& around,
                                         const ContactTemperature& contact) {
  const double contrast_k = std::abs(contact.temperature.value() - around.scene.reflected.value());
  if (contrast_k >= kLeastContrast.value()) return std::nullopt;
  return not_measurable(
      fmt::format("the spot at {:.1f} °C is only {:.1f} K from the reflected temperature of {:.1f} "
                  "°C: what it emits and what it reflects can hardly be told apart",
                  contact.temperature.value(), contrast_k, around.scene.reflected.value()),
      fmt::format("heat the surface until it is {:.0f} K or more above the reflected temperature "
                  "(ASTM E1933: 10 to 20 °C, from memory), or use --force",
                  kLeastContrast.value()));
}

/// Parts of one kind are independent of each other, such as the noise of the mark and of the
/// reflector patch.
void add_part(std::vector<MeasuredEmissivity::Part>& parts, std::string_view input, double u) {
  const auto at = std::find_if(parts.begin(), parts.end(),
                               [input](const auto& part) { return part.input == input; });
  if (at == parts.end()) {
    parts.push_back({input, u});
  } else {
    at->u = std::copysign(std::hypot(at->u, u), at->u);
  }
}

/// u of the emissivity: the temperature's linear form at that emissivity, and the contact's own,
/// over dT/dε. At a fixed signal and object temperature, dε/dx = −(∂T/∂x)/(∂T/∂ε).
void add_budget(MeasuredEmissivity& result, const Spot& spot, const Surroundings& around,
                const Scopes& scopes) {
  radiometry::Scene scene = around.scene;
  scene.emissivity = spot.emissivity;
  const double by_emissivity =
      radiometry::sensitivities(*around.band, spot.stored, around.saved, result.contact, scene)
          .emissivity;
  const radiometry::Estimate temperature =
      estimate_temperature(result.contact, spot, around, scopes);
  result.parts.push_back({"contact", result.contact_u.value() / by_emissivity});
  for (const radiometry::Contribution& part : temperature.parts()) {
    if (part.u_k != 0) add_part(result.parts, name_of(part.input.kind), -part.u_k / by_emissivity);
  }
  double variance = 0;
  for (const MeasuredEmissivity::Part& part : result.parts) variance += part.u * part.u;
  result.u = std::sqrt(variance);
}

}  // namespace

Result<MeasuredEmissivity> measure_emissivity(const radiometry::BandRadiance& band,
                                              const imaging::ThermalImage& image,
                                              const ImageEntry& entry, const MarkFile& marks,
                                              std::string_view mark,
                                              const ContactTemperature& contact,
                                              bool any_contrast) {
  const auto spot = find_spot(image, marks, mark);
  if (!spot) return fail(spot.error());
  const Scopes scopes;
  const auto around = surroundings_of(band, image, entry.parameters,
                                      radiometry::with_materials(marks).marks, scopes);
  if (!around) return fail(around.error());
  if (!around->used.reflected_c)
    return fail(Error{ErrorKind::missing,
                      "the reflected apparent temperature is not known",
                      {},
                      {},
                      "fill in reflected_c, or mark a diffuse reflector patch"});
  if (auto error = too_little_contrast(*around, contact); error && !any_contrast)
    return fail(*error);

  const Celsius stored{spot->measured.mean};
  const auto received = radiometry::apparent_radiance(band, stored, around->saved);
  const auto apparent = received ? band.temperature(*received) : std::nullopt;
  const auto emissivity =
      apparent ? radiometry::emissivity_of(band, *received, contact.temperature, around->scene)
               : std::nullopt;
  if (!emissivity)
    return fail(not_measurable(
        fmt::format("the balance says nothing of an emissivity at {:.1f} °C before {:.1f} °C",
                    contact.temperature.value(), around->scene.reflected.value()),
        "check the contact temperature and the image's parameters"));
  if (!(*emissivity > 0 && *emissivity <= 1))
    return fail(not_measurable(
        fmt::format("the emissivity would be {:.3f}: the camera received {:.1f} °C from a spot of "
                    "{:.1f} °C before {:.1f} °C",
                    *emissivity, apparent->value(), contact.temperature.value(),
                    around->scene.reflected.value()),
        "check the contact temperature (does the probe touch well?), the reflected temperature "
        "and the stored declaration"));

  MeasuredEmissivity result;
  result.emissivity = *emissivity;
  result.contact = contact.temperature;
  result.contact_u = contact.u;
  result.apparent = *apparent;
  result.reflected = around->scene.reflected;
  result.reflected_from = around->used.reflected_from;
  result.spread = KelvinDifference{spot->measured.deviation};
  result.pixels = spot->measured.pixels - spot->measured.no_data;
  add_budget(result,
             Spot{.mark = spot->index,
                  .stored = stored,
                  .emissivity = Emissivity{result.emissivity},
                  .pixels = static_cast<double>(result.pixels)},
             *around, scopes);
  return result;
}

}  // namespace ohmglow::assessment
