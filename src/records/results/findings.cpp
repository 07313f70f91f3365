#include "offered/diagnosis/advice.h"
#include "offered/results/findings_texts.h"
#include "offered/results/findings_writer.h"
#include "ohmglow/version.h"
#include "records/files/json_document.h"
#include "records/files/json_values.h"
#include "records/intake/band.h"
#include "records/results/findings_parts.h"
#include "records/results/manifest_words.h"

#include <chrono>
#include <fmt/format.h>
#include <numeric>
#include <string>
#include <string_view>

namespace ohmglow::records {
namespace {

using diagnosis::Assessment;

OrderedJson camera_json(const Camera& camera) {
  return {{"make", text_or_null(camera.make)},
          {"model", text_or_null(camera.model)},
          {"serial", text_or_null(camera.serial)},
          {"calibrated_on", or_null(camera.calibrated_on)},
          {"lens", text_or_null(camera.lens)}};
}

OrderedJson survey_json(const Survey& survey) {
  return {{"folder", survey.folder},
          {"site", text_or_null(survey.site)},
          {"surveyed_on", or_null(survey.surveyed_on)},
          {"thermographer", text_or_null(survey.thermographer)},
          {"thermographer_level", text_or_null(survey.thermographer_level)},
          {"thermographer_certificate", text_or_null(survey.thermographer_certificate)},
          {"camera", camera_json(survey.camera)},
          {"phase_names", survey.phase_names},
          {"band", band_json(survey.band)}};
}

OrderedJson limit_json(const std::optional<severity::Limit>& limit) {
  if (!limit) return {};
  return {{limit->inclusive ? "from" : "above", limit->value}};
}

OrderedJson over_air_alone_json(const severity::Policy& policy) {
  if (!policy.air_alone_from) return {};
  return {{"from", policy.bands.at(*policy.air_alone_from).id},
          {"action", policy.air_alone_action}};
}

OrderedJson priors_json(const severity::Policy& policy) {
  if (policy.priors.empty()) return {};
  OrderedJson json{{"source", policy.priors_source}};
  for (const auto& [id, probability] : policy.priors) json[id] = probability;
  return json;
}

OrderedJson policy_json(const severity::Policy& policy) {
  const auto band = [](const severity::Band& b) -> OrderedJson {
    return {{"id", b.id},
            {"title", b.title},
            {"over_like_c", limit_json(b.over_like_k)},
            {"over_air_c", limit_json(b.over_air_k)},
            {"pair_unbalance_pct", limit_json(b.pair_unbalance_pct)},
            {"action", b.action},
            {"failure_per_year", or_null(b.failure_probability)},
            {"source", b.source}};
  };
  const auto& scatter = policy.sound_scatter;
  return {{"id", policy.id},
          {"title", policy.title},
          {"source", policy.source},
          {"rule", policy.rule},
          {"bands", list_of(policy.bands, band)},
          {"judgement",
           {{"confidence", policy.confidence},
            {"sound_scatter",
             {{"share_of_rise", scatter.share_of_rise},
              {"least_c", scatter.least_k},
              {"source", scatter.source}}}}},
          {"over_air_alone", over_air_alone_json(policy)},
          {"failure_source", text_or_null(policy.failure_source)},
          {"priors", priors_json(policy)}};
}

}  // namespace

std::string date_text(std::chrono::sys_days day) {
  const std::chrono::year_month_day date{day};
  return fmt::format("{:04}-{:02}-{:02}", int{date.year()}, unsigned{date.month()},
                     unsigned{date.day()});
}

OrderedJson options_json(const diagnosis::Options& options) {
  const bool sampled = options.uncertainty == diagnosis::Uncertainty::monte_carlo;
  const bool guarded = options.decision == severity::Decision::guarded;
  return {{"reference", word_for(kReferences, options.reference)},
          {"reading_age_d", options.reading_age_d},
          {"tests_by_effort", options.tests_by_effort},
          {"unconfirmed", word_for(kUnconfirmed, options.unconfirmed)},
          {"as_of", date_text(options.as_of)},
          {"uncertainty", word_for(kUncertainties, options.uncertainty)},
          {"seed", sampled ? OrderedJson(options.seed) : OrderedJson()},
          {"decision", word_for(kDecisions, options.decision)},
          {"guard_factor", guarded ? severity::kGuardFactor : 0}};
}

void put(JsonWriter& json, const diagnosis::Evidence& item) {
  JsonObject object(json);
  object("text", item.text);
  object("source", unless_empty(item.source));
}

void put_probability(JsonWriter& json, const severity::Policy& policy,
                     const std::vector<double>& probability) {
  if (probability.size() != policy.bands.size()) return json.null();
  JsonObject by_band(json);
  for (std::size_t i = 0; i < probability.size(); ++i) by_band(policy.bands[i].id, probability[i]);
}

std::optional<std::string_view> phase_name(const Assessment& assessment,
                                           const std::optional<Phase>& phase) {
  if (!phase) return std::nullopt;
  return assessment.survey.phase_names.at(index_of(*phase));
}

namespace {

void put_verdict_probability(JsonWriter& json, const std::vector<double>& probability) {
  if (probability.size() != diagnosis::kVerdicts) return json.null();
  JsonObject by_verdict(json);
  for (std::size_t i = 0; i < probability.size(); ++i) {
    by_verdict(diagnosis::id_of(static_cast<diagnosis::Verdict>(i)), probability[i]);
  }
}

}  // namespace

// Found beside the type that it is for, so not in the namespace without a name.
static void put(JsonWriter& json, const diagnosis::Argument& a) {
  JsonObject object(json);
  object("text", a.text);
  object("with_it", a.with_it);
  object("overall", a.overall);
}

static void put(JsonWriter& json, const diagnosis::Explanation& e) {
  JsonObject object(json);
  object("id", e.id);
  object("title", e.title);
  object("probability", e.probability);
  object("in_favour", e.in_favour);
  object("against", e.against);
}

static void put(JsonWriter& json, const diagnosis::NextTest& test) {
  JsonObject object(json);
  object("id", test.id);
  object("title", test.title);
  object("how", test.how);
  object("gain_bits", test.gain_bits);
  object("effort_min", test.effort_min);
}

void put_component(JsonWriter& json, const Assessment& assessment,
                   const diagnosis::ComponentResult& component) {
  const auto file_of = [&assessment](std::size_t image) {
    return std::string_view(assessment.images.at(image).file);
  };
  JsonObject object(json);
  object("motor", component.motor);
  object("component", component.component);
  object("visit", component.visit ? std::optional(date_text(*component.visit)) : std::nullopt);
  object("images", each(component.images, file_of));
  object("verdict", diagnosis::id_of(component.verdict));
  object("reading", component.reading);
  object("joint_reading", component.joint_reading);
  object("load_a", component.load_a);
  object("mean_load_a", component.mean_load_a);
  object("visible_at_rated_c", component.visible_at_rated_k);
  object("why_not_judged", unless_empty(component.why_not_judged));
  object("image_again_from_a", component.image_again_from);
  object("evidence", component.evidence);
  object("next_step", unless_empty(component.next_step));
  object("verdict_probability", by(put_verdict_probability, component.verdict_probability));
  object("seen", component.explained.seen);
  object("explanations", component.explained.explanations);
  object("next_tests", component.explained.tests);
}

namespace {

void put_place(JsonWriter& json, const CircuitStop& stop) {
  JsonObject object(json);
  object("place", stop.place);
  object("area", unless_empty(stop.area));
  object("lockout", unless_empty(stop.lockout));
  object("torque_nm", stop.torque_nm);
  object("parts", unless_empty(stop.parts));
  object("not_inspected", unless_empty(stop.not_inspected));
}

void put_places(JsonWriter& json, const Assessment& assessment, const std::string& motor) {
  std::vector<const CircuitStop*> places;
  for (const CircuitStop& stop : assessment.survey.circuit) {
    if (stop.motor == motor) places.push_back(&stop);
  }
  put(json, each(places, [](const CircuitStop* stop) { return by(put_place, *stop); }));
}

}  // namespace

void put_motor(JsonWriter& json, const Assessment& assessment,
               const diagnosis::MotorResult& motor) {
  JsonObject object(json);
  const Motor* const row = assessment.survey.find_motor(motor.motor);
  const Motor known = row ? *row : Motor{};
  object("motor", motor.motor);
  object("description", unless_empty(known.description));
  object("area", unless_empty(known.area));
  object("lockout", unless_empty(known.lockout));
  object("criticality", known.criticality);
  object("crew", known.crew);
  object("torque_nm", known.torque_nm);
  object("parts", unless_empty(known.parts));
  object("places", by(put_places, assessment, motor.motor));
  object("verdict", motor.verdict ? std::optional(diagnosis::id_of(*motor.verdict)) : std::nullopt);
  object("places_not_imaged", motor.places_not_imaged);
  object("electrical", by(put_electrical, assessment, motor));
  object("segments", by(put_segments, assessment, motor));
}

namespace {

void add_finding(JsonObject& object, const Assessment& assessment, const diagnosis::Finding& f) {
  object("motor", f.motor);
  object("component", unless_empty(f.component));
  object("image", f.image);
  object("phase", f.phase);
  object("phase_name", phase_name(assessment, f.phase));
  object("lug", f.lug);
  object("temperature_c", f.temperature_c);
  object("temperature_u_c", f.temperature_u_c);
  object("reference_c", f.reference_c);
  object("rise_over_like_c", f.rise_over_like);
  object("rise_over_like_u_c", u_of(f.rise_over_like));
  object("rise_over_air_c", f.rise_over_air);
  object("rise_over_air_u_c", u_of(f.rise_over_air));
  object("relative_difference", f.relative_difference);
  object("band", assessment.band_id(f.grade));
  object("band_by", severity::name_of(f.grade.by));
  object("band_simple", assessment.band_id(f.simple_grade));
  object("band_probability", by(put_probability, assessment.policy, f.band_probability));
  object("projected_rise_c", if_known(f.projected_rise, &severity::Projection::rise));
  object("projected_rise_low_c", if_known(f.projected_rise, &severity::Projection::low));
  object("projected_rise_high_c", if_known(f.projected_rise, &severity::Projection::high));
  object("projected_rise_u_c", if_known(f.projected_rise, &severity::Projection::u_k));
  object("budget", f.budget);
  object("monte_carlo", f.monte_carlo);
  object("load_a", f.load_a);
  object("load_pct", f.load_pct);
  object("expected_loss", f.expected_loss);
  object("verdict", diagnosis::id_of(f.verdict));
  object("electrical_phase", f.electrical_phase);
  object("electrical_phase_name", phase_name(assessment, f.electrical_phase));
  object("resistance_unbalance_pct", f.resistance_unbalance);
  object("leg_unbalance_pct", f.leg_unbalance);
  object("excess_ohm", f.excess_ohm);
  object("excess_w", f.excess_w);
  object("flags", names(f.flags));
  object("action", f.action);
  object("next_step", unless_empty(f.next_step));
  object("evidence", f.evidence);
  object("cautions", f.cautions);
}

}  // namespace

void put_finding(JsonWriter& json, const Assessment& assessment,
                 const diagnosis::Finding& finding) {
  JsonObject object(json);
  object("rank", finding.rank);
  add_finding(object, assessment, finding);
}

void put_unranked_finding(JsonWriter& json, const Assessment& assessment,
                          const diagnosis::Finding& finding) {
  JsonObject object(json);
  add_finding(object, assessment, finding);
}

void put_aside(JsonWriter& json, const Assessment& assessment, const diagnosis::Aside& a) {
  JsonObject object(json);
  object("motor", a.motor);
  object("component", a.component);
  object("image", a.image);
  object("phase", a.phase);
  object("phase_name", phase_name(assessment, a.phase));
  object("lug", a.lug);
  object("temperature_c", a.temperature_c);
  object("rise_over_like_c", a.rise_over_like);
  object("rise_over_like_u_c", u_of(a.rise_over_like));
  object("rise_over_air_c", a.rise_over_air);
  object("rise_over_air_u_c", u_of(a.rise_over_air));
  object("band", assessment.band_id(a.grade));
  object("band_by", severity::name_of(a.grade.by));
  object("verdict", diagnosis::id_of(a.verdict));
  object("load_a", a.load_a);
  object("load_pct", a.load_pct);
  object("image_again_from_a", a.image_again_from_a);
  object("why", a.why);
  object("next_step", unless_empty(a.next_step));
}

void put(JsonWriter& json, const Problem& problem) {
  JsonObject object(json);
  object("file", unless_empty(problem.file));
  object("row", problem.row);
  object("column", unless_empty(problem.column));
  object("message", problem.message);
  if (problem.is_remark) object("remark", true);
}

FindingsWriter::FindingsWriter(Sink sink, const Survey& survey, const severity::Policy& policy,
                               const diagnosis::Options& options)
    : document_(std::make_unique<Document>(std::move(sink))) {
  document_->add("version", 1);
  document_->add("tool", {{"name", "ohmglow"}, {"version", kVersion}});
  document_->add("survey", survey_json(survey));
  document_->add("policy", policy_json(policy));
  document_->add("options", options_json(options));
}
FindingsWriter::~FindingsWriter() = default;

void FindingsWriter::begin_list(std::string_view name) {
  document_->begin_list(name);
}
void FindingsWriter::item(std::string_view text) {
  document_->item(text);
}
void FindingsWriter::finding(std::size_t rank, std::string_view text) {
  document_->item(item_text([&](JsonWriter& json) {
    JsonObject object(json);
    object("rank", rank);
    object.members_of(text);
  }));
}
void FindingsWriter::problem(const Problem& problem) {
  document_->item(item_text(problem));
}
void FindingsWriter::end_list() {
  document_->end_list();
}
Result<void> FindingsWriter::finish() {
  return document_->finish();
}

namespace {

/// A sink that cannot fail.
Sink into(std::string& text) {
  return [&text](std::string_view piece) -> Result<void> {
    text += piece;
    return {};
  };
}

}  // namespace

namespace {

void put_advice(JsonWriter& json, const diagnosis::Advice& advice) {
  JsonObject object(json);
  object("reading", advice.reading);
  object("hot_spot", advice.hot_spot);
  object("expected", unless_empty(advice.expected));
  object("next_step", advice.next_step);
}

void put_readings(JsonWriter& json, const Assessment& assessment,
                  const diagnosis::MotorResult& motor) {
  JsonObject object(json);
  object("motor", motor.motor);
  object("electrical", by(put_electrical, assessment, motor));
  object("segments", by(put_segments, assessment, motor));
  object("advice", by(put_advice, diagnosis::advise(assessment, motor)));
}

}  // namespace

static void put(JsonWriter& json, const diagnosis::HotSpot& spot) {
  JsonObject object(json);
  object("phase", spot.phase);
  object("at_a", spot.at);
  object("heat_w", spot.heat);
  object("heat_u_w", spot.heat_u);
  object("rise_low_c", spot.rise_low_k);
  object("rise_high_c", spot.rise_high_k);
}

std::string readings_json(const Assessment& assessment) {
  std::string text;
  Document document(into(text));
  document.add("version", 1);
  document.add_list("motors", assessment.motors, [&assessment](const auto& motor) {
    return by(put_readings, assessment, motor);
  });
  document.add_list("problems", assessment.problems,
                    [](const Problem& problem) { return problem; });
  static_cast<void>(document.finish());
  return text;
}

}  // namespace ohmglow::records
