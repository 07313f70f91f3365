#include "offered/results/findings_texts.h"
#include "ohmglow/version.h"
#include "records/intake/tables.h"
#include "records/results/findings_parts.h"

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

void put_lug_change(JsonWriter& json, const Assessment& after, const LugChange& lug) {
  JsonObject object(json);
  object("motor", lug.motor);
  object("component", unless_empty(lug.component));
  object("lug", lug.lug);
  object("phase", lug.phase);
  object("phase_name", phase_name(after, lug.phase));
  object("change", diagnosis::id_of(lug.change));
  object("reason", lug.reason);
  object("fault_before", lug.fault_before);
  object("fault_after", lug.fault_after);
  object("rise", lug.over_air ? "over_air" : "over_like");
  object("before", lug.before);
  object("after", lug.after);
  object("compared", lug.compared);
  object("component_after", unless_empty(lug.component_after));
}

void put_reading_change(JsonWriter& json, const Assessment& after, const ReadingChange& reading) {
  JsonObject object(json);
  object("motor", reading.motor);
  object("test", name_of(reading.test));
  object("place", unless_empty(reading.place));
  object("change", diagnosis::id_of(reading.change));
  object("reason", reading.reason);
  object("fault_before", reading.fault_before);
  object("fault_after", reading.fault_after);
  object("phase", reading.phase);
  object("phase_name", phase_name(after, reading.phase));
  object("before", reading.before);
  object("after", reading.after);
  object("change_pct", reading.change_pct);
  object("change_u_pct", reading.change_u_pct);
  object("saved_w", reading.saved_w);
  object("saved_u_w", reading.saved_u_w);
  object("at_a", reading.at_a);
}

void put_money(JsonWriter& json, const std::string& currency, const Money& money) {
  JsonObject object(json);
  object("currency", unless_empty(currency));
  object("energy_per_year", money.energy_per_year);
  object("repair_cost", money.repair_cost);
  object("certain_first_year", money.certain_first_year());
  object("risk_avoided", money.risk_avoided);
}

void put_new_fault(JsonWriter& json, const Assessment& after, const diagnosis::NewFault& fault) {
  JsonObject object(json);
  object("motor", fault.motor);
  object("component", unless_empty(fault.component));
  object("lug", fault.lug);
  object("phase", fault.phase);
  object("phase_name", phase_name(after, fault.phase));
  object("band", unless_empty(fault.band));
  object("what", fault.what);
}

void put_open(JsonWriter& json, const Assessment& before, const diagnosis::OpenFinding& open) {
  JsonObject object(json);
  object("case", open.case_number);
  object("rank", open.rank);
  object("motor", open.motor);
  object("component", unless_empty(open.component));
  object("lug", open.lug);
  object("phase", open.phase);
  object("phase_name", phase_name(before, open.phase));
  object("band", unless_empty(open.band));
  object("why", open.why);
}

}  // namespace

// Found beside the type that it is for, so not in the namespace without a name.
static void put(JsonWriter& json, const diagnosis::Expected& amount) {
  JsonObject object(json);
  object("expected", amount.value);
  object("low", amount.low);
  object("high", amount.high);
}

static void put(JsonWriter& json, const severity::Assumed& figure) {
  JsonObject object(json);
  object("low", figure.low);
  object("likely", figure.likely);
  object("high", figure.high);
}

static void put(JsonWriter& json, const Survey& survey) {
  JsonObject object(json);
  object("folder", survey.folder);
  object("site", unless_empty(survey.site));
  object("surveyed_on", survey.surveyed_on);
}

static void put(JsonWriter& json, const diagnosis::VerifyOptions& options) {
  JsonObject object(json);
  object("load_ratio", options.load_ratio);
  object("emissivity_change", options.emissivity_change);
  object("load_exponent", severity::kLoadExponent);
  object("load_exponent_low", severity::kLoadExponentLow);
  object("load_exponent_high", severity::kLoadExponentHigh);
  object("price_per_kwh", options.price_per_kwh);
  object("hours_per_year", options.hours_per_year);
  object("repair_cost", options.repair_cost);
  object("period_years", options.period_years);
  object("failure_probability", options.failure_probability);
  object("downtime_h", options.downtime_h);
}

static void put(JsonWriter& json, const diagnosis::RiseThere& rise) {
  JsonObject object(json);
  object("rise_c", rise.rise_k);
  object("u_c", rise.u_k);
  object("low_c", rise.low_k);
  object("high_c", rise.high_k);
}

static void put(JsonWriter& json, const diagnosis::AtOneLoad& at) {
  JsonObject object(json);
  object("load_a", at.load);
  object("before", at.before);
  object("after", at.after);
  object("change_c", at.change_k);
  object("change_u_c", at.change_u_k);
  object("change_low_c", at.change_low_k);
  object("change_high_c", at.change_high_k);
}

static void put(JsonWriter& json, const LugSide& side) {
  JsonObject object(json);
  object("image", side.image);
  object("temperature_c", side.temperature_c);
  object("rise_c", side.rise_k);
  object("rise_u_c", side.rise_u_k);
  object("load_a", side.load);
}

static void put(JsonWriter& json, const ReadingSide& side) {
  JsonObject object(json);
  object("taken_at", side.taken_at);
  object("unbalance_pct", side.unbalance_pct);
  object("unbalance_u_pct", side.unbalance_u_pct);
  object("excess_ohm", side.excess);
  object("excess_u_ohm", side.excess_u);
  object("phase", side.phase);
  object("circuit_w", side.circuit_w);
}

static void put(JsonWriter& json, const MotorChange& motor) {
  JsonObject object(json);
  object("motor", motor.motor);
  object("change", diagnosis::id_of(motor.change));
  object("headline", motor.headline);
  object("saved_w", motor.saved_w);
  object("saved_u_w", motor.saved_u_w);
  object("money", by(put_money, motor.currency, motor.money));
  object("assumptions", motor.assumptions);
}

std::string verification_json(const Verification& verification, const Assessment& before,
                              const Assessment& after,
                              std::span<const acceptance::Compared> shops) {
  const auto total_of = [](const diagnosis::CurrencyTotal& total) {
    return by(put_money, total.currency, total.money);
  };
  const auto lug_of = [&after](const LugChange& lug) { return by(put_lug_change, after, lug); };
  const auto reading_of = [&after](const ReadingChange& reading) {
    return by(put_reading_change, after, reading);
  };
  const auto new_fault_of = [&after](const diagnosis::NewFault& fault) {
    return by(put_new_fault, after, fault);
  };
  const auto open_of = [&before](const diagnosis::OpenFinding& open) {
    return by(put_open, before, open);
  };
  const auto tool = [](JsonWriter& json) {
    JsonObject object(json);
    object("name", "ohmglow");
    object("version", kVersion);
  };
  const auto policy = [&after](JsonWriter& json) {
    JsonObject object(json);
    object("id", after.policy.id);
    object("source", after.policy.source);
  };
  const auto whole = [&](JsonWriter& json) {
    JsonObject object(json);
    object("version", 1);
    object("tool", tool);
    object("before", before.survey);
    object("after", after.survey);
    object("policy", policy);
    object("options", verification.options);
    object("motors", verification.motors);
    object("lugs", each(verification.lugs, lug_of));
    object("readings", each(verification.readings, reading_of));
    object("not_revisited", verification.not_revisited);
    object("new_faults", each(verification.new_faults, new_fault_of));
    object("open", each(verification.open, open_of));
    object("renamed", verification.renamed);
    object("shops", shops_json(shops));
    object("totals", each(verification.totals, total_of));
    object("problems_before", before.problems);
    object("problems_after", after.problems);
  };
  return lines_text(whole) + "\n";
}

}  // namespace ohmglow::records
