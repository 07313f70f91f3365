#include "offered/report/shutdown_sheet.h"

#include "answer.h"
#include "contents.h"
#include "offered/vocabulary/number_text.h"
#include "words.h"

#include <algorithm>
#include <fmt/format.h>

namespace ohmglow::report {
namespace {

using diagnosis::Finding;

std::vector<ShutdownTest> tests_of(const Survey& survey, const Finding& f) {
  std::vector<std::string> pairs;
  for (std::size_t pair = 0; pair < 3; ++pair) pairs.push_back(pair_name(survey, pair));
  std::vector<std::string> phases(survey.phase_names.begin(), survey.phase_names.end());
  ShutdownTest winding{tr("Winding resistance"), "mΩ", std::move(pairs)};
  const std::string title = f.verdict == diagnosis::Verdict::open_phase ? tr("Across each pole")
                                                                        : tr("Across each joint");
  return {{title, "µΩ", std::move(phases)}, std::move(winding)};
}

ShutdownCase case_of(const Lookup& lookup, const Finding& f, const WorkSite& site) {
  const Survey& survey = lookup.assessment.survey;
  const Motor* row = lookup.row(f.motor);
  ShutdownCase out;
  out.number = f.case_number;
  out.level = band_level(lookup.assessment.policy, f.grade.band);
  out.band = band_title(lookup.assessment.policy, f.grade);
  out.motor = f.motor;
  out.drives = row == nullptr ? "" : row->description;
  out.where = places_of_case(lookup.assessment, f);
  out.action = plain_action(f);
  out.sure = how_sure(f, component_of(lookup, f));
  if (row != nullptr && row->repair_h) {
    const int people = site.crew.value_or(1);
    out.crew_h = people * *row->repair_h;
    out.crew = say("{}, {} h",
                   counted(static_cast<std::size_t>(people), msg("{} person"), msg("{} people")),
                   decimals(*row->repair_h, 1));
  }
  out.parts = site.parts;
  out.torque_nm = site.torque_nm;
  out.tests = tests_of(survey, f);
  return out;
}

}  // namespace

ShutdownSheet shutdown_sheet(const Lookup& lookup) {
  const diagnosis::Assessment& a = lookup.assessment;
  ShutdownSheet sheet;
  sheet.site = title_of_site(a.survey);
  if (a.survey.surveyed_on) sheet.surveyed = a.survey.surveyed_on->text;
  for (const Finding& f : a.findings) {
    if (!f.leads_case || f.decision == diagnosis::Decision::image_again) continue;
    const WorkSite site = work_site(lookup.row(f.motor), lookup.place(f.motor, f.component));
    auto group = std::find_if(sheet.groups.begin(), sheet.groups.end(), [&site](const auto& g) {
      return g.area == site.area && g.lockout == site.lockout;
    });
    if (group == sheet.groups.end()) {
      group = sheet.groups.insert(sheet.groups.end(), {site.area, site.lockout, {}});
    }
    group->cases.push_back(case_of(lookup, f, site));
    group->crew_h += group->cases.back().crew_h.value_or(0);
    group->without_h += group->cases.back().crew_h ? 0 : 1;
  }
  sheet.steps = {tr("locked out"), tr("verified dead"), tr("opened"), tr("cleaned"),
                 tr("remade"),     tr("torque"),        tr("closed"), tr("new image")};
  sheet.cautions = cautions_in_words();
  sheet.when_empty = tr("No case asks for a stop.");
  return sheet;
}

}  // namespace ohmglow::report
