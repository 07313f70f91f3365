#include "ohmglow/imaging.h"

#include <array>
#include <charconv>
#include <cmath>

namespace ohmglow::imaging {
namespace {

// Floats that all lie in one of these are temperatures of that unit.
constexpr double kLeastKelvin = 193;
constexpr double kMostKelvin = 2300;
constexpr double kLeastCelsius = -80;
constexpr double kMostCelsius = 2000;

constexpr std::string_view kFillIn =
    "fill in the cells scale, offset and unit (c or k) of this image in images.csv";

Error undeclared(std::string what, std::string found = {}, std::string expected = {}) {
  return {.kind = ErrorKind::undeclared,
          .what = std::move(what),
          .found = std::move(found),
          .expected = std::move(expected),
          .mend = std::string(kFillIn)};
}

Result<Declaration> from_table(const ImageParameters& given) {
  if (!given.unit) {
    return fail(undeclared("a scale or offset is given without its unit", "",
                           "all of the cells scale, offset and unit"));
  }
  const Declaration declaration{given.scale.value_or(1), given.offset.value_or(0), *given.unit,
                                "images.csv"};
  if (!std::isfinite(declaration.scale) || declaration.scale == 0 ||
      !std::isfinite(declaration.offset)) {
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "scale and offset do not make temperatures",
                 .expected = "a scale that is not 0, and finite numbers",
                 .mend = std::string(kFillIn)});
  }
  return declaration;
}

Result<Declaration> from_file(const EmbeddedDeclaration& embedded,
                              std::optional<TemperatureUnit> given_unit) {
  if (!embedded.not_understood.empty()) {
    return fail(undeclared("the " + embedded.from + " of the file is not understood",
                           embedded.not_understood,
                           "numbers for scale and offset, and c or k for the unit"));
  }
  if (embedded.unit && given_unit && *embedded.unit != *given_unit) {
    const auto word = [](TemperatureUnit u) { return u == TemperatureUnit::celsius ? "c" : "k"; };
    return fail(
        {.kind = ErrorKind::conflict,
         .what = "images.csv and the " + embedded.from + " of the file name different units",
         .found = word(*given_unit),
         .expected = word(*embedded.unit),
         .mend = "clear the cell unit, or " + std::string(kFillIn)});
  }
  const auto unit = embedded.unit ? embedded.unit : given_unit;
  if (!unit) {
    return fail(undeclared("the " + embedded.from + " of the file gives a scale without its unit"));
  }
  return Declaration{embedded.scale.value_or(1), embedded.offset.value_or(0), *unit,
                     embedded.unit ? embedded.from : embedded.from + ", unit from images.csv"};
}

std::string short_number(double value) {
  std::array<char, 32> text{};
  const auto end =
      std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::general, 6)
          .ptr;
  return {text.data(), end};
}

Result<Declaration> from_range(const cv::Mat& pixels) {
  const Statistics s = statistics(pixels);
  if (s.finite == 0) return fail(undeclared("no pixel of the image holds a number"));
  if (s.min >= kLeastKelvin && s.max <= kMostKelvin) {
    return Declaration{1, 0, TemperatureUnit::kelvin, "range"};
  }
  if (s.min >= kLeastCelsius && s.max <= kMostCelsius) {
    return Declaration{1, 0, TemperatureUnit::celsius, "range"};
  }
  return fail(
      undeclared("the image does not say what its numbers mean, and they cannot all be "
                 "temperatures",
                 short_number(s.min) + " to " + short_number(s.max),
                 "all within 193 to 2300 (kelvin) or -80 to 2000 (degrees Celsius)"));
}

}  // namespace

Result<Declaration> resolve_declaration(const StoredImage& image, const ImageParameters& given) {
  if (given.scale || given.offset) return from_table(given);
  if (image.embedded) return from_file(*image.embedded, given.unit);
  if (given.unit) return from_table(given);
  if (!image.is_integer()) return from_range(image.pixels);
  return fail(undeclared("the image holds integers and does not say what they mean", image.dtype,
                         "temperature = scale x stored + offset"));
}

}  // namespace ohmglow::imaging
