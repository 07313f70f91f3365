#include "judging.h"
#include "offered/diagnosis/ranking.h"
#include "sanity.h"
#include "wording.h"

#include <algorithm>
#include <fmt/format.h>
#include <iterator>
#include <set>
#include <tuple>

namespace ohmglow::diagnosis {
namespace {

// Between the parts of a key; no name of a table holds it.
constexpr char kSeparator = '\x1f';

bool has_measured_lug(const ImageResult& image) {
  return image.status == ImageStatus::measured &&
         std::any_of(image.lugs.begin(), image.lugs.end(),
                     [](const LugResult& lug) { return lug.temperature_c.has_value(); });
}

void open_motor(Judging& judging, const std::string& id) {
  Assessment& result = judging.result;
  result.motors.emplace_back().motor = id;
  result.motor_index.emplace(id, 0);
  if (!result.survey.motors.empty()) judging.row = &result.survey.motors.front();
  for (const Reading& reading : result.survey.readings) judging.readings.push_back(&reading);
  for (const CircuitStop& stop : result.survey.circuit) judging.circuit.push_back(&stop);
  std::sort(judging.circuit.begin(), judging.circuit.end(),
            [](const auto* a, const auto* b) { return a->order < b->order; });
}

// The images of one component at one visit together.
void open_component_cases(Judging& judging) {
  Assessment& result = judging.result;
  std::unordered_map<std::string, std::size_t> index;
  for (std::size_t i = 0; i < result.images.size(); ++i) {
    const ImageResult& image = result.images[i];
    if (!has_measured_lug(image)) continue;
    const auto visit = image.taken_at ? std::optional(image.taken_at->day) : std::nullopt;
    const std::string key =
        image.component + kSeparator + (visit ? day_text(*visit) : std::string());
    const auto [at, is_new] = index.emplace(key, result.components.size());
    if (is_new) {
      ComponentResult component;
      component.motor = image.motor;
      component.component = image.component;
      component.visit = visit;
      result.components.push_back(std::move(component));
      judging.components.push_back({});
      judging.components.back().day = judging.days.day_of(image.taken_at);
    }
    result.components[at->second].images.push_back(i);
    result.component_of_image.emplace(image.file, at->second);
    for (std::size_t lug = 0; lug < image.lugs.size(); ++lug) {
      if (image.lugs[lug].temperature_c) judging.components[at->second].lugs.push_back({i, lug});
    }
  }
}

void find_loads(Judging& judging) {
  Assessment& result = judging.result;
  judging.image_loads.reserve(result.images.size());
  for (const ImageResult& image : result.images) {
    judging.image_loads.push_back(loads_at(judging, image));
  }
  for (ComponentResult& component : result.components) {
    for (const std::size_t image : component.images) {
      if (!any_given(judging.image_loads[image])) continue;
      component.load_a = judging.image_loads[image];
      component.mean_load_a = mean_of(component.load_a);
      break;
    }
  }
}

void work_out_readings(Judging& judging) {
  Assessment& result = judging.result;
  const auto with_loads =
      std::find_if(result.images.begin(), result.images.end(),
                   [](const ImageResult& image) { return any_given(image.load_a); });
  const Loads loads = with_loads == result.images.end() ? Loads{} : with_loads->load_a;
  auto& electrical = judging.motor_result().electrical;
  LoadsByDay by_day;
  for (const ImageResult& image : result.images) {
    if (any_given(image.load_a)) by_day.emplace(judging.days.day_of(image.taken_at), image.load_a);
  }
  electrical = work_out(judging.readings, judging.row, result.policy, loads, by_day);
  for (std::size_t i = 0; i < electrical.size(); ++i) {
    if (electrical[i].problem.empty()) continue;
    result.problems.push_back(
        {result.survey.tables.readings, judging.readings[i]->row, "", electrical[i].problem});
  }
}

// Places that a test names, and components whose images could not be used, where no lug was
// measured.
std::vector<std::string> places_not_imaged(const Judging& judging) {
  std::set<std::string> done;
  for (const ComponentResult& component : judging.result.components) {
    done.insert(folded(component.component));
  }
  std::vector<std::string> missing;
  const auto consider = [&](const std::string& place) {
    if (!place.empty() && done.insert(folded(place)).second) missing.push_back(place);
  };
  for (const Reading* reading : judging.readings) consider(reading->place);
  for (const ImageResult& image : judging.result.images) consider(image.component);
  return missing;
}

void find_rises(Judging& judging, const Propagate& propagate) {
  for (std::size_t c = 0; c < judging.components.size(); ++c) fill_rises(judging, c);
  if (propagate) propagate(judging.result);
}

// What each witness says of a component, by itself.
void hear_witnesses(Judging& judging) {
  for (std::size_t c = 0; c < judging.components.size(); ++c) {
    ComponentCase& its = judging.components[c];
    ComponentResult& component = judging.result.components[c];
    its.counted = counted_readings(judging, its.day);
    its.voltage = voltage_for(judging, its.day);
    its.ohms = ohm_witness(judging, c);
    if (its.ohms) component.reading = its.ohms->reading;
    component.joint_reading = joint_reading_for(judging, c);
    fill_grades(judging, c);
    fill_visibility(judging, c);
    its.open_phase = open_phase_of(component.load_a, judging.row);
    if (its.hot) its.size = check_size(judging, c);
  }
}

// A joint whose heat accounts for the whole excess of a reading makes every other joint in that
// reading's path innocent of it.
void let_components_inform_each_other(Judging& judging) {
  for (std::size_t c = 0; c < judging.components.size(); ++c) {
    const ComponentCase& found = judging.components[c];
    const Witnesses w = witnesses_of(judging, c);
    if (!w.hot || !found.ohms || !w.reading_abnormal || !w.same_phase || !w.same_size) continue;
    for (std::size_t other = 0; other < judging.components.size(); ++other) {
      ComponentCase& its = judging.components[other];
      const bool same_visit = its.day == found.day;
      if (other == c || !same_visit || !its.ohms || its.ohms->reading != found.ohms->reading)
        continue;
      if (its.size.size == Size::agrees && its.ohms->phase == found.ohms->phase) continue;
      its.ohms->explained_by = c;
    }
  }
}

void decide_components(Judging& judging) {
  Assessment& result = judging.result;
  thread_local NormalDraws draws;  // motors are judged one by one, all with the same draws
  hear_witnesses(judging);
  let_components_inform_each_other(judging);
  for (std::size_t c = 0; c < judging.components.size(); ++c) {
    ComponentCase& its = judging.components[c];
    ComponentResult& component = result.components[c];
    component.verdict = verdict_from(witnesses_of(judging, c));
    component.next_step =
        component.verdict == Verdict::not_judged
            ? image_again(component)
            : next_step_of(component.verdict, judging.motor_result().places_not_imaged);
    component.verdict_probability = verdict_probability(judging, c, draws);
    component.explained = explain(judging, c);
    component.next_step =
        with_telling_test(std::move(component.next_step), component.verdict, component.explained);
    if (component.verdict == Verdict::confirmed) {
      const auto* elsewhere =
          larger_part_elsewhere(judging.motor_result(), component, judging.lug(its.hottest).phase);
      if (elsewhere) {
        component.next_step =
            sentences({std::move(component.next_step), larger_part_text(*elsewhere)});
      }
    }
    component.evidence = heat_evidence(judging, c, its.hottest);
    auto shared = shared_evidence(judging, c);
    std::move(shared.begin(), shared.end(), std::back_inserter(component.evidence));
  }
}

// A motor's verdict is that of its finding that ranks first; without findings, of its components.
void decide_motor(Assessment& result) {
  auto& verdict = result.motors.front().verdict;
  if (!result.findings.empty()) {
    verdict = result.findings.front().verdict;
    return;
  }
  for (const ComponentResult& component : result.components) {
    if (!verdict || component.verdict < *verdict) verdict = component.verdict;
  }
}

void rank_findings(Judging& judging) {
  auto& findings = judging.result.findings;
  for (Finding& finding : findings) {
    finding.decision = decision_of(finding, judging.result.policy);
  }
  rank(findings, std::vector<const Motor*>(findings.size(), judging.row));
  form_cases(findings, judging.result.survey.phase_names);
  number_cases(findings);
}

}  // namespace

Assessment judge(const std::string& motor, Survey survey, std::vector<ImageResult> images,
                 severity::Policy policy, const Options& options, const Propagate& propagate) {
  Judging judging;
  judging.result.survey = std::move(survey);
  judging.result.images = std::move(images);
  judging.result.policy = std::move(policy);
  judging.result.options = options;
  judging.days = {judging.result.survey.surveyed_on, options.as_of};
  open_motor(judging, motor);
  open_component_cases(judging);
  find_loads(judging);
  work_out_readings(judging);
  judging.motor_result().places_not_imaged = places_not_imaged(judging);
  find_rises(judging, propagate);
  find_segments(judging);
  decide_components(judging);
  grade_outside(judging);
  judging.result.findings = findings_of(judging);
  rank_findings(judging);
  list_asides(judging);
  decide_motor(judging.result);
  auto odd = odd_inputs(judging.result.survey, judging.result.images);
  std::move(odd.begin(), odd.end(), std::back_inserter(judging.result.problems));
  return std::move(judging.result);
}

std::vector<Problem> problems_of(const ImageResult& image) {
  std::vector<Problem> problems;
  for (const std::string& problem : image.problems) {
    problems.push_back({image.file, std::nullopt, "", problem});
  }
  return problems;
}

const ComponentResult* Assessment::component_of(std::string_view image) const {
  if (!component_of_image.empty()) {
    const auto at = component_of_image.find(image);
    return at == component_of_image.end() ? nullptr : &components[at->second];
  }
  for (const ComponentResult& component : components) {
    for (const std::size_t i : component.images) {
      if (images[i].file == image) return &component;
    }
  }
  return nullptr;
}

const MotorResult* Assessment::find_motor(std::string_view motor) const {
  if (!motor_index.empty()) {
    const auto at = motor_index.find(motor);
    return at == motor_index.end() ? nullptr : &motors[at->second];
  }
  for (const MotorResult& candidate : motors) {
    if (candidate.motor == motor) return &candidate;
  }
  return nullptr;
}

std::string_view Assessment::band_id(const severity::Grade& grade) const {
  return grade.band ? std::string_view(policy.bands.at(*grade.band).id) : "none";
}

}  // namespace ohmglow::diagnosis
