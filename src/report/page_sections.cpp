#include "ohmglow/number_text.h"
#include "ohmglow/version.h"
#include "page.h"
#include "reading_words.h"
#include "words.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <set>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using diagnosis::ComponentResult;
using diagnosis::Finding;
using diagnosis::ImageResult;
using diagnosis::LugResult;

// A list with the flag that tells a template whether to write its heading.
void set_list(Data& data, const std::string& name, const List& list) {
  data.set(name, list);
  data.set("has_" + name, !list.empty());
}

// --- before the cards
// -----------------------------------------------------------------------------

List facts(const Assessment& a) {
  List list;
  const auto add = [&list](const char* label, const std::string& value) {
    if (!value.empty()) list.push_back(Fields{{"label", label}, {"value", value}});
  };
  add("Surveyed on", a.survey.surveyed_on ? a.survey.surveyed_on->text : "");
  add("Thermographer", a.survey.thermographer);
  add("Judged as of", day_text(a.options.as_of));
  add("Bands", a.policy.title);
  add("Source of the bands", a.policy.source);
  add("Rule between the limits", a.policy.rule);
  add("Reference", a.options.reference == diagnosis::Reference::coolest
                       ? "the coolest like lug"
                       : "the median of the like lugs");
  if (a.options.uncertainty == diagnosis::Uncertainty::monte_carlo) {
    add("Propagated by", fmt::format("Monte Carlo trials (JCGM 101), seed {}", a.options.seed));
  } else {
    add("Propagated by", "linear propagation (JCGM 100)");
  }
  add("Decision", a.options.decision == severity::Decision::guarded
                      ? fmt::format("guarded: each limit lowered by {} standard uncertainties",
                                    decimals(severity::kGuardFactor, 2))
                      : "simple acceptance");
  add("Camera's band", radiometry::text_of(a.survey.band));
  add("Readings count for", fmt::format("{} days", a.options.reading_age_d));
  add("Uncertainty", "“±” is one standard uncertainty; whiskers in the drawings reach two");
  add("Made by", "ohmglow " + std::string(kVersion));
  return list;
}

List tallies(const Assessment& a) {
  List list;
  const auto add = [&list](std::size_t count, const std::string& what, int level) {
    list.push_back(
        Fields{{"count", std::to_string(count)}, {"what", what}, {"level", std::to_string(level)}});
  };
  std::vector<std::size_t> by_band(a.policy.bands.size(), 0);
  for (const Finding& f : a.findings) {
    if (f.grade.band && *f.grade.band < by_band.size()) ++by_band[*f.grade.band];
  }
  for (std::size_t i = by_band.size(); i-- > 0;) {
    add(by_band[i], a.policy.bands[i].title, band_level(a.policy, i));
  }
  const Counts images = count_images(a);
  const auto add_images = [&add](std::size_t count, const char* fate) {
    add(count, fmt::format("image{} {}", count == 1 ? "" : "s", fate), 0);
  };
  add_images(images.measured, "measured");
  add_images(images.unmarked, "without marks");
  add_images(images.rejected, "rejected");
  add(a.problems.size(), a.problems.size() == 1 ? "problem" : "problems", 0);
  return list;
}

List ranked(const Assessment& a) {
  List list;
  for (const Finding& f : a.findings) {
    std::string resistance;
    if (f.resistance_unbalance) {
      resistance = decimals(f.resistance_unbalance->value(), 1) + " % of the pairs";
      if (f.excess_ohm && f.electrical_phase) {
        resistance +=
            fmt::format(", {} +{}", phase_name(a.survey, *f.electrical_phase), ohms(*f.excess_ohm));
      }
    }
    list.push_back(Fields{
        {"rank", std::to_string(f.rank)},
        {"band", band_title(a.policy, f.grade)},
        {"level", std::to_string(band_level(a.policy, f.grade.band))},
        {"motor", f.motor},
        {"component", f.component.empty() ? "the circuit" : f.component},
        {"where", where_of(a.survey, f)},
        {"like", f.rise_over_like ? with_u(*f.rise_over_like, "K") : "—"},
        {"no_like", !f.rise_over_like},
        {"air", f.rise_over_air ? decimals(f.rise_over_air->value(), 1) + " K" : "—"},
        {"no_air", !f.rise_over_air},
        {"verdict", title_of(f.verdict)},
        {"resistance", resistance.empty() ? "—" : resistance},
        {"no_resistance", resistance.empty()},
    });
  }
  return list;
}

// --- behind the cards
// -----------------------------------------------------------------------------

std::string lugs_in_words(const Lookup& lookup, const ComponentResult& component) {
  std::string text;
  for (const std::size_t index : component.images) {
    if (index >= lookup.assessment.images.size()) continue;
    for (const LugResult& lug : lookup.assessment.images[index].lugs) {
      text += fmt::format(
          "{}{} {}", text.empty() ? "" : ", ", lug.name,
          lug.temperature_c ? decimals(lug.temperature_c->value(), 1) + " °C" : "not measured");
    }
  }
  return text;
}

List components_without_finding(const Lookup& lookup) {
  std::set<const ComponentResult*> with;
  for (const Finding& f : lookup.assessment.findings) {
    if (f.image) with.insert(lookup.component_of(*f.image));
  }
  List list;
  for (const ComponentResult& c : lookup.assessment.components) {
    if (with.contains(&c)) continue;
    list.push_back(Fields{{"motor", c.motor},
                          {"component", c.component},
                          {"lugs", lugs_in_words(lookup, c)},
                          {"verdict", title_of(c.verdict)},
                          {"visit", c.visit ? day_text(*c.visit) : "no date"},
                          {"next_step", c.next_step}});
  }
  return list;
}

List readings(const Assessment& a) {
  List list;
  for (const diagnosis::MotorResult& motor : a.motors) {
    for (const diagnosis::ElectricalResult& e : motor.electrical) {
      list.push_back(Fields{{"motor", motor.motor},
                            {"test", std::string(title_of(e.test))},
                            {"place", e.place},
                            {"taken_at", day_text(e.taken_at)},
                            {"values", values_in_words(a.survey, e)},
                            {"meaning", meaning_in_words(a.survey, e)},
                            {"band", band_title(a.policy, e.grade)}});
    }
  }
  return list;
}

std::string joined(const std::vector<std::string>& parts, std::string_view separator) {
  std::string text;
  for (const std::string& part : parts) {
    if (!text.empty()) text += separator;
    text += part;
  }
  return text;
}

// The stretches of every circuit that was read at two places or more.
List segments(const Assessment& a) {
  List list;
  for (const diagnosis::MotorResult& motor : a.motors) {
    for (const diagnosis::SegmentResult& s : motor.segments) {
      list.push_back(
          Fields{{"motor", motor.motor},
                 {"from", s.from},
                 {"to", s.to.empty() ? std::string("the winding") : s.to},
                 {"phase", phase_title(a.survey, s.phase)},
                 {"excess", ohms(s.excess) + " ± " + ohms(s.excess_u)},
                 {"probability", decimals(s.probability, 2)},
                 {"cable", s.expected_cable ? ohms(*s.expected_cable) : std::string("—")},
                 {"imaged", joined(s.imaged, ", ")},
                 {"not_imaged", joined(s.not_imaged, ", ")}});
    }
  }
  return list;
}

List images_not_measured(const Assessment& a) {
  List list;
  for (const ImageResult& image : a.images) {
    std::vector<std::string> why = image.problems;
    for (const LugResult& lug : image.lugs) {
      if (!lug.temperature_c) why.push_back("lug " + lug.name + " not measured");
    }
    if (image.status == diagnosis::ImageStatus::measured && why.empty()) continue;
    if (why.empty()) why.emplace_back("no marks");
    list.push_back(Fields{{"file", image.file},
                          {"motor", image.motor},
                          {"component", image.component},
                          {"status", std::string(diagnosis::name_of(image.status))},
                          {"why", joined(why, "; ")}});
  }
  return list;
}

List problems(const Assessment& a) {
  List list;
  for (const Problem& p : a.problems) {
    list.push_back(Fields{{"file", p.file},
                          {"row", p.row ? std::to_string(*p.row) : ""},
                          {"column", p.column},
                          {"message", p.message}});
  }
  return list;
}

List places_not_imaged(const Assessment& a) {
  List list;
  for (const diagnosis::MotorResult& motor : a.motors) {
    if (motor.places_not_imaged.empty()) continue;
    list.push_back(
        Fields{{"motor", motor.motor}, {"places", joined(motor.places_not_imaged, ", ")}});
  }
  return list;
}

std::string celsius(std::optional<double> t) {
  return t ? decimals(*t, 1) + " °C" : "—";
}

std::string emissivities(const ImageResult& image) {
  std::set<std::string> each;
  for (const LugResult& lug : image.lugs) each.insert(decimals(lug.emissivity.value(), 2));
  if (each.empty()) return "—";
  return joined({each.begin(), each.end()}, ", ") +
         (each.size() > 1 ? " (each lug corrected with its own before they are compared)" : "");
}

// The parameters of an image as the cells of its row, in the order of the table's columns.
std::vector<std::string> parameter_cells(const ImageResult& image) {
  const diagnosis::UsedParameters& u = *image.used;
  const auto& s = u.uncertainties;
  const auto from = [](const std::string& origin) {
    return origin.empty() ? "" : " (" + origin + ")";
  };
  std::string window = decimals(u.window_transmittance, 2);
  if (u.window_transmittance < 1) window += ", at " + celsius(u.window_c);
  if (u.window_reflectance > 0) {
    window += fmt::format(", reflectance {} of {}", decimals(u.window_reflectance, 2),
                          celsius(u.window_reflected_c));
  }
  std::string saved = decimals(u.saved_emissivity, 2);
  if (u.saved_emissivity < 1) saved += ", reflected " + celsius(u.saved_reflected_c);
  return {
      emissivities(image),
      celsius(u.reflected_c) + from(u.reflected_from),
      (u.air_c ? with_u(*u.air_c, "°C") : "—") + from(u.air_from),
      decimals(u.atmosphere_transmittance, 3),
      window,
      saved,
      u.declaration,
      fmt::format("emissivity {}, reflected {} K, air {} K, camera {} K, noise {} K, "
                  "non-uniformity {} K, window {}, atmosphere {}, current {} %",
                  decimals(s.emissivity, 2), decimals(s.reflected.value(), 1),
                  decimals(s.air.value(), 1), decimals(s.camera.value(), 1),
                  decimals(s.noise.value(), 2), decimals(s.nonuniformity.value(), 2),
                  decimals(s.window_transmittance, 3), decimals(s.atmosphere_transmittance, 3),
                  decimals(s.load.value(), 1)),
  };
}

// Images with the same parameters share a row: a route's defaults fill one line, not thousands.
List parameters(const Assessment& a) {
  std::map<std::vector<std::string>, std::vector<std::string>> files;
  std::vector<std::vector<std::string>> in_order;
  for (const ImageResult& image : a.images) {
    if (!image.used) continue;
    const std::vector<std::string> cells = parameter_cells(image);
    std::vector<std::string>& group = files[cells];
    if (group.empty()) in_order.push_back(cells);
    group.push_back(image.file);
  }
  List list;
  for (const std::vector<std::string>& cells : in_order) {
    List row;
    for (const std::string& cell : cells) row.push_back(Fields{{"text", cell}});
    list.push_back(Fields{{"files", joined(files[cells], ", ")}, {"cells", row}});
  }
  return list;
}

}  // namespace

Lookup::Lookup(const Assessment& all) : assessment(all) {
  for (const ImageResult& image : all.images) images_.emplace(image.file, &image);
  for (const ImageEntry& entry : all.survey.images) entries_.emplace(entry.file, &entry);
  for (const diagnosis::MotorResult& motor : all.motors) motors_.emplace(motor.motor, &motor);
  for (const ComponentResult& component : all.components) {
    for (const std::size_t index : component.images) {
      if (index < all.images.size()) components_.emplace(all.images[index].file, &component);
    }
  }
}

namespace {
template <class Map>
auto find_in(const Map& map, std::string_view name) {
  const auto found = map.find(name);
  return found == map.end() ? nullptr : found->second;
}
}  // namespace

const ImageResult* Lookup::image(std::string_view file) const {
  return find_in(images_, file);
}
const ImageEntry* Lookup::entry(std::string_view file) const {
  return find_in(entries_, file);
}
const ComponentResult* Lookup::component_of(std::string_view file) const {
  return find_in(components_, file);
}
const diagnosis::MotorResult* Lookup::motor(std::string_view id) const {
  return find_in(motors_, id);
}

Data head_data(const Lookup& lookup, std::string style) {
  const Assessment& a = lookup.assessment;
  Data data;
  data.set("style", std::move(style));
  data.set("site", a.survey.site.empty() ? std::string("Motor connections") : a.survey.site);
  data.set("facts", facts(a));
  data.set("tallies", tallies(a));
  List cautions;
  for (const std::string& caution : diagnosis::cautions())
    cautions.push_back(Fields{{"text", caution}});
  data.set("cautions", cautions);
  set_list(data, "ranked", ranked(a));
  return data;
}

Data tail_data(const Lookup& lookup) {
  const Assessment& a = lookup.assessment;
  Data data;
  set_list(data, "others", components_without_finding(lookup));
  set_list(data, "readings", readings(a));
  set_list(data, "segments", segments(a));
  set_list(data, "not_measured", images_not_measured(a));
  set_list(data, "places", places_not_imaged(a));
  set_list(data, "problems", problems(a));
  set_list(data, "parameters", parameters(a));
  return data;
}

}  // namespace ohmglow::report
