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
  const auto add = [&list](const std::string& label, const std::string& value) {
    if (!value.empty()) list.push_back({label, value});
  };
  add(tr("Surveyed on"), a.survey.surveyed_on ? a.survey.surveyed_on->text : "");
  add(tr("Thermographer"), a.survey.thermographer);
  add(tr("Judged as of"), day_text(a.options.as_of));
  add(tr("Bands"), tr(a.policy.title));
  add(tr("Source of the bands"), tr(a.policy.source));
  add(tr("Rule between the limits"), tr(a.policy.rule));
  add(tr("Reference"), a.options.reference == diagnosis::Reference::coolest
                           ? tr("the coolest like lug")
                           : tr("the median of the like lugs"));
  if (a.options.uncertainty == diagnosis::Uncertainty::monte_carlo) {
    add(tr("Propagated by"), say("Monte Carlo trials (JCGM 101), seed {}", a.options.seed));
  } else {
    add(tr("Propagated by"), tr("linear propagation (JCGM 100)"));
  }
  add(tr("Decision"), a.options.decision == severity::Decision::guarded
                          ? say("guarded: each limit lowered by {} standard uncertainties",
                                decimals(severity::kGuardFactor, 2))
                          : tr("simple acceptance"));
  add(tr("Camera's band"), radiometry::text_of(a.survey.band));
  add(tr("Readings count for"), say("{} days", a.options.reading_age_d));
  add(tr("Uncertainty"), tr("“±” is one standard uncertainty; whiskers in the drawings reach two"));
  add(tr("Made by"), "ohmglow " + std::string(kVersion));
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
    list.push_back({by_band[i], tr(a.policy.bands[i].title), band_level(a.policy, i)});
  }
  const Counts images = count_images(a);
  const auto add_count = [&list](std::size_t count, std::string_view one, std::string_view many) {
    list.push_back({count, tr(count == 1 ? one : many)});
  };
  add_count(images.measured, msg("image measured"), msg("images measured"));
  add_count(images.unmarked, msg("image without marks"), msg("images without marks"));
  add_count(images.rejected, msg("image rejected"), msg("images rejected"));
  add_count(a.problems.size(), msg("problem"), msg("problems"));
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
    Row& row = kinds[kind.empty() ? tr("the circuit (readings alone)") : kind];
    row.by_band.resize(a.policy.bands.size(), 0);
    return row;
  };
  for (const ComponentResult& c : a.components) ++row_of(c.component).seen;
  for (const Finding& f : a.findings) {
    Row& row = row_of(f.component);
    if (f.grade.band && *f.grade.band < row.by_band.size()) ++row.by_band[*f.grade.band];
  }
  Listing list{"by-component",
               tr("Findings of each band on each kind of component"),
               {{tr("Component"), 2.4}, {tr("Measured"), 1, true}},
               {},
               tr("No component was measured.")};
  for (std::size_t i = a.policy.bands.size(); i-- > 0;) {
    list.columns.push_back({tr(a.policy.bands[i].title), 1, true});
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
  std::string text = say("{} % of the pairs", decimals(f.resistance_unbalance->value(), 1));
  if (f.excess_ohm && f.electrical_phase) {
    text += fmt::format(", {} +{}", phase_name(a.survey, *f.electrical_phase), ohms(*f.excess_ohm));
  }
  return text;
}

Listing ranked(const Assessment& a) {
  Listing list{"ranked",
               tr("Every finding, the most severe first. The rank leads to its card."),
               {{tr("Rank"), 0.5},
                {tr("Band"), 1},
                {tr("Motor"), 1},
                {tr("Component"), 1.2},
                {tr("Where"), 1.2},
                {tr("Rise over like"), 1, true},
                {tr("Over air"), 0.75, true},
                {tr("Verdict"), 1.15},
                {tr("Resistance"), 1.75}},
               {},
               tr("No lug and no reading reaches a band.")};
  for (const Finding& f : a.findings) {
    list.rows.push_back(
        {ListCell{std::to_string(f.rank), 0, f.rank},
         ListCell{band_title(a.policy, f.grade), band_level(a.policy, f.grade.band)},
         ListCell{f.motor}, ListCell{f.component.empty() ? tr("the circuit") : f.component},
         ListCell{where_of(a.survey, f)},
         or_dash(f.rise_over_like ? difference_with_u(*f.rise_over_like) : ""),
         or_dash(f.rise_over_air ? difference_text(f.rise_over_air->value(), 1) : ""),
         ListCell{title_of(f.verdict)}, or_dash(resistance_in_short(a, f))});
  }
  return list;
}

}  // namespace

Contents contents_of(const Lookup& lookup) {
  const Assessment& a = lookup.assessment;
  Contents contents;
  contents.site = a.survey.site.empty() ? tr("Motor connections") : a.survey.site;
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
  contents.signs = {tr("Inspected by"), tr("Reviewed by"), tr("Accepted for the owner by")};
  return contents;
}

}  // namespace ohmglow::report
