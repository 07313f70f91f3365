#include "offered/vocabulary/number_text.h"

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
  const double magnitude = std::fabs(value.value());
  for (const OhmUnit& unit : kOhmUnits) {
    if (magnitude < unit.from_ohm) continue;
    const double scaled = value.value() * unit.per_ohm;
    std::string text = decimals(scaled, places_for(std::fabs(scaled)), its);
    return text.append(" ").append(unit.name);
  }
  return decimals(value.value(), 0, its) + " Ω";  // NaN compares with nothing
}

}  // namespace ohmglow
