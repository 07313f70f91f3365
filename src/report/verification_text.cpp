#include "offered/report/plain_text.h"
#include "offered/report/report.h"
#include "ohmglow/reader.h"
#include "terminal_table.h"
#include "verification_words.h"
#include "words.h"

#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace ohmglow::report {
namespace {

using diagnosis::MotorChange;
using diagnosis::Verification;

std::string motor_text(const Verification& verification, const MotorChange& motor,
                       const Survey& survey, const TextOptions& options) {
  std::string text =
      printable(motor.motor) + ": " +
      in_level_colour(title_of(motor.change), level_of(motor.change), options.colour) + '\n';
  if (!motor.new_faults.empty()) {
    text += paragraph(printable(written(motor.headline)) + ".", options.width, 2);
  }
  for (const ChangeLine& line : fault_lines(verification, motor, survey)) {
    text += paragraph(fmt::format("{} — {}", line.what, title_of(line.change)), options.width, 2);
    text += paragraph(line.reason, options.width, 4);
  }
  if (const std::string rest = rest_line(verification, motor); !rest.empty()) {
    text += paragraph(rest, options.width, 2);
  }
  for (const diagnosis::Evidence& assumption : motor.assumptions) {
    const std::string basis = basis_of(assumption);
    text += paragraph(written(assumption.text) + (basis.empty() ? "" : " — " + basis),
                      options.width, 2);
  }
  if (motor.money.risk_avoided) {
    const std::vector<Fact> money =
        amounts(motor.money, motor.currency, verification.options.period_years);
    text += paragraph(money.back().label + ": " + money.back().value, options.width, 2);
  }
  return text;
}

// "case 3, CV-03, disconnect, T3 (phase C): the component was not imaged …"
std::string open_line(const diagnosis::OpenFinding& open, const Survey& survey) {
  std::string where = open.motor;
  if (!open.component.empty()) where += ", " + open.component;
  if (open.lug) where += ", " + *open.lug;
  if (open.phase) where += " (" + phase_title(survey, *open.phase) + ")";
  return say("case {}, {}: {}", std::to_string(open.case_number), where, written(open.why));
}

std::string counts_line(const Verification& verification) {
  std::vector<std::string> parts;
  for (std::size_t i = 0; i <= static_cast<std::size_t>(diagnosis::Change::even); ++i) {
    const auto change = static_cast<diagnosis::Change>(i);
    const std::size_t count = verification.count(change);
    if (count > 0) parts.push_back(fmt::format("{} {}", count, title_of(change)));
  }
  return fmt::format(
      "{}: {}", counted(verification.motors.size(), msg("{} motor"), msg("{} motors")),
      parts.empty() ? tr("none seen again") : fmt::format("{}", fmt::join(parts, ", ")));
}

}  // namespace

std::string verification_text(const Verification& verification, const diagnosis::Assessment& after,
                              const TextOptions& options) {
  std::string text;
  for (const MotorChange& motor : verification.motors) {
    text += motor_text(verification, motor, after.survey, options) + '\n';
  }
  text += paragraph(counts_line(verification), options.width, 0);
  for (const diagnosis::NewFault& fault : verification.new_faults) {
    text += paragraph(say("new since the first survey: {}",
                          fmt::format("{}: {}", fault.motor, written(fault.what))),
                      options.width, 0);
  }
  if (!verification.open.empty()) {
    text += tr("Still open from the first survey, not looked at again:") + '\n';
  }
  for (const diagnosis::OpenFinding& open : verification.open) {
    text += paragraph(open_line(open, after.survey), options.width, 2);
  }
  for (const Sentence& renamed : verification.renamed) {
    text += paragraph(written(renamed), options.width, 0);
  }
  if (!verification.not_revisited.empty()) {
    text +=
        paragraph(say("not in the second survey: {}", fmt::join(verification.not_revisited, ", ")),
                  options.width, 0);
  }
  for (const diagnosis::CurrencyTotal& total : verification.totals) {
    for (const Fact& amount :
         amounts(total.money, total.currency, verification.options.period_years)) {
      text += paragraph(amount.label + ": " + amount.value, options.width, 0);
    }
  }
  for (const std::string& rule : rules_in_words(verification.options)) {
    text += paragraph(rule, options.width, 0);
  }
  return text;
}

}  // namespace ohmglow::report
