#include "offered/vocabulary/number_text.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <string_view>

namespace ohmglow {
namespace {

constexpr std::string_view kMinus = "\u2212";

// The largest double has 309 digits before its point.
constexpr int kMostDecimals = 30;
constexpr std::size_t kLongest = 400;

struct OhmUnit {
  double from_ohm;  // half a last digit below the round number, so that nothing reads "1000 mΩ"
  double per_ohm;
  std::string_view name;
};
constexpr std::array<OhmUnit, 5> kOhmUnits{{
    {0.9995e6, 1e-6, "MΩ"},
    {0.9995e3, 1e-3, "kΩ"},
    {0.9995, 1, "Ω"},
    {0.99995e-4, 1e3, "mΩ"},  // 0.10 mΩ reads better than 100 µΩ beside other milliohms
    {0, 1e6, "µΩ"},
}};

int places_for(double magnitude) {
  if (magnitude >= 99.95) return 0;
  return magnitude >= 9.995 ? 1 : 2;
}

// NaN compares with nothing: it is written in ohms.
const OhmUnit& unit_for(double magnitude) {
  for (const OhmUnit& unit : kOhmUnits) {
    if (magnitude >= unit.from_ohm) return unit;
  }
  return kOhmUnits[2];
}

// Negative places round before the point: 121 with -1 is "120".
std::string rounded(double value, int places, const Reader& its) {
  if (places >= 0) return decimals(value, places, its);
  const double step = std::pow(10, -places);
  return decimals(std::round(value / step) * step, 0, its);
}

}  // namespace

std::string decimals(double value, int places, const Reader& its) {
  std::array<char, kLongest> buffer{};
  const int kept = places < 0 ? 0 : (places > kMostDecimals ? kMostDecimals : places);
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), std::fabs(value),
                                 std::chars_format::fixed, kept);
  std::string text(buffer.data(), end.ptr);
  if (const auto point = text.find('.'); point != std::string::npos) {
    text[point] = its.decimal_mark;
  }
  const bool shows_a_digit = text.find_first_not_of("0.,") != std::string::npos;
  if (std::signbit(value) && shows_a_digit && !std::isnan(value)) text.insert(0, kMinus);
  return text;
}

std::string ohms(Ohm value, const Reader& its) {
  const OhmUnit& unit = unit_for(std::fabs(value.value()));
  const double scaled = value.value() * unit.per_ohm;
  std::string text = decimals(scaled, places_for(std::fabs(scaled)), its);
  return text.append(" ").append(unit.name);
}

std::optional<int> places_of_u(double u) {
  constexpr double kLeast = 1e-9;  // below it nothing that is measured here has a digit
  if (!std::isfinite(u) || u < kLeast) return std::nullopt;
  const int exponent = static_cast<int>(std::floor(std::log10(u)));
  constexpr double kOneDigitFrom = 4;
  return u / std::pow(10, exponent) < kOneDigitFrom ? 1 - exponent : -exponent;
}

std::string with_u(double value, double u, std::string_view unit, int places_without,
                   const Reader& its) {
  const auto places = places_of_u(u);
  std::string text = rounded(value, places.value_or(places_without), its);
  if (places) text.append(" ± ").append(rounded(u, *places, its));
  if (!unit.empty()) text.append(" ").append(unit);
  return text;
}

std::string ohms_with_u(Ohm value, Ohm u, const Reader& its) {
  if (!places_of_u(u.value())) return ohms(value, its);
  const OhmUnit& unit = unit_for(std::max(std::fabs(value.value()), u.value()));
  return with_u(value.value() * unit.per_ohm, u.value() * unit.per_ohm, unit.name, 0, its);
}

std::string percent_of(double probability) {
  const double percent = std::round(100 * probability);
  if (percent > 99) return "> 99 %";
  if (percent < 1) return "< 1 %";
  return decimals(percent, 0, default_reader()) + " %";
}

}  // namespace ohmglow
