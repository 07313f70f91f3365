#include "contents.h"

#include "about.h"
#include "answer.h"
#include "appendix.h"
#include "asides.h"
#include "offered/report/report.h"
#include "offered/report/report_contents.h"
#include "offered/vocabulary/number_text.h"
#include "ohmglow/version.h"
#include "scope.h"
#include "summary.h"
#include "words.h"

#include <fmt/format.h>
#include <iterator>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using diagnosis::Finding;

std::string called_hot(const severity::Policy& policy) {
  const severity::SoundScatter& scatter = policy.sound_scatter;
  return say(
      "above the first limit and above what sound lugs reach by chance, at {} % confidence; sound "
      "lugs scatter by {} % of their rise over air, by {} at least ({})",
      decimals(100 * policy.confidence, 0), decimals(100 * scatter.share_of_rise, 0),
      difference_text(scatter.least_k, 1), tr(scatter.source));
}

/// "Urgent 50 %, Plan 10 % (assumed)"; empty where the policy gives none.
std::string failures_in_words(const severity::Policy& policy) {
  std::string words;
  for (std::size_t band = policy.bands.size(); band-- > 0;) {
    const auto& probability = policy.bands[band].failure_probability;
    if (!probability) continue;
    words += fmt::format("{}{} {} %", words.empty() ? "" : ", ", tr(policy.bands[band].title),
                         decimals(100 * *probability, 0));
  }
  return words.empty() ? words : words + " (" + tr(policy.failure_source) + ")";
}

}  // namespace

std::vector<Fact> facts(const Assessment& a) {
  std::vector<Fact> list;
  const auto add = [&list](const std::string& label, const std::string& value) {
    if (!value.empty()) list.push_back({label, value});
  };
  add(tr("Surveyed on"), a.survey.surveyed_on ? a.survey.surveyed_on->text : "");
  for (Fact& fact : about_survey(a.survey)) list.push_back(std::move(fact));
  add(tr("Judged as of"), day_text(a.options.as_of));
  add(tr("Bands"), tr(a.policy.title));
  add(tr("Source of the bands"), tr(a.policy.source));
  add(tr("Rule between the limits"), tr(a.policy.rule));
  add(tr("Called hot"), called_hot(a.policy));
  add(tr("Failure within a year"), failures_in_words(a.policy));
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
  add(tr("Camera's band"), written(radiometry::text_of(a.survey.band)));
  add(tr("Readings count for"), say("{} days", a.options.reading_age_d));
  add(tr("Uncertainty"), tr("“±” is one standard uncertainty; whiskers in the drawings reach two"));
  add(tr("Made by"), "ohmglow " + std::string(kVersion));
  return list;
}

ListCell or_dash(const std::string& text) {
  return text.empty() ? ListCell{"—", 0, 0, true} : ListCell{text};
}

namespace {

std::string resistance_in_short(const Assessment& a, const Finding& f) {
  if (!f.resistance_unbalance) return "";
  std::string text = say("{} % of the pairs", decimals(f.resistance_unbalance->value(), 1));
  if (f.excess_ohm && f.electrical_phase) {
    text += fmt::format(", {} +{}", phase_name(a.survey, *f.electrical_phase), ohms(*f.excess_ohm));
  }
  return text;
}

}  // namespace

Listing ranked(const Assessment& a, const std::string& page) {
  Listing list{"ranked",
               tr("Every case, by band, verdict, expected loss where costs are given, then rise at "
                  "rated load. The number leads to its card."),
               {{tr("No."), 0.5},
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
    if (!f.leads_case) continue;
    list.rows.push_back(
        {ListCell{std::to_string(f.case_number), 0, f.rank, false, page},
         ListCell{band_title(a.policy, f.grade), band_level(a.policy, f.grade.band)},
         ListCell{f.motor}, ListCell{f.component.empty() ? tr("the circuit") : f.component},
         ListCell{where_of(a.survey, f)},
         or_dash(f.rise_over_like ? difference_with_u(*f.rise_over_like) : ""),
         or_dash(f.rise_over_air ? difference_text(f.rise_over_air->value(), 1) : ""),
         ListCell{title_of(f.verdict)}, or_dash(resistance_in_short(a, f))});
  }
  return list;
}

std::string title_of_site(const Survey& survey) {
  return survey.site.empty() ? tr("Motor connections") : survey.site;
}

void set_overview(Contents& contents, const Assessment& head, const Summary& summary,
                  std::size_t problems) {
  contents.site = title_of_site(head.survey);
  if (head.survey.surveyed_on) contents.surveyed = head.survey.surveyed_on->text;
  contents.facts = facts(head);
  contents.tallies = summary.tallies(head.policy, problems);
  contents.by_component = summary.by_component(head.policy);
  contents.cautions = cautions_in_words();
  contents.scope = summary.scope_in_numbers();
  contents.signs = {tr("Inspected by"), tr("Reviewed by"), tr("Accepted for the owner by")};
}

namespace {

/// Motors that are in memory at once while contents are gathered.
constexpr std::size_t kMotorsOfContents = 100;

void append(Listing& to, Listing rows) {
  if (to.columns.empty()) {
    to = std::move(rows);
    return;
  }
  std::move(rows.rows.begin(), rows.rows.end(), std::back_inserter(to.rows));
}

/// Motors with all that belongs to them, their findings apart.
void append_motors(Contents& contents, const Lookup& lookup) {
  const Assessment& a = lookup.assessment;
  append(contents.not_covered, not_covered(lookup));
  append(contents.not_judged, not_judged(a));
  append(contents.warm_even, warm_even(a));
  append(contents.even, even(lookup));
  append(contents.readings, readings(a));
  for (RotorShown& rotor : rotors_shown(a)) contents.rotors.push_back(std::move(rotor));
  append(contents.stretches, stretches(a));
  append(contents.parameters, parameters(lookup));
}

}  // namespace

Contents contents_of(const Lookup& lookup) {
  const Assessment& a = lookup.assessment;
  Contents contents;
  Summary summary;
  summary.add(a);
  set_overview(contents, a, summary, a.problems.size());
  contents.answer = answer_of(lookup);
  contents.ranked = ranked(a);
  append_motors(contents, lookup);
  contents.problems = problems(a.problems);
  return contents;
}

Result<Contents> contents_of(const Pieces& survey) {
  auto head = survey.motors(0, 0);
  if (!head) return fail(head.error());
  Contents contents;
  Summary summary;
  AnswerOf answer;
  for (std::size_t first = 0; first == 0 || first < survey.findings; first += kFindingsOnAPage) {
    const auto page = survey.findings_page(first, kFindingsOnAPage);
    if (!page) return fail(page.error());
    answer.add_findings(Lookup(*page));
    append(contents.ranked, ranked(*page));
  }
  for (std::size_t first = 0; first == 0 || first < survey.motor_count;
       first += kMotorsOfContents) {
    const auto some = survey.motors(first, kMotorsOfContents);
    if (!some) return fail(some.error());
    const Lookup lookup(*some);
    summary.add(*some);
    answer.add_motors(lookup);
    append_motors(contents, lookup);
  }
  set_overview(contents, *head, summary, survey.problems.size());
  contents.answer = answer.groups();
  contents.problems = problems(survey.problems);
  return contents;
}

}  // namespace ohmglow::report
