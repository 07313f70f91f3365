#pragma once
/// Numbers the inputs that judge() adds to a lug's rises.

#include "ohmglow/diagnosis.h"

#include <cstdint>

namespace ohmglow::diagnosis {

inline constexpr std::uint32_t kLugsOfImage = 4096;

/// `at.image` counts within the judged motor.
[[nodiscard]] constexpr std::uint32_t scope_of(LugIndex at) {
  return static_cast<std::uint32_t>(at.image) * kLugsOfImage + static_cast<std::uint32_t>(at.lug);
}
[[nodiscard]] constexpr LugIndex lug_of(std::uint32_t scope) {
  return {scope / kLugsOfImage, scope % kLugsOfImage};
}

}  // namespace ohmglow::diagnosis
