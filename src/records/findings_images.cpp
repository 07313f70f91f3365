#include "records/findings_parts.h"
#include "records/json_values.h"

#include <cstddef>

namespace ohmglow::records {
namespace {

using diagnosis::ImageResult;
using diagnosis::LugResult;
using diagnosis::UsedParameters;

OrderedJson uncertainties_json(const radiometry::InputUncertainties& u) {
  return {{"emissivity_u", u.emissivity},
          {"reflected_u_c", u.reflected.value()},
          {"air_u_c", u.air.value()},
          {"camera_u_c", u.camera.value()},
          {"noise_k", u.noise.value()},
          {"window_u", u.window_transmittance},
          {"atmosphere_u", u.atmosphere_transmittance},
          {"nonuniformity_k", u.nonuniformity.value()},
          {"load_u_pct", u.load.value()}};
}

OrderedJson parameters_json(const std::optional<UsedParameters>& used) {
  if (!used) return {};
  return {{"declaration", text_or_null(used->declaration)},
          {"saved_emissivity", used->saved_emissivity},
          {"saved_reflected_c", or_null(used->saved_reflected_c)},
          {"reflected_c", or_null(used->reflected_c)},
          {"reflected_from", text_or_null(used->reflected_from)},
          {"air_c", or_null(used->air_c)},
          {"air_u_c", u_or_null(used->air_c)},
          {"air_from", text_or_null(used->air_from)},
          {"atmosphere_transmittance", used->atmosphere_transmittance},
          {"window_transmittance", used->window_transmittance},
          {"window_reflectance", used->window_reflectance},
          {"window_c", or_null(used->window_c)},
          {"window_reflected_c", or_null(used->window_reflected_c)},
          {"uncertainties", uncertainties_json(used->uncertainties)}};
}

/// The page that the survey asked for: one file may stand for several images.
OrderedJson page_json(const diagnosis::Assessment& assessment, std::size_t index) {
  const auto& entries = assessment.survey.images;
  if (index >= entries.size() || entries[index].file != assessment.images[index].file) return {};
  return or_null(entries[index].parameters.page);
}

}  // namespace

OrderedJson lug_json(const diagnosis::Assessment& assessment, const LugResult& lug) {
  const auto projected = [&lug](KelvinDifference severity::Projection::*end) {
    return lug.projected_rise ? plain((*lug.projected_rise).*end) : OrderedJson();
  };
  return {{"name", lug.name},
          {"phase", number_of(lug.phase)},
          {"phase_name", phase_name_json(assessment, lug.phase)},
          {"temperature_c", or_null(lug.temperature_c)},
          {"u_c", u_or_null(lug.temperature_c)},
          {"max_c", lug.max_c},
          {"mean_c", lug.mean_c},
          {"p95_c", lug.p95_c},
          {"pixels", lug.pixels},
          {"hottest", {lug.hottest.x, lug.hottest.y}},
          {"rise_over_like_c", or_null(lug.rise_over_like)},
          {"rise_over_like_u_c", u_or_null(lug.rise_over_like)},
          {"rise_over_air_c", or_null(lug.rise_over_air)},
          {"rise_over_air_u_c", u_or_null(lug.rise_over_air)},
          {"reference_c", or_null(lug.reference_c)},
          {"projected_rise_c", projected(&severity::Projection::rise)},
          {"projected_rise_low_c", projected(&severity::Projection::low)},
          {"projected_rise_high_c", projected(&severity::Projection::high)},
          {"projected_rise_u_c",
           lug.projected_rise ? OrderedJson(lug.projected_rise->u_k) : OrderedJson()},
          {"monte_carlo", monte_carlo_json(lug.monte_carlo)},
          {"band", assessment.band_id(lug.grade)},
          {"band_by", severity::name_of(lug.grade.by)},
          {"band_simple", assessment.band_id(lug.simple_grade)},
          {"band_probability", probability_json(assessment.policy, lug.band_probability)},
          {"emissivity", lug.emissivity.value()},
          {"flags", flags_json(lug.flags)}};
}

OrderedJson image_json(const diagnosis::Assessment& assessment, std::size_t index) {
  const ImageResult& image = assessment.images[index];
  return {{"file", image.file},
          {"page", page_json(assessment, index)},
          {"sha256", text_or_null(image.sha256)},
          {"motor", image.motor},
          {"component", image.component},
          {"taken_at", or_null(image.taken_at)},
          {"status", diagnosis::name_of(image.status)},
          {"problems", image.problems},
          {"load_a", three(image.load_a)},
          {"parameters", parameters_json(image.used)},
          {"edge_blur_px", or_null(image.edge_blur_px)},
          {"lugs",
           list_of(image.lugs, [&](const LugResult& lug) { return lug_json(assessment, lug); })}};
}

}  // namespace ohmglow::records
