#include "ohmglow/advice.h"
#include "ohmglow/findings_writer.h"
#include "ohmglow/records.h"
#include "ohmglow/version.h"
#include "records/band.h"
#include "records/findings_document.h"
#include "records/findings_parts.h"
#include "records/json_values.h"
#include "records/manifest_words.h"

#include <chrono>
#include <fmt/format.h>
#include <string>
#include <string_view>

namespace ohmglow::records {
namespace {

using diagnosis::Assessment;

OrderedJson survey_json(const Survey& survey) {
  return {{"folder", survey.folder},
          {"site", text_or_null(survey.site)},
          {"surveyed_on", or_null(survey.surveyed_on)},
          {"thermographer", text_or_null(survey.thermographer)},
          {"phase_names", survey.phase_names},
          {"band", band_json(survey.band)}};
}

OrderedJson limit_json(const std::optional<severity::Limit>& limit) {
  if (!limit) return {};
  return {{limit->inclusive ? "from" : "above", limit->value}};
}

OrderedJson policy_json(const severity::Policy& policy) {
  const auto band = [](const severity::Band& b) -> OrderedJson {
    return {{"id", b.id},
            {"title", b.title},
            {"over_like_c", limit_json(b.over_like_k)},
            {"over_air_c", limit_json(b.over_air_k)},
            {"pair_unbalance_pct", limit_json(b.pair_unbalance_pct)},
            {"action", b.action},
            {"source", b.source}};
  };
  return {{"id", policy.id},
          {"title", policy.title},
          {"source", policy.source},
          {"rule", policy.rule},
          {"bands", list_of(policy.bands, band)}};
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
          {"as_of", date_text(options.as_of)},
          {"uncertainty", word_for(kUncertainties, options.uncertainty)},
          {"seed", sampled ? OrderedJson(options.seed) : OrderedJson()},
          {"decision", word_for(kDecisions, options.decision)},
          {"guard_factor", guarded ? severity::kGuardFactor : 0}};
}

OrderedJson evidence_json(const std::vector<diagnosis::Evidence>& evidence) {
  return list_of(evidence, [](const diagnosis::Evidence& item) -> OrderedJson {
    return {{"text", item.text}, {"source", text_or_null(item.source)}};
  });
}

OrderedJson flags_json(const std::vector<diagnosis::Flag>& flags) {
  return list_of(flags, [](diagnosis::Flag flag) { return OrderedJson(diagnosis::name_of(flag)); });
}

OrderedJson probability_json(const severity::Policy& policy,
                             const std::vector<double>& probability) {
  if (probability.size() != policy.bands.size()) return {};
  OrderedJson by_band = OrderedJson::object();
  for (std::size_t i = 0; i < probability.size(); ++i) by_band[policy.bands[i].id] = probability[i];
  return by_band;
}

OrderedJson phase_name_json(const Assessment& assessment, const std::optional<Phase>& phase) {
  return phase ? OrderedJson(assessment.survey.phase_names.at(index_of(*phase))) : OrderedJson();
}

OrderedJson verdict_probability_json(const std::vector<double>& probability) {
  if (probability.size() != diagnosis::kVerdicts) return {};
  OrderedJson by_verdict = OrderedJson::object();
  for (std::size_t i = 0; i < probability.size(); ++i) {
    by_verdict[std::string(diagnosis::id_of(static_cast<diagnosis::Verdict>(i)))] = probability[i];
  }
  return by_verdict;
}

OrderedJson arguments_json(const std::vector<diagnosis::Argument>& arguments) {
  return list_of(arguments, [](const diagnosis::Argument& a) -> OrderedJson {
    return {{"text", a.text}, {"with_it", a.with_it}, {"overall", a.overall}};
  });
}

OrderedJson explanation_json(const diagnosis::Explanation& e) {
  return {{"id", e.id},
          {"title", e.title},
          {"probability", e.probability},
          {"in_favour", arguments_json(e.in_favour)},
          {"against", arguments_json(e.against)}};
}

OrderedJson next_test_json(const diagnosis::NextTest& test) {
  return {{"id", test.id},
          {"title", test.title},
          {"how", test.how},
          {"gain_bits", test.gain_bits},
          {"effort_min", test.effort_min}};
}

OrderedJson component_json(const Assessment& assessment,
                           const diagnosis::ComponentResult& component) {
  const auto file_of = [&assessment](std::size_t image) {
    return plain(assessment.images.at(image).file);
  };
  return {{"motor", component.motor},
          {"component", component.component},
          {"visit", component.visit ? OrderedJson(date_text(*component.visit)) : OrderedJson()},
          {"images", list_of(component.images, file_of)},
          {"verdict", diagnosis::id_of(component.verdict)},
          {"reading", or_null(component.reading)},
          {"load_a", three(component.load_a)},
          {"mean_load_a", or_null(component.mean_load_a)},
          {"evidence", evidence_json(component.evidence)},
          {"next_step", text_or_null(component.next_step)},
          {"verdict_probability", verdict_probability_json(component.verdict_probability)},
          {"explanations", list_of(component.explained.explanations, explanation_json)},
          {"next_tests", list_of(component.explained.tests, next_test_json)}};
}

OrderedJson motor_json(const Assessment& assessment, const diagnosis::MotorResult& motor) {
  return {
      {"motor", motor.motor},
      {"verdict", motor.verdict ? OrderedJson(diagnosis::id_of(*motor.verdict)) : OrderedJson()},
      {"places_not_imaged", motor.places_not_imaged},
      {"electrical", electrical_json(assessment, motor)},
      {"segments", segments_json(assessment, motor)}};
}

OrderedJson finding_json(const Assessment& assessment, const diagnosis::Finding& f) {
  const auto projected = [&f](KelvinDifference severity::Projection::*end) {
    return f.projected_rise ? plain((*f.projected_rise).*end) : OrderedJson();
  };
  return {
      {"rank", f.rank},
      {"motor", f.motor},
      {"component", text_or_null(f.component)},
      {"image", or_null(f.image)},
      {"phase", or_null(f.phase)},
      {"phase_name", phase_name_json(assessment, f.phase)},
      {"lug", or_null(f.lug)},
      {"temperature_c", or_null(f.temperature_c)},
      {"temperature_u_c", or_null(f.temperature_u_c)},
      {"reference_c", or_null(f.reference_c)},
      {"rise_over_like_c", or_null(f.rise_over_like)},
      {"rise_over_like_u_c", u_or_null(f.rise_over_like)},
      {"rise_over_air_c", or_null(f.rise_over_air)},
      {"rise_over_air_u_c", u_or_null(f.rise_over_air)},
      {"relative_difference", or_null(f.relative_difference)},
      {"band", assessment.band_id(f.grade)},
      {"band_by", severity::name_of(f.grade.by)},
      {"band_simple", assessment.band_id(f.simple_grade)},
      {"band_probability", probability_json(assessment.policy, f.band_probability)},
      {"projected_rise_c", projected(&severity::Projection::rise)},
      {"projected_rise_low_c", projected(&severity::Projection::low)},
      {"projected_rise_high_c", projected(&severity::Projection::high)},
      {"projected_rise_u_c", f.projected_rise ? OrderedJson(f.projected_rise->u_k) : OrderedJson()},
      {"budget", budgets_json(f.budget)},
      {"monte_carlo", monte_carlo_json(f.monte_carlo)},
      {"load_a", or_null(f.load_a)},
      {"load_pct", or_null(f.load_pct)},
      {"verdict", diagnosis::id_of(f.verdict)},
      {"electrical_phase", or_null(f.electrical_phase)},
      {"electrical_phase_name", phase_name_json(assessment, f.electrical_phase)},
      {"resistance_unbalance_pct", or_null(f.resistance_unbalance)},
      {"leg_unbalance_pct", or_null(f.leg_unbalance)},
      {"excess_ohm", or_null(f.excess_ohm)},
      {"excess_w", or_null(f.excess_w)},
      {"flags", flags_json(f.flags)},
      {"action", f.action},
      {"next_step", text_or_null(f.next_step)},
      {"evidence", evidence_json(f.evidence)},
      {"cautions", f.cautions}};
}

OrderedJson problem_json(const Problem& problem) {
  return {{"file", text_or_null(problem.file)},
          {"row", or_null(problem.row)},
          {"column", text_or_null(problem.column)},
          {"message", problem.message}};
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
  document_->item({text});
}
void FindingsWriter::finding(std::size_t rank, std::string_view text) {
  const std::string number = std::to_string(rank);
  document_->item({"{\n   \"rank\": ", number, text});
}
void FindingsWriter::problem(const Problem& problem) {
  document_->item({item_text(problem_json(problem))});
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

std::string findings_json(const Assessment& assessment) {
  std::string text;
  FindingsWriter writer(into(text), assessment.survey, assessment.policy, assessment.options);
  const auto list = [&writer](std::string_view name, const auto& items, auto to_json) {
    writer.begin_list(name);
    for (const auto& item : items) writer.item(item_text(to_json(item)));
    writer.end_list();
  };
  writer.begin_list("images");
  for (std::size_t i = 0; i < assessment.images.size(); ++i) {
    writer.item(item_text(image_json(assessment, i)));
  }
  writer.end_list();
  const auto part = [&assessment](auto to_json) {
    return [&assessment, to_json](const auto& item) { return to_json(assessment, item); };
  };
  list("components", assessment.components, part(component_json));
  list("motors", assessment.motors, part(motor_json));
  list("findings", assessment.findings, part(finding_json));
  list("problems", assessment.problems, problem_json);
  static_cast<void>(writer.finish());
  return text;
}

namespace {

OrderedJson hot_spot_json(const std::optional<diagnosis::HotSpot>& spot) {
  if (!spot) return {};
  return {{"phase", number_of(spot->phase)},
          {"at_a", spot->at.value()},
          {"heat_w", spot->heat.value()},
          {"heat_u_w", spot->heat_u.value()},
          {"rise_low_c", or_null(spot->rise_low_k)},
          {"rise_high_c", or_null(spot->rise_high_k)}};
}

OrderedJson advice_json(const diagnosis::Advice& advice) {
  return {{"reading", or_null(advice.reading)},
          {"hot_spot", hot_spot_json(advice.hot_spot)},
          {"expected", text_or_null(advice.expected)},
          {"next_step", advice.next_step}};
}

}  // namespace

std::string readings_json(const Assessment& assessment) {
  const auto motor = [&assessment](const diagnosis::MotorResult& m) -> OrderedJson {
    return {{"motor", m.motor},
            {"electrical", electrical_json(assessment, m)},
            {"segments", segments_json(assessment, m)},
            {"advice", advice_json(diagnosis::advise(assessment, m))}};
  };
  std::string text;
  Document document(into(text));
  document.add("version", 1);
  document.add_list("motors", assessment.motors, motor);
  document.add_list("problems", assessment.problems, problem_json);
  static_cast<void>(document.finish());
  return text;
}

}  // namespace ohmglow::records
