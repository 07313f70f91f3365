#include "wording.h"

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <fmt/format.h>
#include <iterator>
#include <set>

namespace ohmglow::diagnosis {
namespace {

// What the motor's failure would cost, times how likely the band makes it.
std::optional<double> expected_loss(const severity::Policy& policy, const severity::Grade& grade,
                                    const Motor* motor) {
  if (!motor || !grade.band) return std::nullopt;
  const auto& probability = policy.bands.at(*grade.band).failure_probability;
  const bool has_downtime = motor->downtime_cost_per_h && motor->repair_h;
  if (!probability || (!motor->replacement_cost && !has_downtime)) return std::nullopt;
  const double downtime = has_downtime ? *motor->downtime_cost_per_h * *motor->repair_h : 0;
  return *probability * (motor->replacement_cost.value_or(0) + downtime);
}

// A band's action is about a bad connection; where that is not the verdict, another one holds.
Sentence action_of(Verdict verdict, std::size_t band, const severity::Policy& policy) {
  const bool is_worst = band + 1 == policy.bands.size();
  switch (verdict) {
    case Verdict::open_phase:
      return sentence("Stop the motor now: it runs on two phases.");
    case Verdict::supply_unbalance:
    case Verdict::load_unbalance:
      return is_worst ? sentence(
                            "Stop this motor at the first safe opportunity. Correct the "
                            "unequal currents before restarting.")
                      : sentence(
                            "Correct the unequal currents. The connection itself shows no "
                            "fault.");
    case Verdict::unmarked_hot_spot:
      return is_worst ? sentence("Find out today what is hot here.")
                      : sentence("Find out what is hot here.");
    default:
      return sentence(policy.bands.at(band).action);
  }
}

// The same for a lug that has a band without being hotter than its neighbours.
Sentence action_for_warm(const severity::Grade& grade, const severity::Policy& policy) {
  if (grade.by == severity::DecidedBy::limit) {
    return sentence(
        "This lug is, or at full load would be, over its conductor's temperature "
        "limit, and so are its neighbours or nearly so. Do not load the motor further; "
        "check the conductor size, the load and the ventilation.");
  }
  if (!policy.air_alone_action.empty()) return sentence(policy.air_alone_action);
  return sentence(
      "All lugs run equally warm. Check the load, the ventilation and the conductor "
      "size.");
}

}  // namespace

void add_action(Finding& finding, const severity::Policy& policy, const Motor* motor) {
  finding.action = action_of(finding.verdict, *finding.grade.band, policy);
  finding.cautions = cautions();
  finding.expected_loss = expected_loss(policy, finding.grade, motor);
}

namespace {

void add_reading(Finding& finding, const ElectricalResult& reading, const Loads& loads) {
  finding.resistance_unbalance = reading.unbalance;
  finding.leg_unbalance = reading.resolution->leg_unbalance;
  if (!reading.abnormal) return;  // the highest leg of a balanced motor names nothing
  if (reading.resolution->phase_agreed) finding.electrical_phase = reading.resolution->phase;
  finding.excess_ohm = reading.resolution->excess;
  if (const auto current = current_in(loads, reading.resolution->phase)) {
    finding.excess_w = electrical::excess_heat(reading.resolution->excess, *current);
  }
}

// A joint that its own meter calls bad, or sound.
void add_joint(Finding& finding, const JointResult& joint, const Loads& loads) {
  if (!joint.bad) return;
  finding.electrical_phase = joint.phase;
  finding.excess_ohm = joint.excess;
  if (const auto current = current_in(loads, joint.phase)) {
    finding.excess_w = electrical::excess_heat(joint.excess, *current);
  }
}

// The lug's own grade, raised by the reading where both name its phase and one size.
severity::Grade grade_of(const ComponentResult& component, const LugResult& lug,
                         const severity::Grade& own, const ElectricalResult* reading) {
  const bool both = reading && component.verdict == Verdict::confirmed && lug.hot &&
                    reading->abnormal && reading->resolution->may_mean(lug.phase);
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
  finding.grade = grade_of(result, lug, lug.grade, reading);
  finding.simple_grade = grade_of(result, lug, lug.simple_grade, reading);
  finding.verdict = result.verdict;
  if (reading) add_reading(finding, *reading, judging.image_loads[at.image]);
  if (const JointResult* joint = judging.joint_of(component)) {
    add_joint(finding, *joint, judging.image_loads[at.image]);
  }
  finding.next_step = result.next_step;
  finding.evidence = heat_evidence(judging, component, at);
  auto shared = shared_evidence(judging, component);
  std::move(shared.begin(), shared.end(), std::back_inserter(finding.evidence));
  add_action(finding, judging.result.policy, judging.row);
  if (!lug.hot && lug.rise_over_like && lug.grade.by != severity::DecidedBy::like) {
    finding.action = action_for_warm(lug.grade, judging.result.policy);
    finding.warm_alike = true;
  }
  if (lug.has(Flag::unconfirmed)) {
    finding.next_step = sentences(
        {sentence(
             "First check that the marks lie on their lugs and have the right phases: nobody has "
             "confirmed them."),
         std::move(finding.next_step)});
  }
  return finding;
}

// Whether a lug that is not hot makes a finding all the same: above its conductor's limit, or as
// warm over the air, at the policy's confidence, as it lets warmth alone count beside like lugs.
bool counts_by_itself(const severity::Policy& policy, const LugResult& lug) {
  if (!lug.grade.band) return false;
  if (!lug.rise_over_like || lug.grade.by == severity::DecidedBy::limit) return true;
  if (!policy.air_alone_from || !lug.rise_over_air) return false;
  const double guard = boost::math::quantile(boost::math::normal(), policy.confidence);
  const auto by_air = severity::grade(policy, std::nullopt,
                                      lug.rise_over_air->value() - guard * lug.rise_over_air->u());
  return by_air.band && *by_air.band >= *policy.air_alone_from;
}

// Each hot lug; where none is, the most severe of the others that counts by itself.
std::vector<LugIndex> lugs_to_report(const Judging& judging, const ComponentCase& component) {
  std::vector<LugIndex> reported;
  for (const LugIndex at : component.lugs) {
    const LugResult& lug = judging.lug(at);
    if (lug.grade.band && lug.hot) reported.push_back(at);
  }
  if (!reported.empty()) return reported;
  std::vector<LugIndex> counting;
  for (const LugIndex at : component.lugs) {
    if (counts_by_itself(judging.result.policy, judging.lug(at))) counting.push_back(at);
  }
  const auto less = [&judging](LugIndex a, LugIndex b) {
    const LugResult& x = judging.lug(a);
    const LugResult& y = judging.lug(b);
    if (x.grade.band != y.grade.band) return x.grade.band < y.grade.band;
    return x.temperature_c->value() < y.temperature_c->value();
  };
  const auto worst = std::max_element(counting.begin(), counting.end(), less);
  if (worst != counting.end()) reported.push_back(*worst);
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
    return component.verdict == Verdict::confirmed || component.verdict == Verdict::phase_agrees ||
           component.verdict == Verdict::phase_conflict || component.verdict == Verdict::open_phase;
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

// A reading whose excess one component's heat accounts for, or that a bad joint's own meter does,
// leaves nothing to be found elsewhere.
bool is_accounted_for(const Judging& judging) {
  for (std::size_t c = 0; c < judging.components.size(); ++c) {
    const JointResult* joint = judging.joint_of(c);
    if (judging.components[c].ohms && judging.components[c].ohms->explained_by) return true;
    if (joint && joint->bad) return true;
  }
  return false;
}

std::optional<Finding> reading_finding(const Judging& judging) {
  const MotorResult& result = judging.motor_result();
  const auto& components = judging.result.components;
  if (both_witnesses_abnormal(components)) return std::nullopt;
  if (is_accounted_for(judging)) return std::nullopt;
  const auto component = only_component_with_reading_only(components);
  const auto counted = counted_for_motor(judging);
  const auto chosen =
      component ? components[*component].reading : worst_of(result.electrical, counted);
  if (!chosen) return std::nullopt;
  const ElectricalResult& reading = result.electrical[*chosen];
  if (!reading.abnormal || !reading.grade.band) return std::nullopt;

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
        {sentence("no lug of this motor was imaged, so there is nothing to compare with"),
         sentence(kHouseRule)});
  }
  add_action(finding, judging.result.policy, judging.row);
  return finding;
}

// A joint that its own meter calls bad while no lug is hot: the meter alone.
std::optional<Finding> joint_finding(const Judging& judging, std::size_t index) {
  const ComponentResult& component = judging.result.components[index];
  const JointResult* joint = judging.joint_of(index);
  if (!joint || !joint->bad || component.verdict != Verdict::reading_only) return std::nullopt;
  Finding finding;
  finding.motor = component.motor;
  finding.component = component.component;
  finding.phase = joint->phase;
  finding.grade = {judging.result.policy.bands.size() > 1 ? std::size_t{1} : std::size_t{0},
                   severity::DecidedBy::reading};
  finding.simple_grade = finding.grade;
  finding.verdict = Verdict::reading_only;
  add_joint(finding, *joint, component.load_a);
  finding.next_step = next_step_of(Verdict::confirmed, {});
  finding.evidence = component.evidence;
  add_action(finding, judging.result.policy, judging.row);
  return finding;
}

// Stated before anything else: whatever else is warm or unequal comes from it.
Finding open_phase_finding(const Judging& judging, const std::string& component, Phase phase,
                           std::vector<Evidence> evidence) {
  Finding finding;
  finding.motor = judging.motor_result().motor;
  finding.component = component;
  finding.phase = phase;
  finding.grade = {judging.result.policy.bands.size() - 1, severity::DecidedBy::reading};
  finding.simple_grade = finding.grade;
  finding.verdict = Verdict::open_phase;
  finding.next_step = next_step_of(Verdict::open_phase, {});
  finding.evidence = std::move(evidence);
  add_action(finding, judging.result.policy, judging.row);
  return finding;
}

// An old reading stops no motor: the survey's day, else that of the latest image, is where now
// begins.
bool is_of_this_survey(const Judging& judging, const Reading& reading) {
  if (!reading.taken_at) return true;
  std::optional<std::chrono::sys_days> now;
  if (judging.days.surveyed_on) now = judging.days.surveyed_on->day;
  for (const ImageResult& image : judging.result.images) {
    if (image.taken_at && (!now || image.taken_at->day > *now)) now = image.taken_at->day;
  }
  return !now || reading.taken_at->day >= *now;
}

// By the image's currents, else by a reading of the line currents that no image goes with.
std::optional<Finding> open_phase(const Judging& judging) {
  if (judging.result.policy.bands.empty()) return std::nullopt;
  for (std::size_t c = 0; c < judging.components.size(); ++c) {
    const auto& phase = judging.components[c].open_phase;
    if (!phase) continue;
    const ComponentResult& component = judging.result.components[c];
    return open_phase_finding(judging, component.component, *phase, component.evidence);
  }
  const Reading* latest = nullptr;
  for (const Reading* reading : judging.readings) {
    if (reading->test != Test::line_current || !is_of_this_survey(judging, *reading)) continue;
    if (!latest ||
        judging.days.time_of(reading->taken_at) >= judging.days.time_of(latest->taken_at))
      latest = reading;
  }
  if (!latest) return std::nullopt;
  const auto& a = latest->values;
  const auto phase = open_phase_of({Ampere{a[0]}, Ampere{a[1]}, Ampere{a[2]}}, judging.row);
  if (!phase) return std::nullopt;
  return open_phase_finding(
      judging, latest->place, *phase,
      {open_phase_evidence(judging, {Ampere{a[0]}, Ampere{a[1]}, Ampere{a[2]}}, *phase)});
}

}  // namespace

std::vector<Finding> findings_of(const Judging& judging) {
  std::vector<Finding> findings;
  if (auto finding = open_phase(judging)) findings.push_back(std::move(*finding));
  for (std::size_t c = 0; c < judging.components.size(); ++c) {
    if (judging.result.components[c].verdict == Verdict::open_phase) continue;
    if (auto finding = joint_finding(judging, c)) findings.push_back(std::move(*finding));
    for (const LugIndex at : lugs_to_report(judging, judging.components[c])) {
      findings.push_back(lug_finding(judging, c, at));
    }
  }
  auto spots = hot_spot_findings(judging);
  std::move(spots.begin(), spots.end(), std::back_inserter(findings));
  if (auto finding = reading_finding(judging)) findings.push_back(std::move(*finding));
  return findings;
}

Sentence meaning_of(const Assessment& assessment, const Finding& finding) {
  if (finding.verdict == Verdict::reading_only && finding.phase) {
    return sentence("This joint itself measures high, though no lug stands out in the image.");
  }
  Sentence meaning = sentence(meaning_of(finding.verdict));
  const bool is_about_one_joint =
      finding.verdict == Verdict::confirmed || finding.verdict == Verdict::phase_agrees;
  if (finding.electrical_phase && finding.phase && !finding.warm_alike) {
    const bool is_one_phase = finding.phase == finding.electrical_phase;
    if (is_about_one_joint && !is_one_phase) {
      return sentence(
          "This lug is hot too. The resistance test points to another lug of this component.");
    }
    if (finding.verdict == Verdict::phase_conflict && is_one_phase) {
      return sentence(
          "The resistance test points to this lug, but another lug of this component is hotter.");
    }
  }
  if (!is_about_one_joint || !finding.image || !finding.phase) return meaning;
  const ComponentResult* component = assessment.component_of(*finding.image);
  const MotorResult* motor = assessment.find_motor(finding.motor);
  if (!component || !motor) return meaning;
  const SegmentResult* elsewhere = larger_part_elsewhere(*motor, *component, *finding.phase);
  if (!elsewhere) return meaning;
  return sentences({std::move(meaning), larger_part_text(*elsewhere)});
}

}  // namespace ohmglow::diagnosis
