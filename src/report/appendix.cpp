#include "appendix.h"

#include "about.h"
#include "offered/vocabulary/number_text.h"
#include "reading_words.h"
#include "words.h"

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

std::string joined(const std::vector<std::string>& parts, std::string_view separator) {
  std::string text;
  for (const std::string& part : parts) {
    if (!text.empty()) text += separator;
    text += part;
  }
  return text;
}

std::string lugs_in_words(const Lookup& lookup, const ComponentResult& component) {
  std::string text;
  for (const std::size_t index : component.images) {
    if (index >= lookup.assessment.images.size()) continue;
    for (const LugResult& lug : lookup.assessment.images[index].lugs) {
      text += fmt::format(
          "{}{} {}", text.empty() ? "" : ", ", lug.name,
          lug.temperature_c ? temperature_text(lug.temperature_c->value(), 1) : tr("not measured"));
    }
  }
  return text;
}

std::string celsius(std::optional<double> t) {
  return t ? temperature_text(*t, 1) : "—";
}

std::string emissivities(const ImageResult& image) {
  std::set<std::string> each;
  for (const LugResult& lug : image.lugs) each.insert(decimals(lug.emissivity.value(), 2));
  if (each.empty()) return "—";
  return joined({each.begin(), each.end()}, ", ") +
         (each.size() > 1 ? " (" + tr("each lug corrected with its own before comparing") + ")"
                          : "");
}

// The parameters of an image as the cells of its row, in the order of the table's columns.
std::vector<std::string> parameter_cells(const ImageResult& image, const ImageEntry* entry) {
  const diagnosis::UsedParameters& u = *image.used;
  const auto& s = u.uncertainties;
  const auto from = [](const std::string& origin) {
    return origin.empty() ? std::string() : fmt::format(" ({})", tr(origin));
  };
  std::string window = decimals(u.window_transmittance, 2);
  if (u.window_transmittance < 1) window += ", " + say("at {}", celsius(u.window_c));
  if (u.window_reflectance > 0) {
    window += ", " + say("reflectance {} of {}", decimals(u.window_reflectance, 2),
                         celsius(u.window_reflected_c));
  }
  std::string saved = decimals(u.saved_emissivity, 2);
  if (u.saved_emissivity < 1) saved += ", " + say("reflected {}", celsius(u.saved_reflected_c));
  const std::string path = entry != nullptr ? air_path_in_words(entry->parameters) : "";
  return {
      emissivities(image),
      celsius(u.reflected_c) + from(u.reflected_from),
      (u.air_c ? temperature_with_u(u.air_c->value(), u.air_c->u()) : "—") + from(u.air_from),
      path.empty() ? "—" : path,
      decimals(u.atmosphere_transmittance, 3),
      window,
      saved,
      u.declaration,
      say("emissivity {}, reflected {}, air {}, camera {}, noise {}, "
          "non-uniformity {}, window {}, atmosphere {}, current {} %",
          decimals(s.emissivity, 2), difference_text(s.reflected.value(), 1),
          difference_text(s.air.value(), 1), difference_text(s.camera.value(), 1),
          difference_text(s.noise.value(), 2), difference_text(s.nonuniformity.value(), 2),
          decimals(s.window_transmittance, 3), decimals(s.atmosphere_transmittance, 3),
          decimals(s.load.value(), 1)),
  };
}

// A bound from below cannot be "< 1 %".
constexpr double kLeastSaid = 0.01;

}  // namespace

Listing even(const Lookup& lookup) {
  std::set<const ComponentResult*> with;
  for (const Finding& f : lookup.assessment.findings) {
    if (f.image) with.insert(lookup.component_of(*f.image));
  }
  for (const auto* asides : {&lookup.assessment.not_judged, &lookup.assessment.warm_even}) {
    for (const diagnosis::Aside& aside : *asides) {
      if (aside.image) with.insert(lookup.component_of(*aside.image));
    }
  }
  Listing list{"others",
               tr("Connections within limits"),
               {{tr("Motor"), 0.9},
                {tr("Component"), 1.1},
                {tr("Visit"), 0.9, true},
                {tr("Lugs"), 2.2},
                {tr("Verdict"), 0.9},
                {tr("Next step"), 2.2}},
               {},
               tr("Every imaged component has a finding.")};
  for (const ComponentResult& c : lookup.assessment.components) {
    if (with.contains(&c)) continue;
    list.rows.push_back({ListCell{c.motor}, ListCell{c.component},
                         ListCell{c.visit ? day_text(*c.visit) : tr("no date")},
                         ListCell{lugs_in_words(lookup, c)}, ListCell{title_of(c.verdict)},
                         ListCell{written(c.next_step)}});
  }
  return list;
}

Listing readings(const Assessment& a) {
  Listing list{"readings",
               tr("Pairs are measured between two terminals; legs are calculated from them."),
               {{tr("Motor"), 0.8},
                {tr("Test"), 1},
                {tr("Place"), 1.1},
                {tr("Taken"), 1.6, true},
                {tr("Values"), 1.9},
                {tr("What they say"), 3.4},
                {tr("Band alone"), 0.8}},
               {},
               tr("The survey holds no readings.")};
  const ReadingNotes notes = notes_of(a);
  for (const diagnosis::MotorResult& motor : a.motors) {
    for (const diagnosis::ElectricalResult& e : motor.electrical) {
      list.rows.push_back({ListCell{motor.motor}, ListCell{title_of(e.test)}, ListCell{e.place},
                           ListCell{day_text(e.taken_at)}, ListCell{values_in_words(a.survey, e)},
                           ListCell{with_note(meaning_in_words(a.survey, e), notes, e)},
                           ListCell{band_title(a.policy, e.grade)}});
    }
  }
  return list;
}

// The stretches of every circuit that was read at two places or more.
Listing stretches(const Assessment& a) {
  Listing list{"stretches",
               tr("Where the extra resistance is, from readings at several places of one circuit"),
               {{tr("Motor"), 0.9},
                {tr("From"), 1},
                {tr("To"), 1},
                {tr("Highest phase"), 0.8},
                {tr("Excess over the mean of the other two"), 1.3, true},
                {tr("Largest in the circuit: probability at least"), 1.1, true},
                {tr("One conductor of the cable"), 1, true},
                {tr("Imaged"), 1},
                {tr("Not imaged yet"), 1}},
               {},
               ""};
  for (const diagnosis::MotorResult& motor : a.motors) {
    for (const diagnosis::SegmentResult& s : motor.segments) {
      list.rows.push_back({ListCell{motor.motor}, ListCell{s.from},
                           ListCell{s.to.empty() ? tr("the winding") : s.to},
                           ListCell{phase_title(a.survey, s.phase)},
                           ListCell{ohms_with_u(s.excess, s.excess_u)},
                           ListCell{percent_of(std::max(s.probability, kLeastSaid))},
                           ListCell{s.expected_cable ? ohms(*s.expected_cable) : std::string("—")},
                           ListCell{joined(s.imaged, ", ")}, ListCell{joined(s.not_imaged, ", ")}});
    }
  }
  return list;
}

// Images with the same parameters share a row: a route's defaults fill one line, not thousands.
Listing parameters(const Lookup& lookup) {
  std::map<std::vector<std::string>, std::vector<std::string>> files;
  std::vector<std::vector<std::string>> in_order;
  for (const ImageResult& image : lookup.assessment.images) {
    if (!image.used) continue;
    const std::vector<std::string> cells = parameter_cells(image, lookup.entry(image.file));
    std::vector<std::string>& group = files[cells];
    if (group.empty()) in_order.push_back(cells);
    group.push_back(image.file);
  }
  Listing list{
      "parameters",
      tr("One row per set of identical parameters; uncertainties are standard uncertainties "
         "(k = 1)."),
      {{tr("Images"), 2},
       {tr("Emissivity"), 0.85},
       {tr("Reflected"), 1.1},
       {tr("Air"), 1.25},
       {tr("Distance, humidity, wind"), 1.1},
       {tr("Atmosphere transmits"), 0.9},
       {tr("Window transmits"), 0.9},
       {tr("Stored for emissivity"), 0.9},
       {tr("Scale of the stored numbers"), 1.35},
       {tr("Uncertainties"), 3.6}},
      {},
      tr("No image was measured.")};
  for (const std::vector<std::string>& cells : in_order) {
    auto& row = list.rows.emplace_back();
    row.push_back({joined(files[cells], ", ")});
    for (const std::string& cell : cells) row.push_back({cell});
  }
  return list;
}

Listing problems(std::span<const Problem> problems) {
  Listing list{"problems",
               tr("Data problems (row numbers as in the spreadsheet)"),
               {{tr("File"), 1.4}, {tr("Row"), 0.4, true}, {tr("Column"), 0.8}, {tr("Message"), 4}},
               {},
               tr("No data problems.")};
  for (const Problem& p : problems) {
    list.rows.push_back({ListCell{p.file}, ListCell{p.row ? std::to_string(*p.row) : ""},
                         ListCell{p.column}, ListCell{p.message}});
  }
  return list;
}

}  // namespace ohmglow::report
