#include "sanity.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <functional>
#include <iterator>
#include <set>
#include <string_view>
#include <utility>

namespace ohmglow::diagnosis {
namespace {

using radiometry::Estimate;

// House rules (docs/survey-folder.md).
constexpr double kFarAboveAir_k = 100;
constexpr double kFarBelowAir_k = 15;
constexpr double kBelowAir_u = 3;  // standard uncertainties
constexpr double kFlat_k = 1e-4;   // the least noise of any camera is a hundred times that
constexpr double kMostOfRated = 3;
constexpr double kLeastOfRated = 1.0 / 50;

using Problems = std::vector<Problem>;

Problem odd(const Place& place, std::string what, std::string found, std::string expected,
            std::string mend) {
  return problem_from({.kind = ErrorKind::conflict,
                       .what = std::move(what),
                       .found = std::move(found),
                       .expected = std::move(expected),
                       .mend = std::move(mend),
                       .place = place});
}

// An image's cell, under the table's usual name; of an image that no table lists, the file itself.
Place cell_of(const ImageEntry& entry, std::string_view column) {
  return {.file = entry.row ? "images.csv" : entry.file,
          .row = entry.row,
          .column = std::string(column)};
}
Place marks_of(const ImageEntry& entry) {
  return {.file = fmt::format("marks/{}.json", entry.file), .row = {}, .column = "marks"};
}

std::string degrees(double celsius) {
  return fmt::format("{:.1f} °C", celsius);
}

// Lugs with a temperature.
std::vector<const LugResult*> measured_lugs(const ImageResult& image) {
  std::vector<const LugResult*> lugs;
  for (const LugResult& lug : image.lugs) {
    if (lug.temperature_c) lugs.push_back(&lug);
  }
  return lugs;
}

std::string lug_names(const std::vector<const LugResult*>& lugs) {
  std::vector<std::string> names;
  for (const LugResult* lug : lugs) names.push_back(lug->name);
  return fmt::format("{}", fmt::join(names, ", "));
}

// --- temperatures
// ------------------------------------------------------------------------------------------------

// All lugs far above or all far below the air that the row or the defaults give: a slip that they
// share.
std::optional<Problem> far_from_air(const ImageEntry& entry,
                                    const std::vector<const LugResult*>& lugs) {
  const auto& air = entry.parameters.air_c;
  if (!air || lugs.empty()) return std::nullopt;
  const auto by_value = [](const LugResult* a, const LugResult* b) {
    return a->temperature_c->value() < b->temperature_c->value();
  };
  const auto [coldest, hottest] = std::minmax_element(lugs.begin(), lugs.end(), by_value);
  const double least_k = (*coldest)->temperature_c->value() - air->value();
  const double most_k = (*hottest)->temperature_c->value() - air->value();
  const bool above = least_k > kFarAboveAir_k;
  if (!above && !(most_k < -kFarBelowAir_k)) return std::nullopt;
  const double nearest_k = above ? least_k : -most_k;
  return odd(cell_of(entry, "air_c"),
             fmt::format("every lug of {} is {:.0f} K or more {} the air", entry.file, nearest_k,
                         above ? "above" : "below"),
             degrees(air->value()),
             fmt::format("lugs near the air's temperature or above it, here {} to {}",
                         degrees((*coldest)->temperature_c->value()),
                         degrees((*hottest)->temperature_c->value())),
             "check the air's unit (degrees Fahrenheit? then air_f), and scale, offset and unit of "
             "the image");
}

// Every pixel of every lug the same: no camera is free of noise.
std::optional<Problem> flat(const ImageEntry& entry, const ImageResult& image,
                            const std::vector<const LugResult*>& lugs) {
  if (lugs.empty()) return std::nullopt;
  const double level = lugs.front()->mean_c;
  const bool is_flat = std::all_of(lugs.begin(), lugs.end(), [level](const LugResult* lug) {
    return lug->pixels > 1 && std::fabs(lug->mean_c - level) < kFlat_k &&
           lug->max_c - lug->mean_c < kFlat_k;
  });
  if (!is_flat) return std::nullopt;
  return odd(
      cell_of(entry, "scale"),
      fmt::format("all pixels of the lugs of {} are at the same {}", entry.file, degrees(level)),
      image.used ? image.used->declaration : "", "the noise of a camera at least",
      "check scale, offset and unit of the image, and whether it holds temperatures");
}

// A lug makes heat or none, and cannot stay colder than the air around it.
void add_below_air(const ImageEntry& entry, const ImageResult& image,
                   const std::vector<const LugResult*>& lugs, Problems& problems) {
  if (!image.used || !image.used->air_c) return;
  const Estimate& air = *image.used->air_c;
  for (const LugResult* lug : lugs) {
    const Estimate rise = Estimate::combine(1, *lug->temperature_c, -1, air);
    if (!(rise.value() < 0 && -rise.value() > kBelowAir_u * rise.u())) continue;
    problems.push_back(
        odd(cell_of(entry, "air_c"),
            fmt::format("lug \"{}\" of {} is {:.1f} K below the air, more than {:.0f} standard "
                        "uncertainties ({:.1f} K)",
                        lug->name, entry.file, -rise.value(), kBelowAir_u, rise.u()),
            degrees(air.value()), fmt::format("at most {}", degrees(lug->temperature_c->value())),
            "check air_c (the air around the lugs, or the ambient mark), reflected_c and the "
            "emissivity"));
  }
}

// --- currents
// ------------------------------------------------------------------------------------------------

using Currents = PerPhase<std::optional<Ampere>>;

bool runs(const std::optional<Ampere>& current) {
  return current && current->value() > 0;
}
bool is_too_high(const std::optional<Ampere>& current, Ampere rated) {
  return runs(current) && current->value() > kMostOfRated * rated.value();
}
bool is_too_low(const std::optional<Ampere>& current, Ampere rated) {
  return runs(current) && current->value() < kLeastOfRated * rated.value();
}

// One problem a row: what is wrong with one of its currents is mostly wrong with all.
std::optional<Problem> odd_currents(const Currents& currents, Ampere rated,
                                    const std::function<Place(std::size_t)>& place) {
  for (std::size_t i = 0; i < currents.size(); ++i) {
    const auto& current = currents.at(i);
    const bool high = is_too_high(current, rated);
    if (!high && !is_too_low(current, rated)) continue;
    // A line that is dead while others run is no slip of the unit.
    const bool alone =
        !high && std::any_of(currents.begin(), currents.end(), [&](const auto& other) {
          return runs(other) && !is_too_low(other, rated);
        });
    const std::string unit =
        high ? "milliampere written as ampere?" : "kiloampere written as ampere?";
    return odd(
        place(i),
        fmt::format("this current is {:.3g} times the motor's rated current",
                    current->value() / rated.value()),
        fmt::format("{:.6g} A", current->value()),
        fmt::format("{:.4g} to {:.4g} A for a rated_a of {:.4g} A, or 0",
                    kLeastOfRated * rated.value(), kMostOfRated * rated.value(), rated.value()),
        alone ? "the other lines run: an open line, or a slip in this cell"
              : "check the number's unit (" + unit + ") and rated_a in motors.csv");
  }
  return std::nullopt;
}

void add_odd_currents(const Survey& motor_rows, Problems& problems) {
  if (motor_rows.motors.empty() || !motor_rows.motors.front().rated_a) return;
  const Ampere rated = *motor_rows.motors.front().rated_a;
  for (const ImageEntry& entry : motor_rows.images) {
    const auto place = [&entry](std::size_t i) {
      return cell_of(entry, fmt::format("load_{}_a", i + 1));
    };
    if (auto problem = odd_currents(entry.parameters.load_a, rated, place)) {
      problems.push_back(std::move(*problem));
    }
  }
  for (const Reading& reading : motor_rows.readings) {
    if (reading.test != Test::line_current) continue;
    Currents currents;
    for (std::size_t i = 0; i < currents.size(); ++i) {
      currents.at(i) = Ampere{reading.values.at(i)};
    }
    const auto place = [&reading](std::size_t i) {
      return Place{
          .file = "readings.csv", .row = reading.row, .column = fmt::format("value_{}", i + 1)};
    };
    if (auto problem = odd_currents(currents, rated, place)) {
      problems.push_back(std::move(*problem));
    }
  }
}

// --- lugs and phases
// ------------------------------------------------------------------------------------------------

// Two lugs on one phase, unless every phase that is marked has as many: parallel lugs.
std::optional<Problem> shared_phase(const ImageEntry& entry, const ImageResult& image) {
  PerPhase<std::vector<const LugResult*>> of_phase;
  for (const LugResult& lug : image.lugs) of_phase.at(index_of(lug.phase)).push_back(&lug);
  const bool parallel = std::all_of(of_phase.begin(), of_phase.end(), [&](const auto& lugs) {
    return lugs.size() == of_phase.front().size();
  });
  if (parallel) return std::nullopt;
  for (const Phase phase : kPhases) {
    const auto& lugs = of_phase.at(index_of(phase));
    if (lugs.size() < 2) continue;
    return odd(
        marks_of(entry),
        fmt::format("{} lugs of {} are on phase {}", lugs.size(), entry.file, number_of(phase)),
        lug_names(lugs),
        fmt::format("one lug a phase, or as many on each: phases 1, 2, 3 have {}, {}, {}",
                    of_phase[0].size(), of_phase[1].size(), of_phase[2].size()),
        "correct the phase of one of these marks, or mark the parallel lugs of the other "
        "phases too");
  }
  return std::nullopt;
}

// A component at one visit, over all of its images.
struct Seen {
  const ImageEntry* first = nullptr;
  std::vector<const LugResult*> lugs;
  std::set<Phase> phases;
};

void add_missing_lugs(const Survey& motor_rows, const std::vector<ImageResult>& images,
                      Problems& problems) {
  using Key = std::pair<std::string, std::optional<std::chrono::sys_days>>;
  std::vector<std::pair<Key, Seen>> components;  // in the order of their first images
  for (std::size_t i = 0; i < images.size(); ++i) {
    const ImageEntry& entry = motor_rows.images[i];
    const auto lugs = measured_lugs(images[i]);
    if (lugs.empty()) continue;
    const auto& moment = images[i].taken_at;
    const Key key{entry.component, moment ? std::optional(moment->day) : std::nullopt};
    auto at = std::find_if(components.begin(), components.end(),
                           [&key](const auto& known) { return known.first == key; });
    if (at == components.end()) {
      at = components.insert(at, {key, Seen{.first = &entry, .lugs = {}, .phases = {}}});
    }
    at->second.lugs.insert(at->second.lugs.end(), lugs.begin(), lugs.end());
    for (const LugResult* lug : lugs) at->second.phases.insert(lug->phase);
  }
  const auto whole = std::find_if(components.begin(), components.end(), [](const auto& known) {
    return known.second.phases.size() == kPhases.size();
  });
  if (whole == components.end()) return;
  for (const auto& [key, seen] : components) {
    if (seen.phases.size() == kPhases.size()) continue;
    const std::string like =
        whole->first.first == key.first
            ? "this component has on another day (" + whole->second.first->file
            : "its motor's " + whole->first.first + " has (" + whole->second.first->file;
    problems.push_back(
        odd(cell_of(*seen.first, "component"),
            fmt::format("{} of the three phases of \"{}\" {} measured", seen.phases.size(),
                        key.first, seen.phases.size() == 1 ? "is" : "are"),
            lug_names(seen.lugs), "three phases, as " + like + ")",
            "mark the lugs that are missing, or image them; a lug that is not seen is not "
            "compared"));
  }
}

}  // namespace

std::vector<Problem> odd_inputs(const Survey& motor_rows, const std::vector<ImageResult>& images) {
  Problems problems;
  for (std::size_t i = 0; i < images.size(); ++i) {
    const ImageEntry& entry = motor_rows.images[i];
    const auto lugs = measured_lugs(images[i]);
    if (auto far = far_from_air(entry, lugs)) {
      problems.push_back(std::move(*far));
    } else {
      add_below_air(entry, images[i], lugs, problems);
    }
    if (auto same = flat(entry, images[i], lugs)) problems.push_back(std::move(*same));
    if (auto shared = shared_phase(entry, images[i])) problems.push_back(std::move(*shared));
  }
  add_missing_lugs(motor_rows, images, problems);
  add_odd_currents(motor_rows, problems);
  const TableNames usual;
  for (Problem& problem : problems) {
    if (problem.file == usual.images) problem.file = motor_rows.tables.images;
    if (problem.file == usual.readings) problem.file = motor_rows.tables.readings;
  }
  return problems;
}

}  // namespace ohmglow::diagnosis
