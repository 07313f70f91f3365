#include "offered/report/verification_contents.h"

#include "offered/vocabulary/number_text.h"
#include "ohmglow/reader.h"
#include "verification_words.h"
#include "words.h"

#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using diagnosis::Change;
using diagnosis::ComponentResult;
using diagnosis::ImageResult;
using diagnosis::LugChange;
using diagnosis::MotorChange;
using diagnosis::Verification;

struct Surveys {
  const Assessment& before;
  const Assessment& after;
};

// The last visit to a component; null where there was none.
const ComponentResult* last_visit(const Assessment& a, const std::string& motor,
                                  const std::string& component) {
  const ComponentResult* last = nullptr;
  for (const ComponentResult& c : a.components) {
    if (c.motor != motor || c.component != component) continue;
    if (!last || c.visit >= last->visit) last = &c;
  }
  return last;
}

std::string visit_text(const ComponentResult* component) {
  return component && component->visit ? day_text(*component->visit) : tr("no date");
}

const ImageResult* image_of(const Assessment& a, const std::optional<diagnosis::LugSide>& side,
                            const ComponentResult& component) {
  for (const std::size_t i : component.images) {
    if (i < a.images.size() && (!side || a.images[i].file == side->image)) return &a.images[i];
  }
  return nullptr;
}

std::optional<BeforeAndAfter> pair_of(const LugChange& lug, const Surveys& surveys) {
  const std::string& now = lug.component_after.empty() ? lug.component : lug.component_after;
  const ComponentResult* before = last_visit(surveys.before, lug.motor, lug.component);
  const ComponentResult* after = last_visit(surveys.after, lug.motor, now);
  if (!before || !after) return std::nullopt;
  return BeforeAndAfter{lug.component,
                        ladder_pair(surveys.before, *before, surveys.after, *after),
                        image_of(surveys.before, lug.before, *before),
                        image_of(surveys.after, lug.after, *after),
                        visit_text(before),
                        visit_text(after)};
}

// Each component with a fault that was seen both times; for a motor that only its readings speak
// of, the lower halves of the ladders.
std::vector<BeforeAndAfter> pairs_of(const Verification& v, const MotorChange& motor,
                                     const Surveys& surveys) {
  std::vector<BeforeAndAfter> pairs;
  std::vector<std::string> shown;
  for (const std::size_t i : motor.lugs) {
    const LugChange& lug = v.lugs.at(i);
    const bool is_known = std::find(shown.begin(), shown.end(), lug.component) != shown.end();
    if (is_known || !(lug.fault_before || lug.fault_after)) continue;
    auto pair = pair_of(lug, surveys);
    if (!pair) continue;
    shown.push_back(lug.component);
    pairs.push_back(std::move(*pair));
  }
  const auto* before = surveys.before.find_motor(motor.motor);
  const auto* after = surveys.after.find_motor(motor.motor);
  if (!pairs.empty() || !before || !after || before->electrical.empty() ||
      after->electrical.empty())
    return pairs;
  pairs.push_back({tr("Readings"), ladder_pair(surveys.before, *before, surveys.after, *after),
                   nullptr, nullptr, day_text(before->electrical.back().taken_at),
                   day_text(after->electrical.back().taken_at)});
  return pairs;
}

MotorRepair motor_of(const Verification& v, const MotorChange& change, const Surveys& surveys) {
  MotorRepair motor;
  motor.motor = change.motor;
  motor.change = title_of(change.change);
  motor.level = level_of(change.change);
  motor.headline = written(change.headline);
  if (!change.new_faults.empty()) motor.alarm = motor.headline;
  motor.lines = fault_lines(v, change, surveys.after.survey);
  motor.rest = rest_line(v, change);
  motor.pairs = pairs_of(v, change, surveys);
  if (change.saved_w) {
    motor.heat_less = plus_minus(change.saved_w->value(), change.saved_u_w->value()) + " W";
  }
  if (const auto certain = change.money.certain_first_year()) {
    motor.certain = money_text(*certain, change.currency);
  }
  if (change.money.risk_avoided) {
    motor.risk = expected_text(*change.money.risk_avoided, change.currency);
  }
  motor.money = amounts(change.money, change.currency, v.options.period_years);
  for (const diagnosis::Evidence& e : change.assumptions) {
    motor.assumptions.push_back({written(e.text), basis_of(e)});
  }
  return motor;
}

std::string band_word(const Assessment& a, const std::string& id) {
  const auto at = a.policy.index_of(id);
  return at ? tr(a.policy.bands[*at].title) : "";
}

Listing open_findings(const Verification& v, const Surveys& surveys) {
  Listing list{"open",
               tr("Cases of the first survey that were not looked at again"),
               {{tr("Case then"), 0.6, true},
                {tr("Motor"), 1},
                {tr("Where"), 2},
                {tr("Band"), 0.9},
                {tr("Why"), 2.6}},
               {},
               tr("Every case of the first survey was looked at again.")};
  for (const diagnosis::OpenFinding& open : v.open) {
    std::string where = open.component;
    if (open.lug) where += (where.empty() ? "" : ", ") + *open.lug;
    if (open.phase) where += " (" + phase_title(surveys.before.survey, *open.phase) + ")";
    const auto band = surveys.before.policy.index_of(open.band);
    list.rows.push_back({{std::to_string(open.case_number)},
                         {open.motor},
                         {where.empty() ? tr("circuit") : where},
                         {band_word(surveys.before, open.band),
                          band ? band_level(surveys.before.policy, *band) : 0},
                         {written(open.why)}});
  }
  return list;
}

Listing problem_list(const Surveys& surveys) {
  Listing list{"problems",
               tr("Data problems; row numbers as in the spreadsheet"),
               {{tr("Survey"), 0.6},
                {tr("File"), 1.2},
                {tr("Row"), 0.5, true},
                {tr("Column"), 1},
                {tr("Message"), 3.4}},
               {},
               tr("No data problems.")};
  const auto add = [&list](const std::string& survey, const Assessment& a) {
    for (const Problem& p : a.problems) {
      list.rows.push_back(
          {{survey}, {p.file}, {p.row ? std::to_string(*p.row) : ""}, {p.column}, {p.message}});
    }
  };
  add(tr("first"), surveys.before);
  add(tr("second"), surveys.after);
  return list;
}

std::vector<Tally> tallies_of(const Verification& v) {
  std::vector<Tally> list;
  for (std::size_t i = 0; i <= static_cast<std::size_t>(Change::even); ++i) {
    const auto change = static_cast<Change>(i);
    if (v.count(change) > 0) list.push_back({v.count(change), title_of(change), level_of(change)});
  }
  if (!v.open.empty()) list.push_back({v.open.size(), tr("still open from the first survey"), 3});
  return list;
}

}  // namespace

RepairContents repair_contents(const Verification& v, const Assessment& before,
                               const Assessment& after) {
  const Surveys surveys{before, after};
  const Survey& survey = after.survey;
  RepairContents contents;
  contents.site = survey.site.empty() ? tr("Survey") : survey.site;
  contents.tallies = tallies_of(v);
  contents.facts = {{tr("First survey"), day_text(before.survey.surveyed_on)},
                    {tr("Second survey"), day_text(survey.surveyed_on)},
                    {tr("Policy"), tr(after.policy.title)}};
  contents.cautions = cautions_in_words();
  for (const MotorChange& motor : v.motors) contents.motors.push_back(motor_of(v, motor, surveys));
  for (const diagnosis::NewFault& fault : v.new_faults) {
    contents.new_faults.push_back(fmt::format("{}: {}", fault.motor, written(fault.what)));
  }
  contents.open = open_findings(v, surveys);
  for (const Sentence& renamed : v.renamed) contents.remarks.push_back(written(renamed));
  if (!v.not_revisited.empty()) {
    contents.remarks.push_back(
        say("Not in the second survey: {}.", fmt::join(v.not_revisited, ", ")));
  }
  for (const diagnosis::CurrencyTotal& total : v.totals) {
    for (Fact& row : amounts(total.money, total.currency, v.options.period_years)) {
      contents.totals.push_back(std::move(row));
    }
  }
  contents.rules = rules_in_words(v.options);
  contents.problems = problem_list(surveys);
  contents.signs = {tr("Thermographer"), tr("Electrician"), tr("For the plant")};
  return contents;
}

PicturePair picture_pair(const VerificationSource& source, const BeforeAndAfter& pair) {
  struct Opened {
    const Assessment& assessment;
    const ImageResult* result;
    Result<imaging::ThermalImage> image;
  };
  const auto open = [](const Assessment& a, const ImageResult* result,
                       const OpenImage& open_image) -> Opened {
    if (result != nullptr && open_image) {
      for (const ImageEntry& entry : a.survey.images) {
        if (entry.file == result->file) return {a, result, open_image(entry)};
      }
    }
    return {a, result, fail({.kind = ErrorKind::missing, .what = tr("there is no image")})};
  };
  const Opened before = open(source.before, pair.image_before, source.open_before);
  const Opened after = open(source.after, pair.image_after, source.open_after);
  std::optional<ColourSpan> span;
  for (const Opened* opened : {&before, &after}) {
    if (!opened->image) continue;
    const auto own = colour_span_of(*opened->image);
    if (!own) continue;
    span = span ? ColourSpan{std::min(span->low_c, own->low_c), std::max(span->high_c, own->high_c)}
                : *own;
  }
  const auto picture = [&span](const Opened& opened) -> Result<Picture> {
    if (!opened.image) return fail(opened.image.error());
    const auto& all = opened.assessment.survey.marks;
    const auto marks = all.find(opened.result->file);
    return picture_of(*opened.image, *opened.result, marks == all.end() ? nullptr : &marks->second,
                      span);
  };
  return {picture(before), picture(after)};
}

}  // namespace ohmglow::report
