#include "ohmglow/records.h"
#include "ohmglow/version.h"
#include "records/findings_parts.h"
#include "records/json_values.h"
#include "records/tables.h"

namespace ohmglow::records {
namespace {

using diagnosis::Assessment;
using diagnosis::LugChange;
using diagnosis::LugSide;
using diagnosis::Money;
using diagnosis::MotorChange;
using diagnosis::ReadingChange;
using diagnosis::ReadingSide;
using diagnosis::Verification;

OrderedJson survey_json(const Survey& survey) {
  return {{"folder", survey.folder},
          {"site", text_or_null(survey.site)},
          {"surveyed_on", or_null(survey.surveyed_on)}};
}

OrderedJson options_json(const diagnosis::VerifyOptions& options) {
  return {{"load_ratio", options.load_ratio},
          {"emissivity_change", options.emissivity_change},
          {"load_exponent", severity::kLoadExponent},
          {"load_exponent_low", severity::kLoadExponentLow},
          {"load_exponent_high", severity::kLoadExponentHigh},
          {"price_per_kwh", or_null(options.price_per_kwh)},
          {"hours_per_year", or_null(options.hours_per_year)},
          {"repair_cost", or_null(options.repair_cost)}};
}

OrderedJson side_json(const std::optional<LugSide>& side) {
  if (!side) return {};
  return {{"image", side->image},
          {"temperature_c", side->temperature_c},
          {"rise_c", side->rise_k},
          {"rise_u_c", side->rise_u_k},
          {"load_a", or_null(side->load)}};
}

OrderedJson side_json(const std::optional<ReadingSide>& side) {
  if (!side) return {};
  return {{"taken_at", or_null(side->taken_at)},
          {"unbalance_pct", side->unbalance_pct},
          {"unbalance_u_pct", side->unbalance_u_pct},
          {"excess_ohm", or_null(side->excess)},
          {"excess_u_ohm", or_null(side->excess_u)}};
}

OrderedJson lug_json(const Assessment& after, const LugChange& lug) {
  return {{"motor", lug.motor},
          {"component", text_or_null(lug.component)},
          {"lug", lug.lug},
          {"phase", number_of(lug.phase)},
          {"phase_name", phase_name_json(after, lug.phase)},
          {"change", diagnosis::id_of(lug.change)},
          {"reason", lug.reason},
          {"fault_before", lug.fault_before},
          {"fault_after", lug.fault_after},
          {"rise", lug.over_air ? "over_air" : "over_like"},
          {"before", side_json(lug.before)},
          {"after", side_json(lug.after)},
          {"after_at_load_before_c", or_null(lug.projected_k)},
          {"after_at_load_before_u_c", or_null(lug.projected_u_k)},
          {"change_c", or_null(lug.change_k)},
          {"change_u_c", or_null(lug.change_u_k)}};
}

OrderedJson reading_json(const Assessment& after, const ReadingChange& reading) {
  return {{"motor", reading.motor},
          {"test", name_of(reading.test)},
          {"place", text_or_null(reading.place)},
          {"change", diagnosis::id_of(reading.change)},
          {"reason", reading.reason},
          {"fault_before", reading.fault_before},
          {"fault_after", reading.fault_after},
          {"phase", or_null(reading.phase)},
          {"phase_name", phase_name_json(after, reading.phase)},
          {"before", side_json(reading.before)},
          {"after", side_json(reading.after)},
          {"change_pct", or_null(reading.change_pct)},
          {"change_u_pct", or_null(reading.change_u_pct)},
          {"saved_w", or_null(reading.saved_w)},
          {"saved_u_w", or_null(reading.saved_u_w)},
          {"at_a", or_null(reading.at_a)}};
}

OrderedJson money_json(const std::string& currency, const Money& money) {
  return {{"currency", text_or_null(currency)},
          {"replacement_avoided", or_null(money.replacement_avoided)},
          {"downtime_avoided", or_null(money.downtime_avoided)},
          {"energy_per_year", or_null(money.energy_per_year)},
          {"repair_cost", or_null(money.repair_cost)},
          {"net_first_year", or_null(money.net_first_year())}};
}

OrderedJson motor_change_json(const MotorChange& motor) {
  return {{"motor", motor.motor},
          {"change", diagnosis::id_of(motor.change)},
          {"saved_w", or_null(motor.saved_w)},
          {"money", money_json(motor.currency, motor.money)},
          {"assumptions", evidence_json(motor.assumptions)}};
}

OrderedJson problems_json(const std::vector<Problem>& problems) {
  return list_of(problems, [](const Problem& problem) { return problem_json(problem); });
}

}  // namespace

std::string verification_json(const Verification& verification, const Assessment& before,
                              const Assessment& after) {
  OrderedJson totals = list_of(verification.totals, [](const diagnosis::CurrencyTotal& total) {
    return money_json(total.currency, total.money);
  });
  const OrderedJson json{
      {"version", 1},
      {"tool", {{"name", "ohmglow"}, {"version", kVersion}}},
      {"before", survey_json(before.survey)},
      {"after", survey_json(after.survey)},
      {"policy", {{"id", after.policy.id}, {"source", after.policy.source}}},
      {"options", options_json(verification.options)},
      {"motors", list_of(verification.motors, motor_change_json)},
      {"lugs",
       list_of(verification.lugs, [&after](const LugChange& lug) { return lug_json(after, lug); })},
      {"readings", list_of(verification.readings,
                           [&after](const ReadingChange& r) { return reading_json(after, r); })},
      {"not_revisited", verification.not_revisited},
      {"totals", std::move(totals)},
      {"problems_before", problems_json(before.problems)},
      {"problems_after", problems_json(after.problems)}};
  return dumped(json, 1) + "\n";
}

}  // namespace ohmglow::records
