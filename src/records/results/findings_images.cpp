#include "records/results/findings_parts.h"

#include <cstddef>

namespace ohmglow::records {
namespace {

using diagnosis::ImageResult;
using diagnosis::LugResult;
using diagnosis::UsedParameters;

void put_uncertainties(JsonWriter& json, const radiometry::InputUncertainties& u) {
  JsonObject object(json);
  object("emissivity_u", u.emissivity);
  object("reflected_u_c", u.reflected.value());
  object("air_u_c", u.air.value());
  object("camera_u_c", u.camera.value());
  object("noise_k", u.noise.value());
  object("window_u", u.window_transmittance);
  object("atmosphere_u", u.atmosphere_transmittance);
  object("nonuniformity_k", u.nonuniformity.value());
  object("load_u_pct", u.load.value());
}

void put_parameters(JsonWriter& json, const std::optional<UsedParameters>& used) {
  if (!used) return json.null();
  JsonObject object(json);
  object("declaration", unless_empty(used->declaration));
  object("saved_emissivity", used->saved_emissivity);
  object("saved_reflected_c", used->saved_reflected_c);
  object("reflected_c", used->reflected_c);
  object("reflected_from", unless_empty(used->reflected_from));
  object("air_c", used->air_c);
  object("air_u_c", u_of(used->air_c));
  object("air_from", unless_empty(used->air_from));
  object("atmosphere_transmittance", used->atmosphere_transmittance);
  object("window_transmittance", used->window_transmittance);
  object("window_reflectance", used->window_reflectance);
  object("window_c", used->window_c);
  object("window_reflected_c", used->window_reflected_c);
  object("uncertainties", by(put_uncertainties, used->uncertainties));
}

/// What the survey says of an image; nothing where it has no row of its own.
ImageEntry entry_of(const diagnosis::Assessment& assessment, std::size_t index) {
  const auto& entries = assessment.survey.images;
  if (index >= entries.size() || entries[index].file != assessment.images[index].file) return {};
  return entries[index];
}

}  // namespace

void put_lug(JsonWriter& json, const diagnosis::Assessment& assessment, const LugResult& lug) {
  JsonObject object(json);
  object("name", lug.name);
  object("phase", lug.phase);
  object("phase_name", phase_name(assessment, lug.phase));
  object("temperature_c", lug.temperature_c);
  object("u_c", u_of(lug.temperature_c));
  object("max_c", lug.max_c);
  object("mean_c", lug.mean_c);
  object("p95_c", lug.p95_c);
  object("pixels", lug.pixels);
  object("hottest", std::array{lug.hottest.x, lug.hottest.y});
  object("rise_over_like_c", lug.rise_over_like);
  object("rise_over_like_u_c", u_of(lug.rise_over_like));
  object("rise_over_air_c", lug.rise_over_air);
  object("rise_over_air_u_c", u_of(lug.rise_over_air));
  object("reference_c", lug.reference_c);
  object("sound_scatter_c", lug.sound_scatter);
  object("hot_from_c", lug.hot_from_k);
  object("hot", lug.hot);
  object("projected_rise_c", if_known(lug.projected_rise, &severity::Projection::rise));
  object("projected_rise_low_c", if_known(lug.projected_rise, &severity::Projection::low));
  object("projected_rise_high_c", if_known(lug.projected_rise, &severity::Projection::high));
  object("projected_rise_u_c", if_known(lug.projected_rise, &severity::Projection::u_k));
  object("monte_carlo", lug.monte_carlo);
  object("band", assessment.band_id(lug.grade));
  object("band_by", severity::name_of(lug.grade.by));
  object("band_simple", assessment.band_id(lug.simple_grade));
  object("band_probability", by(put_probability, assessment.policy, lug.band_probability));
  object("emissivity", lug.emissivity.value());
  object("flags", names(lug.flags));
}

namespace {

void put_outside(JsonWriter& json, const diagnosis::Assessment& assessment,
                 const std::optional<diagnosis::SpotOutside>& outside) {
  if (!outside) return json.null();
  const LugResult& spot = outside->spot;
  JsonObject object(json);
  object("hottest", std::array{spot.hottest.x, spot.hottest.y});
  object("pixels", spot.pixels);
  object("is_background", outside->is_background);
  object("temperature_c", spot.temperature_c);
  object("u_c", u_of(spot.temperature_c));
  object("rise_over_like_c", spot.rise_over_like);
  object("rise_over_like_u_c", u_of(spot.rise_over_like));
  object("rise_over_air_c", spot.rise_over_air);
  object("rise_over_air_u_c", u_of(spot.rise_over_air));
  object("band", assessment.band_id(spot.grade));
  object("band_by", severity::name_of(spot.grade.by));
  object("emissivity", spot.emissivity.value());
}

}  // namespace

void put_image(JsonWriter& json, const diagnosis::Assessment& assessment, std::size_t index) {
  const ImageResult& image = assessment.images[index];
  const ImageEntry entry = entry_of(assessment, index);
  JsonObject object(json);
  object("file", image.file);
  object("page", entry.parameters.page);  // one file may stand for several images
  object("sha256", unless_empty(image.sha256));
  object("motor", image.motor);
  object("component", image.component);
  object("taken_at", image.taken_at);
  object("status", diagnosis::name_of(image.status));
  object("problems", image.problems);
  object("load_a", image.load_a);
  object("distance_m", entry.parameters.distance_m);
  object("humidity_pct", entry.parameters.humidity_pct);
  object("wind_m_s", entry.parameters.wind_m_s);
  object("note", unless_empty(entry.note));
  object("parameters", by(put_parameters, image.used));
  object("edge_blur_px", image.edge_blur_px);
  object("outside", by(put_outside, assessment, image.outside));
  object("lugs",
         each(image.lugs, [&](const LugResult& lug) { return by(put_lug, assessment, lug); }));
}

}  // namespace ohmglow::records
