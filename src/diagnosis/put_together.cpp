#include "offered/diagnosis/motors.h"
#include "offered/diagnosis/ranking.h"

#include <algorithm>
#include <iterator>
#include <utility>

namespace ohmglow::diagnosis {
namespace {

/// A motor counts its images from 0, the survey by their places in it.
void renumber(MotorState& motor) {
  const auto place = [&motor](std::size_t& image) { image = motor.images[image]; };
  for (ImageResult& image : motor.assessment.images) {
    for (auto& lug : image.lugs) {
      for (LugIndex& like : lug.reference) place(like.image);
    }
  }
  for (ComponentResult& component : motor.assessment.components) {
    for (std::size_t& image : component.images) place(image);
  }
  for (Finding& finding : motor.assessment.findings) {
    if (finding.image_index) place(*finding.image_index);
  }
  for (auto* asides : {&motor.assessment.warm_even, &motor.assessment.not_judged}) {
    for (Aside& aside : *asides) {
      if (aside.image_index) place(*aside.image_index);
    }
  }
}

template <class Item>
void move_to_end(std::vector<Item>& from, std::vector<Item>& to) {
  to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
}

void index(Assessment& whole) {
  for (std::size_t c = 0; c < whole.components.size(); ++c) {
    for (const std::size_t image : whole.components[c].images) {
      whole.component_of_image.emplace(whole.images[image].file, c);
    }
  }
  for (std::size_t m = 0; m < whole.motors.size(); ++m) {
    whole.motor_index.emplace(whole.motors[m].motor, m);
  }
}

}  // namespace

const Motor* MotorState::row() const {
  return assessment.survey.motors.empty() ? nullptr : &assessment.survey.motors.front();
}

std::optional<std::size_t> MotorState::place_of(std::size_t image) const {
  const auto at = std::lower_bound(images.begin(), images.end(), image);
  if (at == images.end() || *at != image) return std::nullopt;
  return static_cast<std::size_t>(at - images.begin());
}

Assessment put_together(Survey survey, severity::Policy policy, const Options& options,
                        std::vector<MotorState> motors) {
  Assessment whole;
  whole.policy = std::move(policy);
  whole.options = options;
  whole.images.resize(survey.images.size());
  std::vector<const Motor*> motor_of_finding;
  std::vector<Problem> of_readings;
  for (MotorState& motor : motors) {
    move_to_end(motor.assessment.problems, of_readings);
    renumber(motor);
    Assessment& its = motor.assessment;
    for (std::size_t i = 0; i < its.images.size(); ++i) {
      whole.images[motor.images[i]] = std::move(its.images[i]);
    }
    motor_of_finding.insert(motor_of_finding.end(), its.findings.size(), motor.row());
    move_to_end(its.components, whole.components);
    move_to_end(its.motors, whole.motors);
    move_to_end(its.findings, whole.findings);
    move_to_end(its.warm_even, whole.warm_even);
    move_to_end(its.not_judged, whole.not_judged);
  }
  std::sort(whole.components.begin(), whole.components.end(),
            [](const ComponentResult& a, const ComponentResult& b) {
              return a.images.front() < b.images.front();
            });
  rank(whole.findings, motor_of_finding);
  number_cases(whole.findings);
  whole.problems = survey.problems;
  for (const ImageResult& image : whole.images) {
    auto its_own = problems_of(image);
    move_to_end(its_own, whole.problems);
  }
  auto unknown = unknown_motors(survey, cut(survey));
  move_to_end(unknown, whole.problems);
  move_to_end(of_readings, whole.problems);
  index(whole);
  whole.survey = std::move(survey);
  return whole;
}

}  // namespace ohmglow::diagnosis
