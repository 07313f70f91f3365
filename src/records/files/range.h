#pragma once
/// Which numbers a cell or a JSON member may hold.

#include "ohmglow/quantity.h"

#include <limits>
#include <string>
#include <string_view>

namespace ohmglow::records {

struct Range {
  double low = -std::numeric_limits<double>::infinity();
  double high = std::numeric_limits<double>::infinity();
  bool low_open = false;  ///< the lower end itself is outside
  bool whole = false;     ///< whole numbers only
  int multiple_of = 1;    ///< of whole numbers

  [[nodiscard]] bool contains(double value) const;
  /// "a number above 0 and at most 1 (A)".
  [[nodiscard]] std::string describe(std::string_view unit = {}) const;
};

inline constexpr Range kAnyNumber{};
inline constexpr Range kAboveZero{.low = 0, .low_open = true};
inline constexpr Range kZeroOrMore{.low = 0};
inline constexpr Range kShare{.low = 0, .high = 1};
inline constexpr Range kShareAboveZero{.low = 0, .high = 1, .low_open = true};
inline constexpr Range kPercent{.low = 0, .high = 100};
/// Temperatures, from absolute zero up.
inline constexpr Range kCelsius{.low = -kCelsiusZeroInKelvin};
inline constexpr Range kFahrenheit{.low = -459.67};  // 0 K

[[nodiscard]] constexpr Range whole_numbers(int low, int high, int multiple_of = 1) {
  return {.low = static_cast<double>(low),
          .high = static_cast<double>(high),
          .whole = true,
          .multiple_of = multiple_of};
}

}  // namespace ohmglow::records
