#include "assessment/measure.h"
#include "assessment/scene.h"
#include "assessment/sharpness.h"
#include "offered/marking/marking.h"
#include "offered/marking/outside.h"
#include "offered/radiometry/surfaces.h"
#include "ohmglow/severity.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace ohmglow::assessment {
namespace {

using diagnosis::Flag;
using diagnosis::LugResult;

constexpr double kLowEmissivity = 0.5;
constexpr double kPixelsOfBlock = 9;

/// Everything that the lugs of one image share.
struct Shared {
  const imaging::ThermalImage& image;
  const ImageEntry& entry;
  const Motor* motor;
  const Surroundings& around;
  const Scopes& scopes;
  PixelTables& tables;
};

void raise_flags(LugResult& lug, const Shared& shared, const marking::RegionMeasure& measured) {
  const ImageParameters& given = shared.entry.parameters;
  const auto lug_area = shared.motor != nullptr ? shared.motor->lug_area_cm2 : std::nullopt;
  const bool small =
      marking::smaller_than_spot(lug_area, given.ifov_mrad, given.distance_m).value_or(false);
  if (small || !measured.has_block) lug.raise(Flag::too_small);
  if (measured.no_data > 0) lug.raise(Flag::no_data_pixels);
}

void raise_scene_flags(LugResult& lug, const Shared& shared) {
  const ImageParameters& given = shared.entry.parameters;
  if (lug.emissivity.value() < kLowEmissivity) lug.raise(Flag::low_emissivity);
  if (given.wind_m_s && given.wind_m_s->value() > severity::kWindLimit_m_s) lug.raise(Flag::wind);
  if (shared.around.reflected_is_air && lug.emissivity.value() < 1) lug.raise(Flag::assumed_air);
}

/// Mean stored temperature of the 3×3 block (or the pixel) that gave the lug its temperature.
Celsius stored_at(const imaging::ThermalImage& image, const marking::RegionMeasure& measured) {
  const int reach = measured.has_block ? 1 : 0;
  const cv::Rect block(static_cast<int>(measured.hottest.x) - reach,
                       static_cast<int>(measured.hottest.y) - reach, 2 * reach + 1, 2 * reach + 1);
  return Celsius{cv::mean(image.celsius(block))[0]};
}

/// Whether no pixel can be a surface's temperature: then the declared scale is wrong, whatever the
/// emissivity.
bool is_absurd(const imaging::ThermalImage& image) {
  const imaging::Statistics all = imaging::statistics(image.celsius());
  return all.finite > 0 && (all.max < radiometry::BandRadiance::kLowest.value() ||
                            all.min > radiometry::BandRadiance::kHighest.value());
}

Error outside_table(const Mark& mark, Emissivity emissivity, const Shared& shared) {
  if (is_absurd(shared.image)) {
    const imaging::Statistics all = imaging::statistics(shared.image.celsius());
    return Error{.kind = ErrorKind::not_measurable,
                 .what = fmt::format("lug \"{}\" has no temperature: the whole image lies at "
                                     "{:.0f} to {:.0f} °C, stored as {}",
                                     mark.name, all.min, all.max, shared.around.used.declaration),
                 .mend = "correct scale, offset and unit"};
  }
  return Error{
      .kind = ErrorKind::not_measurable,
      .what = fmt::format("lug \"{}\" has no temperature between -60 and 1500 °C: emissivity {} "
                          "is too low for the scene",
                          mark.name, emissivity.value()),
      .mend = "tape or paint the lug, or check reflected_c and the transmittances"};
}

/// Fills in what was measured; the error says why there is no temperature.
std::optional<Error> measure_lug(LugResult& lug, const Mark& mark, Spot& spot,
                                 const Shared& shared) {
  const auto region =
      marking::region_of(mark.shape, cv::Size(shared.image.width(), shared.image.height()));
  if (!region) return region.error();
  raise_scene_flags(lug, shared);

  PixelParameters parameters{shared.around.band, shared.image.declaration(), shared.around.saved,
                             shared.around.scene};
  parameters.scene.emissivity = lug.emissivity;
  const auto measured = marking::measure(
      shared.tables.object_celsius(shared.image, region->box, parameters), *region);
  // Where every pixel has a temperature, every stored one has, and none lies outside the table.
  const bool is_whole = measured && measured->no_data == 0;
  const auto stored_measure =
      is_whole ? measured : marking::measure(shared.image.celsius(region->box), *region);
  if (!stored_measure) return stored_measure.error();
  // The object temperature rises with the stored one: where the hottest pixel has a solution, only
  // colder pixels can lie outside the table, and they count as no data.
  if (!is_whole && !std::isfinite(object_celsius(Celsius{stored_measure->max}, parameters))) {
    lug.raise(Flag::outside_table);
    return outside_table(mark, lug.emissivity, shared);
  }
  if (!measured || measured->no_data > stored_measure->no_data) lug.raise(Flag::outside_table);
  if (!measured) return outside_table(mark, lug.emissivity, shared);

  raise_flags(lug, shared, *stored_measure);
  lug.max_c = measured->max;
  lug.mean_c = measured->mean;
  lug.p95_c = measured->p95;
  lug.pixels = measured->pixels;
  lug.hottest = measured->hottest;
  spot.stored = stored_at(shared.image, *measured);
  spot.emissivity = lug.emissivity;
  spot.emissivity_u =
      emissivity_u_of(mark, lug.emissivity, shared.around.used.uncertainties.emissivity);
  spot.pixels = measured->has_block ? kPixelsOfBlock : 1;
  lug.temperature_c =
      estimate_temperature(Celsius{measured->hottest_block}, spot, shared.around, shared.scopes);
  return std::nullopt;
}

void measure_lugs(diagnosis::ImageResult& result, const MarkFile& marks, const Shared& shared,
                  const PhaseNames& phase_names, std::vector<Spot>& spots) {
  for (std::size_t i = 0; i < marks.marks.size(); ++i) {
    const Mark& mark = marks.marks[i];
    if (mark.role != MarkRole::lug) continue;
    const auto phase = marking::phase_of(mark, phase_names);
    if (!phase) {
      result.problems.push_back(
          fmt::format(R"(lug "{}" names no phase; add "phase": 1, 2 or 3)", mark.name));
      continue;
    }
    LugResult lug;
    lug.name = mark.name;
    lug.phase = *phase;
    lug.emissivity = mark.emissivity.value_or(shared.around.emissivity);
    if (!mark.is_confirmed()) lug.raise(Flag::unconfirmed);
    Spot spot{.mark = i};
    if (const auto error = measure_lug(lug, mark, spot, shared)) {
      Error named = *error;
      if (named.what.find(mark.name) == std::string::npos) {
        named.what = fmt::format("lug \"{}\": {}", mark.name, named.what);
      }
      result.problems.push_back(sentence(named));
    }
    result.lugs.push_back(std::move(lug));
    spots.push_back(spot);
  }
}

// What a spot's surface is nobody knows: insulation and paint have about this emissivity, and a
// surface of less is hotter than the one that is taken for it. A bare lug's own would make every
// cable beside it hot.
constexpr Emissivity kOfMostSurfaces{0.95};
// A circle that holds a 3×3 block and no more.
constexpr double kBlockRadius_px = 1.5;

// What a spot must exceed to be of interest: nothing is hot that is colder than every lug.
std::optional<Celsius> coolest_stored(const diagnosis::ImageResult& result,
                                      const std::vector<Spot>& spots) {
  std::optional<Celsius> coolest;
  for (std::size_t i = 0; i < spots.size(); ++i) {
    if (!result.lugs[i].temperature_c) continue;
    coolest = coolest ? std::min(*coolest, spots[i].stored) : spots[i].stored;
  }
  return coolest;
}

// A lug that mirrors its surroundings looks colder than the insulated cable on it, whatever
// emissivity it is given.
bool is_bare(const Spot& spot) {
  constexpr Emissivity kLikeInsulation{0.93};
  return spot.emissivity < kLikeInsulation;
}

std::optional<diagnosis::SpotOutside> spot_outside(const diagnosis::ImageResult& result,
                                                   const MarkFile& marks, const Shared& shared,
                                                   const std::vector<Spot>& spots) {
  const auto place =
      marking::hottest_outside(shared.image, marks.marks, coolest_stored(result, spots),
                               std::none_of(spots.begin(), spots.end(), is_bare));
  if (!place) return std::nullopt;
  const Mark mark{.shape =
                      Circle{{static_cast<double>(place->at.x), static_cast<double>(place->at.y)},
                             kBlockRadius_px}};
  Spot spot{.mark = marks.marks.size()};
  diagnosis::SpotOutside outside;
  outside.is_background = place->is_background;
  outside.spot.emissivity = std::max(shared.around.emissivity, kOfMostSurfaces);
  if (measure_lug(outside.spot, mark, spot, shared)) return std::nullopt;
  outside.spot.pixels = place->pixels;
  return outside;
}

}  // namespace

diagnosis::ImageResult result_for(const ImageEntry& entry) {
  diagnosis::ImageResult result;
  result.file = entry.file;
  result.motor = entry.motor;
  result.component = entry.component;
  result.taken_at = entry.taken_at;
  result.load_a = entry.parameters.load_a;
  return result;
}

diagnosis::ImageResult measure_with(const radiometry::BandRadiance& band,
                                    const imaging::ThermalImage& image, const ImageEntry& entry,
                                    const MarkFile& as_marked, const Motor* motor,
                                    const PhaseNames& phase_names, const Scopes& scopes,
                                    PixelTables& tables, Measured* how) {
  const MarkFile marks = radiometry::with_materials(as_marked);
  diagnosis::ImageResult result = result_for(entry);
  const bool any_lug = std::any_of(marks.marks.begin(), marks.marks.end(),
                                   [](const Mark& mark) { return mark.role == MarkRole::lug; });
  if (!any_lug) {
    result.status = diagnosis::ImageStatus::unmarked;
    result.problems.push_back("no lug is marked; mark it with: ohmglow mark, or on the page");
    const auto around = surroundings_of(band, image, entry.parameters, marks.marks, scopes);
    if (!around) return result;
    result.used = around->used;
    result.outside =
        spot_outside(result, marks, Shared{image, entry, motor, *around, scopes, tables}, {});
    return result;
  }
  if (marks.width != image.width() || marks.height != image.height()) {
    result.problems.push_back(fmt::format(
        "the marks were made on an image of {} × {} pixels, this one has {} × {}; mark it anew",
        marks.width, marks.height, image.width(), image.height()));
    return result;
  }
  const auto around = surroundings_of(band, image, entry.parameters, marks.marks, scopes);
  if (!around) {
    result.problems.push_back(sentence(around.error()));
    return result;
  }
  result.status = diagnosis::ImageStatus::measured;
  result.used = around->used;
  result.problems = around->remarks;
  if (std::any_of(marks.marks.begin(), marks.marks.end(), [](const Mark& mark) {
        return mark.role == MarkRole::lug && !mark.is_confirmed();
      })) {
    result.problems.push_back(
        "nobody has confirmed the lugs' marks; look whether each lies on its lug and has the right "
        "phase, then confirm them with: ohmglow mark --confirm, or on the page");
  }
  std::vector<Spot> spots;
  const Shared shared{image, entry, motor, *around, scopes, tables};
  measure_lugs(result, marks, shared, phase_names, spots);
  result.outside = spot_outside(result, marks, shared, spots);
  judge_sharpness(result, image, marks);
  if (how != nullptr) *how = {scopes, *around, std::move(spots)};
  return result;
}

diagnosis::ImageResult measure_image(const imaging::ThermalImage& image, const ImageEntry& entry,
                                     const MarkFile& marks, const Motor* motor,
                                     const PhaseNames& phase_names, std::uint32_t index,
                                     std::uint32_t visit, const radiometry::BandRadiance& band) {
  PixelTables tables;
  return measure_with(band, image, entry, marks, motor, phase_names, Scopes{index, visit}, tables);
}

}  // namespace ohmglow::assessment
