#pragma once
/// What a sweep's patterns leave open, and what to do next.

#include "ohmglow/rotor.h"

namespace ohmglow::rotor {

/// What is known of the motor and of the sweep beside the pattern.
struct Open {
  std::optional<int> poles;
  CoilLayout layout = CoilLayout::unknown;
  bool sees_poles = false;  ///< the poles are known and the angles are close enough for them
  bool has_overlap = false;
  std::optional<int> bars;
  std::optional<int> steps;
  std::optional<Hertz> frequency_hz;  ///< where the share that follows the gap is not given
};
[[nodiscard]] std::vector<Sentence> left_open(const Sweep& sweep, const Open& open);
[[nodiscard]] Sentence next_test_of(const Sweep& sweep, const Open& open);
[[nodiscard]] Sentence model_of(double gap_share, double shaft_return);

}  // namespace ohmglow::rotor
