#include "offered/diagnosis/advice.h"

#include "judging.h"
#include "offered/electrical/current_unbalance.h"
#include "offered/electrical/heat_balance.h"
#include "wording.h"

#include <algorithm>

namespace ohmglow::diagnosis {
namespace {

constexpr std::string_view kInBalance =
    msg("Winding resistance is balanced. Keep the reading for the trend and take an image under "
        "load, which shows what the meter cannot.");

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
  Sentence heat = watts_text(spot.heat, spot.heat_u);
  if (!spot.rise_low_k) {
    return sentence(
        "At full load ({} A) the extra resistance in phase {} would give {}. With lug_area_cm2 in "
        "motors.csv the lug's temperature can be estimated.",
        current, phase, std::move(heat));
  }
  return sentence(
      "At full load ({} A) the extra resistance in phase {} would give {}. If all of it is in one "
      "lug of {} cm², that lug would run {} to {} {} over the others in still air.",
      current, phase, std::move(heat), number(motor.lug_area_cm2->value(), 0),
      bare(difference(*spot.rise_low_k, 0)), bare(difference(*spot.rise_high_k, 0)),
      kDifferenceUnit);
}

Sentence why_none(const ElectricalResult& reading, const Motor* motor) {
  if (!reading.abnormal) return sentence("This reading gives no reason to expect a hot spot.");
  if (reading.resolution->points_to == electrical::PointsTo::winding) {
    return sentence("The reading points to a winding, so no lug need be hot.");
  }
  return motor
             ? sentence("With rated_a in motors.csv the heat at full load can be estimated.")
             : sentence(
                   "The motor is not in motors.csv, so the heat at full load cannot be estimated.");
}

// The latest reading of the currents that are further out of balance than a supply in order makes
// them, if any.
const ElectricalResult* unequal_currents(const MotorResult& motor) {
  const Percent from{electrical::kNormalVoltageUnbalance.value() * electrical::kMostFactor};
  const ElectricalResult* latest = nullptr;
  for (const ElectricalResult& r : motor.electrical) {
    if (r.test != Test::line_current || !r.unbalance) continue;
    const bool is_later =
        !latest || !latest->taken_at || !r.taken_at || r.taken_at->day >= latest->taken_at->day;
    if (is_later) latest = &r;
  }
  return latest && *latest->unbalance > from ? latest : nullptr;
}

Sentence step_in_balance(const MotorResult& motor) {
  if (const ElectricalResult* currents = unequal_currents(motor)) {
    return sentence(
        "Winding resistance is balanced, but the current is {} % unbalanced. Check the "
        "phase voltages and the fuses first.",
        in_percent(*currents->unbalance));
  }
  return sentence(kInBalance);
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
                           : step_in_balance(motor);
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
