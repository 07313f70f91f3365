#include "judging.h"
#include "offered/electrical/conductors.h"

#include <algorithm>

namespace ohmglow::diagnosis {
namespace {

using electrical::Interval;

constexpr Celsius kAssumedAir{25};
// A fan in the enclosure of a drive blows past its lugs at up to this speed (house rule).
constexpr MetrePerSecond kDriveFan{2};
// Bounds of a surface that is worked out from the conductor alone, by that surface (house rule).
constexpr double kLeastOfArea = 0.6;
constexpr double kMostOfArea = 2;

std::optional<Interval> section_by_rating(const Motor* motor) {
  if (!motor || !motor->rated_a || motor->rated_a->value() <= 0) return std::nullopt;
  return Interval{motor->rated_a->value() / electrical::kMostDensity_a_mm2,
                  motor->rated_a->value() / electrical::kLeastDensity_a_mm2};
}

void set_area(electrical::LugSetting& setting, const Motor* motor, const Interval& section) {
  if (motor && motor->lug_area_cm2) {
    setting.area = *motor->lug_area_cm2;
  } else {
    setting.area = electrical::lug_area_of(section.low) * kLeastOfArea;
    setting.area_high = electrical::lug_area_of(section.high) * kMostOfArea;
  }
}

// The section of the conductor at a place: that of circuit.csv, else what carries the rated
// current.
std::optional<Interval> section_mm2(const Judging& judging, std::string_view place) {
  const CircuitStop* before = nullptr;
  for (const CircuitStop* stop : judging.circuit) {
    if (folded(stop->place) == folded(place)) {
      for (const CircuitStop* side : {before, stop}) {
        if (!side) continue;
        if (const auto area = electrical::section_mm2(side->size)) return Interval{*area, *area};
      }
    }
    before = stop;
  }
  return section_by_rating(judging.row);
}

MetrePerSecond wind_at(const Judging& judging, std::size_t component, LugIndex at) {
  const auto& wind = judging.result.survey.images[at.image].parameters.wind_m_s;
  const std::string place = folded(judging.result.components[component].component);
  const bool has_fan =
      judging.row && judging.row->fed_by == Feed::drive && place.find("drive") != std::string::npos;
  return std::max(wind.value_or(MetrePerSecond{0}), has_fan ? kDriveFan : MetrePerSecond{0});
}

}  // namespace

const std::optional<radiometry::Estimate>& counting_rise(const LugResult& lug) {
  return lug.rise_over_like ? lug.rise_over_like : lug.rise_over_air;
}

std::optional<electrical::LugSetting> lug_setting(const Judging& judging, std::size_t component,
                                                  LugIndex at) {
  const auto section = section_mm2(judging, judging.result.components[component].component);
  if (!section) return std::nullopt;
  const LugResult& lug = judging.lug(at);
  const double hot = lug.temperature_c->value();
  const double air = lug.rise_over_air ? hot - lug.rise_over_air->value() : kAssumedAir.value();
  const double like = lug.rise_over_like ? hot - lug.rise_over_like->value() : air;
  electrical::LugSetting setting{.section_low_mm2 = section->low,
                                 .section_high_mm2 = section->high,
                                 .like = Celsius{like},
                                 .air = Celsius{std::min(air, like)},
                                 .wind = wind_at(judging, component, at)};
  set_area(setting, judging.row, *section);
  return setting;
}

std::optional<electrical::LugSetting> lug_setting(const Motor* motor) {
  const auto section = section_by_rating(motor);
  if (!section) return std::nullopt;
  electrical::LugSetting setting{.section_low_mm2 = section->low,
                                 .section_high_mm2 = section->high};
  set_area(setting, motor, *section);
  return setting;
}

SizeCheck check_size(const Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  const auto& rise = counting_rise(judging.lug(component.hottest));
  const auto current = judging.load_of(component.hottest);
  const auto setting = lug_setting(judging, index, component.hottest);
  if (!rise || rise->value() <= 0 || !current || current->value() <= 0 || !setting) return {};
  SizeCheck check;
  check.ohm = electrical::ohms_behind(*setting, KelvinDifference{rise->value()}, *current);
  const JointResult* joint = judging.joint_of(index);
  const bool by_joint = joint && joint->bad;
  if (!by_joint && !component.ohms) return {};
  const double excess = by_joint ? joint->excess.value() : component.ohms->excess.value();
  check.size = excess > check.ohm.high  ? Size::heat_too_small
               : excess < check.ohm.low ? Size::heat_too_large
                                        : Size::agrees;
  return check;
}

}  // namespace ohmglow::diagnosis
