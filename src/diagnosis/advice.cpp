#include "offered/diagnosis/advice.h"

#include "judging.h"
#include "offered/electrical/heat_balance.h"
#include "wording.h"

#include <algorithm>

namespace ohmglow::diagnosis {
namespace {

constexpr std::string_view kInBalance = msg(
    "In balance: keep the reading for the trend, and take an image under load, which sees what the "
    "meter cannot.");

std::optional<std::size_t> telling_reading(const MotorResult& motor) {
  const auto key = [](const ElectricalResult& r) {
    const auto day = r.taken_at ? r.taken_at->day : std::chrono::sys_days::min();
    return std::pair(day, r.unbalance->value());
  };
  std::optional<std::size_t> best;
  for (std::size_t i = 0; i < motor.electrical.size(); ++i) {
    const ElectricalResult& r = motor.electrical[i];
    if (!r.resolution || !r.unbalance) continue;
    if (!best || key(r) > key(motor.electrical[*best])) best = i;
  }
  return best;
}

Sentence in_words(const HotSpot& spot, const Motor& motor, const PhaseNames& names) {
  const Number current = in_amperes(spot.at);
  const std::string& phase = names.at(index_of(spot.phase));
  const Number heat = in_watts(spot.heat.value());
  const Number heat_u = in_watts(spot.heat_u.value());
  if (!spot.rise_low_k) {
    return sentence(
        "At the rated {} A the excess in phase {} would make {} ± {} W; lug_area_cm2 would tell "
        "how hot a lug gets of it.",
        current, phase, heat, heat_u);
  }
  return sentence(
      "At the rated {} A the excess in phase {} would make {} ± {} W: {} to {} {} over its likes, "
      "were it all in one lug of {} cm² in still air.",
      current, phase, heat, heat_u, bare(difference(*spot.rise_low_k, 0)),
      bare(difference(*spot.rise_high_k, 0)), kDifferenceUnit,
      number(motor.lug_area_cm2->value(), 0));
}

Sentence why_none(const ElectricalResult& reading, const Motor* motor) {
  if (!reading.abnormal) return sentence("No hot spot is to be expected from this reading.");
  if (reading.resolution->points_to == electrical::PointsTo::winding) {
    return sentence("The reading points into a winding: no lug need be hot.");
  }
  return motor ? sentence("rated_a in motors.csv would tell the heat to expect.")
               : sentence("The motor is not in motors.csv: the heat to expect is not known.");
}

// Findings and components carry the step for what they found; first the finding of the readings
// alone, which names no lug.
Sentence step_for(const Assessment& assessment, const MotorResult& motor,
                  const ElectricalResult* reading) {
  for (const bool of_lug : {false, true}) {
    for (const Finding& finding : assessment.findings) {
      const bool fits = finding.motor == motor.motor && finding.lug.has_value() == of_lug;
      if (fits && !finding.next_step.empty()) return finding.next_step;
    }
  }
  for (const ComponentResult& component : assessment.components) {
    if (component.motor == motor.motor && !component.next_step.empty()) return component.next_step;
  }
  if (!reading) return next_step_of(Verdict::no_reading, {});
  return reading->abnormal ? next_step_of(Verdict::reading_only, motor.places_not_imaged)
                           : sentence(kInBalance);
}

}  // namespace

std::optional<HotSpot> expected_hot_spot(const ElectricalResult& reading, const Motor* motor) {
  if (!reading.resolution || !reading.abnormal) return std::nullopt;
  if (reading.resolution->points_to == electrical::PointsTo::winding) return std::nullopt;
  if (!motor || !motor->rated_a || motor->rated_a->value() <= 0) return std::nullopt;
  const Ohm excess = reading.resolution->excess;
  HotSpot spot;
  spot.phase = reading.resolution->phase;
  spot.at = *motor->rated_a;
  spot.heat = electrical::excess_heat(excess, spot.at);
  // The rated current is a given number: only the meter's uncertainty counts.
  spot.heat_u =
      electrical::excess_heat_u(excess, reading.resolution->excess_u, spot.at, Percent{0});
  if (motor->lug_area_cm2) {
    const double a = spot.at.value();
    const electrical::LugSetting lug{.area = *motor->lug_area_cm2,
                                     .section_low_mm2 = a / electrical::kMostDensity_a_mm2,
                                     .section_high_mm2 = a / electrical::kLeastDensity_a_mm2};
    const electrical::Interval rise = electrical::rise_from(lug, spot.heat);
    spot.rise_low_k = rise.low;
    spot.rise_high_k = rise.high;
  }
  return spot;
}

Advice advise(const Assessment& assessment, const MotorResult& motor) {
  Advice advice;
  advice.reading = telling_reading(motor);
  if (!advice.reading) {
    advice.next_step = step_for(assessment, motor, nullptr);
    return advice;
  }
  const ElectricalResult& reading = motor.electrical[*advice.reading];
  const Motor* row = assessment.survey.find_motor(motor.motor);
  advice.hot_spot = expected_hot_spot(reading, row);
  advice.expected = advice.hot_spot
                        ? in_words(*advice.hot_spot, *row, assessment.survey.phase_names)
                        : why_none(reading, row);
  advice.next_step = step_for(assessment, motor, &reading);
  return advice;
}

}  // namespace ohmglow::diagnosis
