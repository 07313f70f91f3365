#include "appendix.h"
#include "ohmglow/number_text.h"
#include "ohmglow/report_contents.h"
#include "ohmglow/version.h"
#include "scope.h"
#include "words.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using diagnosis::ComponentResult;
using diagnosis::Finding;

std::vector<Fact> facts(const Assessment& a) {
  std::vector<Fact> list;
  const auto add = [&list](const char* label, const std::string& value) {
    if (!value.empty()) list.push_back({label, value});
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

std::vector<std::size_t> findings_by_band(const Assessment& a) {
  std::vector<std::size_t> counts(a.policy.bands.size(), 0);
  for (const Finding& f : a.findings) {
    if (f.grade.band && *f.grade.band < counts.size()) ++counts[*f.grade.band];
  }
  return counts;
}

std::vector<Tally> tallies(const Assessment& a) {
  std::vector<Tally> list;
  const auto by_band = findings_by_band(a);
  for (std::size_t i = by_band.size(); i-- > 0;) {
    list.push_back({by_band[i], a.policy.bands[i].title, band_level(a.policy, i)});
  }
  const Counts images = count_images(a);
  const auto add_images = [&list](std::size_t count, const char* fate) {
    list.push_back({count, fmt::format("image{} {}", count == 1 ? "" : "s", fate)});
  };
  add_images(images.measured, "measured");
  add_images(images.unmarked, "without marks");
  add_images(images.rejected, "rejected");
  list.push_back({a.problems.size(), a.problems.size() == 1 ? "problem" : "problems"});
  return list;
}

ListCell count_cell(std::size_t count) {
  return {count == 0 ? "—" : std::to_string(count), 0, 0, count == 0};
}

// Rows are kinds of component as the survey names them, columns bands from severe to mild.
Listing by_component(const Assessment& a) {
  struct Row {
    std::size_t seen = 0;
    std::vector<std::size_t> by_band;
  };
  std::map<std::string, Row> kinds;
  const auto row_of = [&](const std::string& kind) -> Row& {
    Row& row = kinds[kind.empty() ? "the circuit (readings alone)" : kind];
    row.by_band.resize(a.policy.bands.size(), 0);
    return row;
  };
  for (const ComponentResult& c : a.components) ++row_of(c.component).seen;
  for (const Finding& f : a.findings) {
    Row& row = row_of(f.component);
    if (f.grade.band && *f.grade.band < row.by_band.size()) ++row.by_band[*f.grade.band];
  }
  Listing list{"by-component",
               "Findings of each band on each kind of component",
               {{"Component", 2.4}, {"Measured", 1, true}},
               {},
               "No component was measured."};
  for (std::size_t i = a.policy.bands.size(); i-- > 0;) {
    list.columns.push_back({a.policy.bands[i].title, 1, true});
  }
  for (const auto& [kind, row] : kinds) {
    auto& cells = list.rows.emplace_back();
    cells.push_back({kind});
    cells.push_back(count_cell(row.seen));
    for (std::size_t i = row.by_band.size(); i-- > 0;) cells.push_back(count_cell(row.by_band[i]));
  }
  return list;
}

ListCell or_dash(const std::string& text) {
  return text.empty() ? ListCell{"—", 0, 0, true} : ListCell{text};
}

std::string resistance_in_short(const Assessment& a, const Finding& f) {
  if (!f.resistance_unbalance) return "";
  std::string text = decimals(f.resistance_unbalance->value(), 1) + " % of the pairs";
  if (f.excess_ohm && f.electrical_phase) {
    text += fmt::format(", {} +{}", phase_name(a.survey, *f.electrical_phase), ohms(*f.excess_ohm));
  }
  return text;
}

Listing ranked(const Assessment& a) {
  Listing list{"ranked",
               "Every finding, the most severe first. The rank leads to its card.",
               {{"Rank", 0.5},
                {"Band", 1},
                {"Motor", 1},
                {"Component", 1.2},
                {"Where", 1.2},
                {"Rise over like", 1, true},
                {"Over air", 0.75, true},
                {"Verdict", 1.15},
                {"Resistance", 1.75}},
               {},
               "No lug and no reading reaches a band."};
  for (const Finding& f : a.findings) {
    list.rows.push_back(
        {ListCell{std::to_string(f.rank), 0, f.rank},
         ListCell{band_title(a.policy, f.grade), band_level(a.policy, f.grade.band)},
         ListCell{f.motor}, ListCell{f.component.empty() ? "the circuit" : f.component},
         ListCell{where_of(a.survey, f)},
         or_dash(f.rise_over_like ? with_u(*f.rise_over_like, "K") : ""),
         or_dash(f.rise_over_air ? decimals(f.rise_over_air->value(), 1) + " K" : ""),
         ListCell{title_of(f.verdict)}, or_dash(resistance_in_short(a, f))});
  }
  return list;
}

}  // namespace

Contents contents_of(const Lookup& lookup) {
  const Assessment& a = lookup.assessment;
  Contents contents;
  contents.site = a.survey.site.empty() ? std::string("Motor connections") : a.survey.site;
  contents.facts = facts(a);
  contents.tallies = tallies(a);
  contents.by_component = by_component(a);
  contents.cautions = diagnosis::cautions();
  contents.scope = scope_in_numbers(a);
  contents.not_covered = not_covered(lookup);
  contents.ranked = ranked(a);
  contents.even = even(lookup);
  contents.readings = readings(a);
  contents.stretches = stretches(a);
  contents.parameters = parameters(a);
  contents.problems = problems(a);
  contents.signs = {"Inspected by", "Reviewed by", "Accepted for the owner by"};
  return contents;
}

}  // namespace ohmglow::report
