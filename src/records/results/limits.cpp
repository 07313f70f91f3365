#include "offered/results/limits.h"

#include "offered/diagnosis/ranking.h"
#include "offered/marking/marking.h"
#include "records/files/json_text.h"
#include "records/intake/tables.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <opencv2/core.hpp>
#include <set>
#include <utility>

namespace ohmglow::records {
namespace {

using diagnosis::Assessment;
using diagnosis::ComponentResult;
using diagnosis::Flag;
using diagnosis::ImageResult;
using diagnosis::ImageStatus;
using diagnosis::LugResult;

struct KindRow {
  std::string_view id;
  std::string_view title;
};
// In the order of LimitKind.
constexpr std::array<KindRow, 19> kKinds{{
    {"not_measured", "Cannot be measured"},
    {"not_marked", "Not marked"},
    {"not_used", "Not used as it is"},
    {"missing_lug", "A like lug is missing"},
    {"clipped", "The camera's range cut it off"},
    {"too_far", "Too far for the lug"},
    {"defocused", "Out of focus"},
    {"no_load", "No load given"},
    {"not_judged", "A fault could not have shown"},
    {"low_load", "Too little load"},
    {"no_rating", "No rated current"},
    {"no_air", "No air temperature"},
    {"wind", "Wind"},
    {"low_emissivity", "Shiny surface"},
    {"no_reflected", "No reflected temperature"},
    {"no_data", "Pixels without data"},
    {"no_size", "Whether the lug is large enough cannot be told"},
    {"no_reading", "No electrical reading"},
    {"remark", "For the record"},
}};

/// House rule (docs/survey-folder.md): a camera in focus blurs by 0.5 to 1 pixel.
constexpr double kDefocused_px = 1.5;
constexpr double kBlock_px = 3;
constexpr double kStandardDeviations = 2;
constexpr double kMillimetrePerCentimetre = 10;

/// "0.8 m", rounded down: nearer is right, farther is not.
std::string metres(double distance_m) {
  const double step = distance_m < 0.2 ? 0.01 : 0.1;
  return fmt::format("{:.{}f} m", std::floor(distance_m / step + 1e-9) * step, step < 0.1 ? 2 : 1);
}

std::string lug_names(const std::vector<const LugResult*>& lugs) {
  std::string names;
  for (const LugResult* lug : lugs) names += (names.empty() ? "" : ", ") + lug->name;
  return names;
}

class Limits {
 public:
  Limits(const Assessment& assessment, const std::vector<imaging::Clipping>& ranges)
      : assessment_(assessment), ranges_(ranges) {}

  std::vector<Limit> all() {
    add_problems();
    for (std::size_t i = 0; i < assessment_.images.size(); ++i) add_image(i);
    for (const auto& aside : assessment_.not_judged) add_not_judged(aside);
    for (const ComponentResult& component : assessment_.components) add_component(component);
    add_motors();
    std::stable_sort(limits_.begin(), limits_.end(),
                     [](const Limit& a, const Limit& b) { return a.kind < b.kind; });
    return std::move(limits_);
  }

 private:
  [[nodiscard]] const ImageEntry& entry(std::size_t image) const {
    return assessment_.survey.images.at(image);
  }
  /// A cell of an image's row; of an image that no table lists, a default.
  [[nodiscard]] Place cell(const ImageEntry& entry, std::string_view column) const {
    if (!entry.row)
      return {.file = std::string(kSurveyFile), .column = "defaults." + std::string(column)};
    return {
        .file = assessment_.survey.tables.images, .row = entry.row, .column = std::string(column)};
  }

  void add(LimitKind kind, const ImageEntry& entry, Place place, std::string what,
           std::string mend) {
    limits_.push_back({kind, entry.motor, entry.component, entry.file, std::move(place),
                       std::move(what), std::move(mend)});
  }

  // --- what the survey's reading and the measurement complained of

  void add_problems() {
    std::map<std::string, std::size_t, std::less<>> images;
    for (std::size_t i = 0; i < assessment_.images.size(); ++i) {
      images.emplace(assessment_.images[i].file, i);
    }
    std::set<long> rows;
    for (const ImageEntry& entry : assessment_.survey.images) {
      if (entry.row) rows.insert(*entry.row);
    }
    for (const Problem& problem : assessment_.problems) {
      Limit limit{.kind = problem.is_remark ? LimitKind::remark : LimitKind::not_used,
                  .place = {.file = problem.file, .row = problem.row, .column = problem.column},
                  .what = problem.message};
      if (const auto at = images.find(problem.file); at != images.end()) {
        const ImageResult& image = assessment_.images[at->second];
        if (image.status == ImageStatus::rejected) limit.kind = LimitKind::not_measured;
        if (image.status == ImageStatus::unmarked) limit.kind = LimitKind::not_marked;
        limit.motor = image.motor;
        limit.component = image.component;
        limit.image = image.file;
      }
      // Of a row that is used, this cell is named for the lugs that its image lacks.
      if (problem.file == assessment_.survey.tables.images && problem.column == "component" &&
          problem.row && rows.contains(*problem.row)) {
        limit.kind = LimitKind::missing_lug;
        said_missing_.insert(*problem.row);
      }
      limits_.push_back(std::move(limit));
    }
  }

  // --- an image

  void add_image(std::size_t index) {
    const ImageResult& image = assessment_.images[index];
    if (image.status == ImageStatus::rejected) return;
    add_clipping(index);
    if (image.status != ImageStatus::measured) return;
    const ImageEntry& its = entry(index);
    add_size(index);
    if (image.edge_blur_px && *image.edge_blur_px > kDefocused_px) {
      add(LimitKind::defocused, its, {},
          fmt::format("the lugs' edges are blurred by {:.1f} pixels", *image.edge_blur_px),
          fmt::format("take {} again: focus on the lugs, hold still", its.file));
    }
    if (image.used && !image.used->air_c) {
      add(LimitKind::no_air, its, cell(its, "air_c"), "no rise over air can be told",
          "fill in the air temperature around the lugs, or mark a patch at air temperature");
    }
    add_flag(index, Flag::wind, LimitKind::wind, "wind_m_s",
             "shield the lugs from wind or fan and take the image again after some minutes");
    add_flag(index, Flag::low_emissivity, LimitKind::low_emissivity, "emissivity",
             "then take the image again");
    add_flag(index, Flag::assumed_air, LimitKind::no_reflected, "reflected_c",
             "fill in the reflected apparent temperature, or mark a reflector");
    add_flag(index, Flag::no_data_pixels, LimitKind::no_data, "",
             "take the image again, or mark around the pixels");
  }

  [[nodiscard]] std::vector<const LugResult*> flagged(std::size_t index, Flag flag) const {
    std::vector<const LugResult*> lugs;
    for (const LugResult& lug : assessment_.images[index].lugs) {
      if (lug.has(flag)) lugs.push_back(&lug);
    }
    return lugs;
  }

  void add_flag(std::size_t index, Flag flag, LimitKind kind, std::string_view column,
                std::string_view mend) {
    const auto lugs = flagged(index, flag);
    if (lugs.empty()) return;
    const ImageEntry& its = entry(index);
    add(kind, its, column.empty() ? Place{} : cell(its, column),
        fmt::format("{}: {}", lug_names(lugs), plainly(diagnosis::consequence_of(flag).text)),
        std::string(mend));
  }

  void add_clipping(std::size_t index) {
    if (index >= ranges_.size()) return;
    const ImageEntry& its = entry(index);
    const auto& [most, least] = ranges_[index];
    if (most) {
      add(LimitKind::clipped, its, {},
          fmt::format("{} pixels stand at the image's largest stored number, {:.6g}: what is "
                      "hotter shows no more",
                      most->pixels, most->stored),
          fmt::format("take {} again with a higher temperature range", its.file));
    }
    if (least) {
      add(LimitKind::clipped, its, {},
          fmt::format("{} pixels stand at the image's smallest stored number, {:.6g}: what is "
                      "colder shows no more",
                      least->pixels, least->stored),
          fmt::format("take {} again with a lower temperature range if lugs or air are among them",
                      its.file));
    }
  }

  /// How much nearer the camera must go for a lug; 1 where it need not.
  [[nodiscard]] double nearer_by(std::size_t index, const LugResult& lug) const {
    const ImageParameters& given = entry(index).parameters;
    const Motor* const motor = assessment_.survey.find_motor(entry(index).motor);
    double share = 1;
    if (motor != nullptr && motor->lug_area_cm2 && given.ifov_mrad && given.distance_m) {
      const double side_mm = kMillimetrePerCentimetre * std::sqrt(motor->lug_area_cm2->value());
      const double farthest_m = side_mm / (kBlock_px * given.ifov_mrad->value());
      share = std::min(share, farthest_m / given.distance_m->value());
    }
    const auto marks = assessment_.survey.marks.find(entry(index).file);
    if (marks == assessment_.survey.marks.end()) return share;
    const double blur_px = assessment_.images[index].edge_blur_px.value_or(0);
    for (const Mark& mark : marks->second.marks) {
      if (mark.name != lug.name) continue;
      const auto region =
          marking::region_of(mark.shape, {marks->second.width, marks->second.height});
      if (!region) continue;
      const double least_px = kBlock_px + 2 * kStandardDeviations * blur_px;
      share = std::min(share, std::min(region->box.width, region->box.height) / least_px);
    }
    return share;
  }

  void add_size(std::size_t index) {
    const ImageEntry& its = entry(index);
    const auto small = flagged(index, Flag::too_small);
    const auto& distance = its.parameters.distance_m;
    if (!small.empty()) {
      double share = 1;
      for (const LugResult* lug : small) share = std::min(share, nearer_by(index, *lug));
      const std::string where =
          distance ? fmt::format("go to {} (from {:.3g} m)", metres(share * distance->value()),
                                 distance->value())
                   : fmt::format("go to {:.0f} % of the distance", std::floor(100 * share));
      add(LimitKind::too_far, its, {},
          lug_names(small) + ": " + plainly(diagnosis::consequence_of(Flag::too_small).text),
          fmt::format("{} and take {} again", where, its.file));
      return;
    }
    const Motor* const motor = assessment_.survey.find_motor(its.motor);
    std::string missing;
    const auto lacks = [&missing](bool lacking, std::string_view column) {
      if (lacking) missing.append(missing.empty() ? "" : ", ").append(column);
    };
    lacks(!distance, "distance_m");
    lacks(!its.parameters.ifov_mrad, "ifov_mrad");
    lacks(motor == nullptr || !motor->lug_area_cm2, "lug_area_cm2");
    if (missing.empty()) return;
    add(LimitKind::no_size, its, cell(its, distance ? "ifov_mrad" : "distance_m"),
        "not given: " + missing,
        fmt::format("fill them in ({}; lug_area_cm2 in {})", assessment_.survey.tables.images,
                    assessment_.survey.tables.motors));
  }

  // --- a component

  void add_not_judged(const diagnosis::Aside& aside) {
    not_judged_.emplace(aside.motor, aside.component);
    Limit limit{.kind = LimitKind::not_judged,
                .motor = aside.motor,
                .component = aside.component,
                .image = aside.image.value_or(""),
                .what = plainly(aside.why)};
    limit.mend = aside.image_again_from_a
                     ? fmt::format("take {} again at {:.0f} A or more", limit.image,
                                   std::ceil(*aside.image_again_from_a))
                     : plainly(aside.next_step);
    limits_.push_back(std::move(limit));
  }

  void add_component(const ComponentResult& component) {
    if (component.images.empty()) return;
    const ImageEntry& first = entry(component.images.front());
    add_missing_lugs(component, first);
    const bool has_load = std::any_of(component.load_a.begin(), component.load_a.end(),
                                      [](const auto& load) { return load.has_value(); });
    if (!has_load) {
      add(LimitKind::no_load, first, cell(first, "load_1_a"),
          "a rise says little without the current behind it",
          "fill in load_1_a, load_2_a and load_3_a, measured while the image was taken");
    }
    if (not_judged_.contains({component.motor, component.component})) return;
    for (const std::size_t image : component.images) {
      for (const auto& [flag, mend] :
           {std::pair{Flag::no_load, "take the image again while the motor runs"},
            std::pair{Flag::low_load,
                      "take the image again at 40 % of the rated current or more"}}) {
        if (flagged(image, flag).empty()) continue;
        add_flag(image, flag, LimitKind::low_load, "load_1_a", mend);
        return;
      }
    }
  }

  void add_missing_lugs(const ComponentResult& component, const ImageEntry& first) {
    if (first.row && said_missing_.contains(*first.row)) return;
    std::set<Phase> phases;
    std::vector<const LugResult*> lugs;
    for (const std::size_t image : component.images) {
      for (const LugResult& lug : assessment_.images[image].lugs) {
        if (lug.temperature_c && phases.insert(lug.phase).second) lugs.push_back(&lug);
      }
    }
    if (phases.size() == kPhases.size()) return;
    add(LimitKind::missing_lug, first, {},
        fmt::format("{} of three phases {} measured ({})", phases.size(),
                    phases.size() == 1 ? "is" : "are", lug_names(lugs)),
        "mark the lugs that are missing, or take an image that shows all three; a lug that is not "
        "seen is not compared");
  }

  // --- motors

  void add_motors() {
    const auto& tables = assessment_.survey.tables;
    std::set<std::string, std::less<>> with_readings;
    for (const Reading& reading : assessment_.survey.readings) with_readings.insert(reading.motor);
    for (const auto& result : assessment_.motors) {
      const Motor* const motor = assessment_.survey.find_motor(result.motor);
      if (motor == nullptr || !motor->rated_a) {
        limits_.push_back({.kind = LimitKind::no_rating,
                           .motor = result.motor,
                           .place = {.file = tables.motors, .column = "rated_a"},
                           .what = "no load can be held against the rating",
                           .mend = motor == nullptr
                                       ? "add a row for this motor with its rated current"
                                       : "fill in the rated current from the nameplate"});
      }
      if (!with_readings.contains(result.motor)) {
        limits_.push_back({.kind = LimitKind::no_reading,
                           .motor = result.motor,
                           .place = {.file = tables.readings},
                           .what = "heat is judged without a second witness",
                           .mend = "add a winding resistance, de-energised and locked out"});
      }
    }
  }

  const Assessment& assessment_;
  const std::vector<imaging::Clipping>& ranges_;
  std::vector<Limit> limits_;
  std::set<long> said_missing_;
  std::set<std::pair<std::string, std::string>> not_judged_;
};

OrderedJson null_if_empty(const std::string& text) {
  return text.empty() ? OrderedJson() : OrderedJson(text);
}

}  // namespace

std::string_view id_of(LimitKind kind) {
  return kKinds.at(static_cast<std::size_t>(kind)).id;
}
std::string_view title_of(LimitKind kind) {
  return kKinds.at(static_cast<std::size_t>(kind)).title;
}
bool asks_for_something(LimitKind kind) {
  return kind != LimitKind::remark;
}

std::vector<Limit> limits_of(const Assessment& assessment,
                             const std::vector<imaging::Clipping>& ranges) {
  return Limits(assessment, ranges).all();
}

std::string limits_json(const Assessment& assessment, const std::vector<Limit>& limits) {
  std::array<std::size_t, 3> counts{};
  for (const ImageResult& image : assessment.images) {
    ++counts.at(static_cast<std::size_t>(image.status));
  }
  OrderedJson list = OrderedJson::array();
  for (const Limit& limit : limits) {
    list.push_back({{"kind", id_of(limit.kind)},
                    {"motor", null_if_empty(limit.motor)},
                    {"component", null_if_empty(limit.component)},
                    {"image", null_if_empty(limit.image)},
                    {"file", null_if_empty(limit.place.file)},
                    {"row", limit.place.row ? OrderedJson(*limit.place.row) : OrderedJson()},
                    {"column", null_if_empty(limit.place.column)},
                    {"what", limit.what},
                    {"mend", null_if_empty(limit.mend)}});
  }
  return dumped_lines(
      {{"version", 1},
       {"survey", assessment.survey.folder},
       {"images", {{"measured", counts[0]}, {"unmarked", counts[1]}, {"rejected", counts[2]}}},
       {"limits", std::move(list)}});
}

}  // namespace ohmglow::records
