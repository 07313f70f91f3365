#pragma once

#include <numbers>

namespace ohmglow::rotor {

inline constexpr double kRadianPerDegree = std::numbers::pi / 180;

}  // namespace ohmglow::rotor
