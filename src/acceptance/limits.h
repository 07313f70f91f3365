#pragma once
/// Which limit a motor has, as far as motors.csv tells.

#include "ohmglow/acceptance.h"

#include <span>

namespace ohmglow::acceptance {

/// What was measured of one place, in the unit that its check is reported in.
struct Measured {
  double value = 0;
  double u = 0;  ///< 0: nobody stated it
};

/// Holds a value against the limits of a check that may be the motor's. Sets limit, source, flag
/// and result; where the limits in question disagree, the result is not_done and `why` names the
/// columns of motors.csv that would decide. Without a value only the limit is set, where it is
/// certain.
void hold_against(Item& item, const std::optional<Measured>& measured, const Limits& limits,
                  const Motor& motor);

}  // namespace ohmglow::acceptance
