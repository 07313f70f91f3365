#include "ohmglow/motor_by_motor.h"
#include "ohmglow/ranking.h"

#include <algorithm>
#include <iterator>
#include <utility>

namespace ohmglow::assessment {
namespace {

using diagnosis::Assessment;
using diagnosis::ComponentResult;
using diagnosis::Finding;
using diagnosis::ImageResult;
using diagnosis::LugIndex;

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

std::span<const Problem> problems_of_readings(const Assessment& its) {
  std::size_t before = its.survey.problems.size() + diagnosis::unknown_motors(its.survey).size();
  for (const ImageResult& image : its.images) before += image.problems.size();
  return std::span(its.problems).subspan(before);
}

Assessment put_together(Survey survey, severity::Policy policy, const diagnosis::Options& options,
                        std::vector<MotorState> motors) {
  Assessment whole;
  whole.policy = std::move(policy);
  whole.options = options;
  whole.images.resize(survey.images.size());
  std::vector<const Motor*> motor_of_finding;
  std::vector<Problem> of_readings;
  for (MotorState& motor : motors) {
    const auto its_own = problems_of_readings(motor.assessment);
    of_readings.insert(of_readings.end(), its_own.begin(), its_own.end());
    renumber(motor);
    Assessment& its = motor.assessment;
    for (std::size_t i = 0; i < its.images.size(); ++i) {
      whole.images[motor.images[i]] = std::move(its.images[i]);
    }
    motor_of_finding.insert(motor_of_finding.end(), its.findings.size(), motor.row());
    move_to_end(its.components, whole.components);
    move_to_end(its.motors, whole.motors);
    move_to_end(its.findings, whole.findings);
  }
  std::sort(whole.components.begin(), whole.components.end(),
            [](const ComponentResult& a, const ComponentResult& b) {
              return a.images.front() < b.images.front();
            });
  diagnosis::rank(whole.findings, motor_of_finding);
  whole.problems = survey.problems;
  for (const ImageResult& image : whole.images) {
    auto its_own = diagnosis::problems_of(image);
    move_to_end(its_own, whole.problems);
  }
  auto unknown = diagnosis::unknown_motors(survey);
  move_to_end(unknown, whole.problems);
  move_to_end(of_readings, whole.problems);
  index(whole);
  whole.survey = std::move(survey);
  return whole;
}

}  // namespace ohmglow::assessment
