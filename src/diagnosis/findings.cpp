#include "wording.h"

#include <algorithm>
#include <fmt/format.h>
#include <iterator>
#include <set>

namespace ohmglow::diagnosis {
namespace {

void add_action(Finding& finding, const severity::Policy& policy) {
  finding.action = sentence(policy.bands.at(*finding.grade.band).action);
  finding.cautions = cautions();
}

void add_reading(Finding& finding, const ElectricalResult& reading, const Loads& loads) {
  finding.resistance_unbalance = reading.unbalance;
  finding.leg_unbalance = reading.resolution->leg_unbalance;
  if (!is_abnormal(reading)) return;  // the highest leg of a balanced motor names nothing
  if (reading.resolution->phase_agreed) finding.electrical_phase = reading.resolution->phase;
  finding.excess_ohm = reading.resolution->excess;
  if (const auto current = current_in(loads, reading.resolution->phase)) {
    finding.excess_w = electrical::excess_heat(reading.resolution->excess, *current);
  }
}

// The lug's own grade, raised by the reading where both name its phase.
severity::Grade grade_of(const Judging& judging, const LugResult& lug, const severity::Grade& own,
                         const ElectricalResult* reading) {
  const bool both = reading && is_abnormal(*reading) && is_hot(judging.result.policy, lug) &&
                    reading->resolution->may_mean(lug.phase);
  return both ? severity::worse(own, reading->grade) : own;
}

void add_heat(Finding& finding, const Judging& judging, LugIndex at, const Motor* motor) {
  const LugResult& lug = judging.lug(at);
  finding.image = judging.result.images[at.image].file;
  finding.image_index = at.image;
  finding.phase = lug.phase;
  finding.lug = lug.name;
  finding.temperature_c = lug.temperature_c->value();
  finding.temperature_u_c = lug.temperature_c->u();
  finding.reference_c = lug.reference_c;
  finding.rise_over_like = lug.rise_over_like;
  finding.rise_over_air = lug.rise_over_air;
  if (lug.rise_over_like && lug.rise_over_air) {
    finding.relative_difference =
        severity::relative_difference(KelvinDifference{lug.rise_over_like->value()},
                                      KelvinDifference{lug.rise_over_air->value()});
  }
  finding.band_probability = lug.band_probability;
  finding.monte_carlo = lug.monte_carlo;
  finding.projected_rise = lug.projected_rise;
  finding.projected = projected_rise(judging, at, motor);
  finding.flags = lug.flags;
  const auto load = judging.load_of(at);
  if (!load) return;
  finding.load_a = load->value();
  if (motor && motor->rated_a && motor->rated_a->value() > 0) {
    finding.load_pct = 100 * load->value() / motor->rated_a->value();
  }
}

Finding lug_finding(const Judging& judging, std::size_t component, LugIndex at) {
  const ComponentResult& result = judging.result.components[component];
  const ElectricalResult* reading = judging.reading_of(component);
  Finding finding;
  finding.motor = result.motor;
  finding.component = result.component;
  add_heat(finding, judging, at, judging.row);
  const LugResult& lug = judging.lug(at);
  finding.grade = grade_of(judging, lug, lug.grade, reading);
  finding.simple_grade = grade_of(judging, lug, lug.simple_grade, reading);
  finding.verdict = result.verdict;
  if (reading) add_reading(finding, *reading, judging.image_loads[at.image]);
  finding.next_step = result.next_step;
  finding.evidence = heat_evidence(judging, component, at);
  auto shared = shared_evidence(judging, component);
  std::move(shared.begin(), shared.end(), std::back_inserter(finding.evidence));
  add_action(finding, judging.result.policy);
  return finding;
}

// Each hot lug; where none is, the most severe of the others, which for lugs of one scene is the
// hottest.
std::vector<LugIndex> lugs_to_report(const Judging& judging, const ComponentCase& component) {
  std::vector<LugIndex> reported;
  for (const LugIndex at : component.lugs) {
    const LugResult& lug = judging.lug(at);
    if (lug.grade.band && is_hot(judging.result.policy, lug)) reported.push_back(at);
  }
  if (!reported.empty()) return reported;
  const auto less = [&judging](LugIndex a, LugIndex b) {
    const LugResult& x = judging.lug(a);
    const LugResult& y = judging.lug(b);
    if (x.grade.band != y.grade.band) return x.grade.band < y.grade.band;  // absent comes first
    return x.temperature_c->value() < y.temperature_c->value();
  };
  const LugIndex worst = *std::max_element(component.lugs.begin(), component.lugs.end(), less);
  if (judging.lug(worst).grade.band) reported.push_back(worst);
  return reported;
}

// The resistance readings that count for a motor: for each of its components, or, where no lug of
// it was measured, for the days of its images, else of the survey.
std::vector<std::size_t> counted_for_motor(const Judging& judging) {
  std::set<std::size_t> counted;
  for (const ComponentCase& component : judging.components) {
    counted.insert(component.counted.begin(), component.counted.end());
  }
  if (judging.components.empty()) {
    std::set<std::chrono::sys_days> days;
    for (const ImageResult& image : judging.result.images) {
      days.insert(judging.days.day_of(image.taken_at));
    }
    if (days.empty()) days.insert(judging.days.day_of(std::nullopt));
    for (const auto day : days) {
      const auto of_day = counted_readings(judging, day);
      counted.insert(of_day.begin(), of_day.end());
    }
  }
  return {counted.begin(), counted.end()};
}

bool both_witnesses_abnormal(const std::vector<ComponentResult>& components) {
  return std::any_of(components.begin(), components.end(), [](const ComponentResult& component) {
    return component.verdict == Verdict::confirmed || component.verdict == Verdict::phase_conflict;
  });
}

std::optional<std::size_t> only_component_with_reading_only(
    const std::vector<ComponentResult>& components) {
  std::optional<std::size_t> found;
  for (std::size_t c = 0; c < components.size(); ++c) {
    if (components[c].verdict != Verdict::reading_only) continue;
    if (found) return std::nullopt;
    found = c;
  }
  return found;
}

std::optional<Finding> reading_finding(const Judging& judging) {
  const MotorResult& result = judging.motor_result();
  const auto& components = judging.result.components;
  if (both_witnesses_abnormal(components)) return std::nullopt;
  const auto component = only_component_with_reading_only(components);
  const auto counted = counted_for_motor(judging);
  const auto chosen =
      component ? components[*component].reading : reading_for(result.electrical, counted, "");
  if (!chosen) return std::nullopt;
  const ElectricalResult& reading = result.electrical[*chosen];
  if (!is_abnormal(reading) || !reading.grade.band) return std::nullopt;

  Finding finding;
  finding.motor = result.motor;
  finding.grade = reading.grade;
  finding.simple_grade = reading.grade;
  finding.verdict = Verdict::reading_only;
  Loads loads;
  if (component) {
    finding.component = components[*component].component;
    loads = components[*component].load_a;
  }
  add_reading(finding, reading, loads);
  if (!component) finding.excess_w = reading.excess_w;
  finding.next_step = next_step_of(Verdict::reading_only, result.places_not_imaged);
  finding.evidence =
      component ? components[*component].evidence
                : reading_evidence(judging, reading, counted,
                                   {reading.excess_at_a, reading.excess_at_a, reading.excess_at_a});
  if (components.empty()) {
    finding.evidence.push_back(
        {sentence("no lug of this motor was measured: the reading stands alone"),
         sentence(kHouseRule)});
  }
  add_action(finding, judging.result.policy);
  return finding;
}

}  // namespace

std::vector<Finding> findings_of(const Judging& judging) {
  std::vector<Finding> findings;
  for (std::size_t c = 0; c < judging.components.size(); ++c) {
    for (const LugIndex at : lugs_to_report(judging, judging.components[c])) {
      findings.push_back(lug_finding(judging, c, at));
    }
  }
  if (auto finding = reading_finding(judging)) findings.push_back(std::move(*finding));
  return findings;
}

}  // namespace ohmglow::diagnosis
