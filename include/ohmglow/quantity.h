#pragma once
/// Physical quantities as types: a number never loses its unit on the way through a public
/// boundary. Construction is explicit, conversion is a named function, and there is no silent way
/// back to double.

#include <compare>

namespace ohmglow {

template <class Unit>
class Quantity {
 public:
  constexpr explicit Quantity(double value) noexcept : value_(value) {}

  /// The bare number, in the unit that the type names.
  [[nodiscard]] constexpr double value() const noexcept { return value_; }

  friend constexpr auto operator<=>(const Quantity&, const Quantity&) = default;

 private:
  double value_;
};

/// Units whose quantities may be added to each other and scaled. Temperatures on a scale are not
/// among them: 20 °C + 20 °C means nothing.
template <class Unit>
concept Additive = Unit::additive;

template <Additive Unit>
constexpr Quantity<Unit> operator+(Quantity<Unit> a, Quantity<Unit> b) {
  return Quantity<Unit>{a.value() + b.value()};
}
template <Additive Unit>
constexpr Quantity<Unit> operator-(Quantity<Unit> a, Quantity<Unit> b) {
  return Quantity<Unit>{a.value() - b.value()};
}
template <Additive Unit>
constexpr Quantity<Unit> operator*(Quantity<Unit> a, double factor) {
  return Quantity<Unit>{a.value() * factor};
}

namespace unit {
struct Celsius {
  static constexpr bool additive = false;
};
struct Kelvin {
  static constexpr bool additive = false;
};
struct Fahrenheit {
  static constexpr bool additive = false;
};
struct KelvinDifference {
  static constexpr bool additive = true;
};
struct Emissivity {
  static constexpr bool additive = false;
};
struct Fraction {
  static constexpr bool additive = true;
};
struct Percent {
  static constexpr bool additive = true;
};
struct Ampere {
  static constexpr bool additive = true;
};
struct Volt {
  static constexpr bool additive = true;
};
struct Ohm {
  static constexpr bool additive = true;
};
struct Watt {
  static constexpr bool additive = true;
};
struct Henry {
  static constexpr bool additive = true;
};
struct Hertz {
  static constexpr bool additive = true;
};
struct Metre {
  static constexpr bool additive = true;
};
struct Millimetre {
  static constexpr bool additive = true;
};
struct MetrePerSecond {
  static constexpr bool additive = true;
};
struct Micrometre {
  static constexpr bool additive = true;
};
struct Milliradian {
  static constexpr bool additive = true;
};
struct SquareCentimetre {
  static constexpr bool additive = true;
};
struct Radiance {
  static constexpr bool additive = true;
};
}  // namespace unit

using Celsius = Quantity<unit::Celsius>;                    ///< a temperature, °C
using Kelvin = Quantity<unit::Kelvin>;                      ///< an absolute temperature, K
using Fahrenheit = Quantity<unit::Fahrenheit>;              ///< a temperature, °F
using KelvinDifference = Quantity<unit::KelvinDifference>;  ///< a difference of temperatures, K
using Emissivity = Quantity<unit::Emissivity>;              ///< 0 < ε ≤ 1
using Fraction = Quantity<unit::Fraction>;                  ///< transmittance, reflectance, 0 to 1
using Percent = Quantity<unit::Percent>;
using Ampere = Quantity<unit::Ampere>;
using Volt = Quantity<unit::Volt>;
using Ohm = Quantity<unit::Ohm>;
using Watt = Quantity<unit::Watt>;
using Henry = Quantity<unit::Henry>;
using Hertz = Quantity<unit::Hertz>;
using Metre = Quantity<unit::Metre>;
using Millimetre = Quantity<unit::Millimetre>;
using MetrePerSecond = Quantity<unit::MetrePerSecond>;
using Micrometre = Quantity<unit::Micrometre>;
using Milliradian = Quantity<unit::Milliradian>;
using SquareCentimetre = Quantity<unit::SquareCentimetre>;
using Radiance = Quantity<unit::Radiance>;  ///< W/(m² sr) within the camera's band

/// 0 °C on the thermodynamic scale (SI Brochure, 9th ed., 2.3.1: t/°C = T/K - 273.15).
inline constexpr double kCelsiusZeroInKelvin = 273.15;

[[nodiscard]] constexpr Kelvin to_kelvin(Celsius t) {
  return Kelvin{t.value() + kCelsiusZeroInKelvin};
}
[[nodiscard]] constexpr Celsius to_celsius(Kelvin t) {
  return Celsius{t.value() - kCelsiusZeroInKelvin};
}

/// t/°F = 9/5 t/°C + 32 exactly (NIST SP 811, appendix B.8).
[[nodiscard]] constexpr Celsius to_celsius(Fahrenheit t) {
  return Celsius{(t.value() - 32) * 5 / 9};
}
[[nodiscard]] constexpr Fahrenheit to_fahrenheit(Celsius t) {
  return Fahrenheit{t.value() * 1.8 + 32};
}

[[nodiscard]] constexpr KelvinDifference operator-(Celsius a, Celsius b) {
  return KelvinDifference{a.value() - b.value()};
}
[[nodiscard]] constexpr Celsius operator+(Celsius t, KelvinDifference d) {
  return Celsius{t.value() + d.value()};
}

/// Decimal numbers as they were written differ from their binary fractions, and from what sums and
/// quotients make of those, by less than this share of themselves.
inline constexpr double kDecimalRounding = 1e-9;
/// Whether x is above a limit, both taken as decimal numbers: 201, 201 and 198 V are 1 % out of
/// balance, not the hair more that binary fractions make of it.
[[nodiscard]] constexpr bool exceeds(double x, double limit) {
  const double magnitude = limit < 0 ? -limit : limit;
  return x > limit + kDecimalRounding * (magnitude < 1 ? 1 : magnitude);
}

}  // namespace ohmglow
