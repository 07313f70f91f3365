#include "offered/report/report.h"
#include "offered/vocabulary/number_text.h"
#include "ohmglow/reader.h"
#include "page.h"
#include "page_templates.h"
#include "verification_words.h"
#include "words.h"

#include <algorithm>
#include <exception>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using diagnosis::Change;
using diagnosis::ComponentResult;
using diagnosis::MotorChange;
using diagnosis::Verification;

struct Surveys {
  const Assessment& before;
  const Assessment& after;
};

List texts(const std::vector<std::string>& lines) {
  List list;
  for (const std::string& line : lines) list.push_back(Fields{{"text", line}});
  return list;
}

List amount_rows(const diagnosis::Money& money, const std::string& currency) {
  List list;
  for (const Amount& amount : amounts(money, currency)) {
    list.push_back(Fields{{"label", amount.label}, {"text", amount.text}});
  }
  return list;
}

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

Data ladder_pair(const std::string& title, std::string before, std::string after,
                 const std::string& before_day, const std::string& after_day) {
  return Fields{{"component", title},
                {"before", std::move(before)},
                {"after", std::move(after)},
                {"before_day", before_day},
                {"after_day", after_day}};
}

// A pair of ladders for each component with a fault that was seen both times; for a motor that only
// its readings speak of, the lower halves.
List ladders(const Verification& v, const MotorChange& motor, const Surveys& surveys) {
  List list;
  std::vector<std::string> shown;
  for (const std::size_t i : motor.lugs) {
    const auto& lug = v.lugs.at(i);
    const bool known = std::find(shown.begin(), shown.end(), lug.component) != shown.end();
    if (known || !(lug.fault_before || lug.fault_after)) continue;
    const auto* before = last_visit(surveys.before, motor.motor, lug.component);
    const auto* after = last_visit(surveys.after, motor.motor, lug.component);
    if (!before || !after) continue;
    shown.push_back(lug.component);
    list.push_back(ladder_pair(lug.component, ladder_svg(surveys.before, *before),
                               ladder_svg(surveys.after, *after), visit_text(before),
                               visit_text(after)));
  }
  const auto* before = surveys.before.find_motor(motor.motor);
  const auto* after = surveys.after.find_motor(motor.motor);
  if (shown.empty() && before && after && !before->electrical.empty() &&
      !after->electrical.empty()) {
    list.push_back(ladder_pair(
        tr("Readings"), ladder_svg(surveys.before, *before), ladder_svg(surveys.after, *after),
        day_text(before->electrical.back().taken_at), day_text(after->electrical.back().taken_at)));
  }
  return list;
}

Data motor_data(const Verification& v, std::size_t index, const Surveys& surveys) {
  const MotorChange& motor = v.motors[index];
  List lines;
  for (const ChangeLine& line : fault_lines(v, motor, surveys.after.survey)) {
    lines.push_back(
        Fields{{"what", line.what}, {"change", title_of(line.change)}, {"reason", line.reason}});
  }
  List assumptions;
  for (const diagnosis::Evidence& e : motor.assumptions) {
    assumptions.push_back(Fields{{"text", written(e.text)}, {"source", written(e.source)}});
  }
  const List money = amount_rows(motor.money, motor.currency);
  const std::string rest = rest_line(v, motor);
  Data data{Fields{{"number", std::to_string(index + 1)},
                   {"motor", motor.motor},
                   {"level", std::to_string(level_of(motor.change))},
                   {"change", title_of(motor.change)},
                   {"lines", lines},
                   {"has_lines", !lines.empty()},
                   {"rest", rest},
                   {"has_rest", !rest.empty()},
                   {"ladders", ladders(v, motor, surveys)},
                   {"money", money},
                   {"has_money", !money.empty()},
                   {"assumptions", assumptions},
                   {"has_assumptions", !assumptions.empty()}}};
  if (motor.saved_w) data.set("watts", decimals(motor.saved_w->value(), 1) + " W");
  if (const auto net = motor.money.net_first_year()) {
    data.set("net", decimals(*net, 0) + (motor.currency.empty() ? "" : " " + motor.currency));
  }
  return data;
}

List problem_rows(const Surveys& surveys) {
  List list;
  const auto add = [&list](const std::string& survey, const Assessment& a) {
    for (const Problem& p : a.problems) {
      list.push_back(Fields{{"survey", survey},
                            {"file", p.file},
                            {"row", p.row ? std::to_string(*p.row) : ""},
                            {"column", p.column},
                            {"message", p.message}});
    }
  };
  add(tr("first"), surveys.before);
  add(tr("second"), surveys.after);
  return list;
}

List tallies(const Verification& v) {
  List list;
  for (std::size_t i = 0; i <= static_cast<std::size_t>(Change::even); ++i) {
    const auto change = static_cast<Change>(i);
    if (v.count(change) == 0) continue;
    list.push_back(Fields{{"count", std::to_string(v.count(change))},
                          {"what", title_of(change)},
                          {"level", std::to_string(level_of(change))}});
  }
  return list;
}

Data page_data(const Verification& v, const Surveys& surveys) {
  const Survey& survey = surveys.after.survey;
  const auto fact = [](const std::string& label, const std::string& value) {
    return Fields{{"label", label}, {"value", value}};
  };
  const List facts{fact(tr("First survey"), day_text(surveys.before.survey.surveyed_on)),
                   fact(tr("Second survey"), day_text(survey.surveyed_on)),
                   fact(tr("Policy"), tr(surveys.after.policy.title))};
  List motors;
  for (std::size_t i = 0; i < v.motors.size(); ++i) motors.push_back(motor_data(v, i, surveys));
  List totals;
  for (const diagnosis::CurrencyTotal& total : v.totals) {
    for (Data& row : amount_rows(total.money, total.currency)) totals.push_back(std::move(row));
  }
  const List problems = problem_rows(surveys);
  return Fields{{"site", survey.site.empty() ? tr("Survey") : survey.site},
                {"style", report_style()},
                {"tallies", tallies(v)},
                {"cautions", texts(cautions_in_words())},
                {"facts", facts},
                {"motors", motors},
                {"has_motors", !motors.empty()},
                {"not_revisited", fmt::format("{}", fmt::join(v.not_revisited, ", "))},
                {"has_not_revisited", !v.not_revisited.empty()},
                {"totals", totals},
                {"has_totals", !totals.empty()},
                {"rules", texts(rules_in_words(v.options))},
                {"problems", problems},
                {"has_problems", !problems.empty()}};
}

}  // namespace

Result<std::string> verification_html(const Verification& verification, const Assessment& before,
                                      const Assessment& after) {
  try {
    return page_template("verification.html.mustache")
        .render(page_data(verification, {before, after}));
  } catch (const std::exception& error) {
    return fail(
        {ErrorKind::system, "the page could not be composed", error.what(), "", "free memory", {}});
  }
}

}  // namespace ohmglow::report
