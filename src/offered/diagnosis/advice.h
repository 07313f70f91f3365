#pragma once
/// What an electrician who has only the readings of a motor may expect and do next.

#include "ohmglow/diagnosis.h"

#include <optional>

namespace ohmglow::diagnosis {

/// The heat that an excess would make at rated current, and how hot one lug would get of it.
struct HotSpot {
  Phase phase = Phase::one;
  Ampere at{0};  ///< rated current
  Watt heat{0};
  Watt heat_u{0};
  /// Rise over the like lugs if the whole excess sits in one lug of the motor's lug_area_cm2 in
  /// still air at 25 °C, K. Absent where the area is not known.
  std::optional<double> rise_low_k;
  std::optional<double> rise_high_k;
};

struct Advice {
  std::optional<std::size_t> reading;  ///< that it rests on: index into the motor's electrical
  std::optional<HotSpot> hot_spot;
  Sentence expected;  ///< the hot spot, or why there is none, in one sentence
  Sentence next_step;
};

/// Absent where nothing is out of balance, the excess is a winding's, or rated_a is not known.
[[nodiscard]] std::optional<HotSpot> expected_hot_spot(const ElectricalResult& reading,
                                                       const Motor* motor);

/// From the latest winding resistance reading of the motor; of several on one day, the one farthest
/// out of balance.
[[nodiscard]] Advice advise(const Assessment& assessment, const MotorResult& motor);

}  // namespace ohmglow::diagnosis
