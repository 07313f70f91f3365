#include "archived_numbers.h"

#include <algorithm>

namespace ohmglow::records {
namespace {

using diagnosis::Assessment;
using diagnosis::Verdict;

class Referring {
 public:
  explicit Referring(const Assessment& motor) : motor_(motor) {}

  [[nodiscard]] bool all() const {
    return each(motor_.images, [this](const auto& its) { return is_in(its); }) &&
           each(motor_.components, [this](const auto& its) { return is_in(its); }) &&
           each(motor_.motors, [this](const auto& its) { return is_in(its); }) &&
           each(motor_.findings, [this](const auto& its) { return is_in(its); }) &&
           each(motor_.warm_even, [this](const auto& its) { return is_in(its); }) &&
           each(motor_.not_judged, [this](const auto& its) { return is_in(its); }) &&
           each(motor_.survey.marks, [](const auto& file) {
             return each(file.second.marks,
                         [](const auto& mark) { return phase_is_one(mark.phase); });
           });
  }

 private:
  template <class List, class Is>
  static bool each(const List& list, const Is& is) {
    return std::all_of(list.begin(), list.end(), is);
  }
  static bool phase_is_one(Phase phase) {
    return std::find(kPhases.begin(), kPhases.end(), phase) != kPhases.end();
  }
  static bool phase_is_one(const std::optional<Phase>& phase) {
    return !phase || phase_is_one(*phase);
  }
  [[nodiscard]] bool is_in(const severity::Grade& grade) const {
    const std::size_t bands = motor_.policy.bands.size();
    return !grade.band || bands == 0 || *grade.band < bands;
  }
  [[nodiscard]] bool is_image(const std::optional<std::size_t>& image) const {
    return !image || *image < motor_.images.size();
  }
  [[nodiscard]] bool is_reading(const std::optional<std::size_t>& reading) const {
    return !reading ||
           (!motor_.motors.empty() && *reading < motor_.motors.front().electrical.size());
  }
  static bool is_verdict(Verdict verdict) {
    return static_cast<std::size_t>(verdict) < diagnosis::kFindingVerdicts;
  }
  [[nodiscard]] bool is_in(const diagnosis::LugResult& lug) const {
    return phase_is_one(lug.phase) && is_in(lug.grade) && is_in(lug.simple_grade) &&
           each(lug.reference, [this](const diagnosis::LugIndex& at) {
             return at.image < motor_.images.size() && at.lug < motor_.images[at.image].lugs.size();
           });
  }
  [[nodiscard]] bool is_in(const diagnosis::ImageResult& image) const {
    return each(image.lugs, [this](const auto& lug) { return is_in(lug); });
  }
  [[nodiscard]] bool is_in(const diagnosis::ComponentResult& component) const {
    return is_verdict(component.verdict) && is_reading(component.reading) &&
           is_reading(component.joint_reading) && each(component.images, [this](std::size_t image) {
             return image < motor_.images.size();
           });
  }
  [[nodiscard]] bool is_in(const diagnosis::ElectricalResult& reading) const {
    return is_in(reading.grade) &&
           (!reading.farthest || (*reading.farthest >= 1 && *reading.farthest <= 3)) &&
           (!reading.resolution || phase_is_one(reading.resolution->phase)) &&
           (!reading.joint || phase_is_one(reading.joint->phase));
  }
  [[nodiscard]] bool is_in(const diagnosis::MotorResult& motor) const {
    return (!motor.verdict || is_verdict(*motor.verdict)) &&
           each(motor.electrical, [this](const auto& reading) { return is_in(reading); }) &&
           each(motor.segments, [](const auto& its) { return phase_is_one(its.phase); });
  }
  [[nodiscard]] bool is_in(const diagnosis::Finding& finding) const {
    return finding.grade.band && is_image(finding.image_index) && phase_is_one(finding.phase) &&
           phase_is_one(finding.electrical_phase) && is_in(finding.grade) &&
           is_in(finding.simple_grade) && is_verdict(finding.verdict);
  }
  [[nodiscard]] bool is_in(const diagnosis::Aside& aside) const {
    return is_image(aside.image_index) && phase_is_one(aside.phase) && is_in(aside.grade) &&
           is_verdict(aside.verdict);
  }

  const Assessment& motor_;
};

}  // namespace

bool refers_to_what_is_there(const Assessment& motor) {
  return Referring(motor).all();
}

}  // namespace ohmglow::records
