#include "style.h"

#include "offered/report/report_contents.h"

#include <array>
#include <charconv>
#include <string>

namespace ohmglow::documents {
namespace {

Tone parsed(const std::string& css) {
  std::string digits = css.empty() ? "000000" : css.substr(1);
  if (digits.size() == 3) {
    digits = {digits[0], digits[0], digits[1], digits[1], digits[2], digits[2]};
  }
  const auto channel = [&digits](std::size_t at) {
    int value = 0;
    std::from_chars(digits.data() + at, digits.data() + at + 2, value, 16);
    return value / 255.0;
  };
  return {channel(0), channel(2), channel(4)};
}

struct InkName {
  report::Ink ink;
  std::string_view name;
};
using report::Ink;
constexpr std::array kInks{InkName{Ink::text, "ink"},        InkName{Ink::muted, "muted"},
                           InkName{Ink::phase_1, "phase-1"}, InkName{Ink::phase_2, "phase-2"},
                           InkName{Ink::phase_3, "phase-3"}, InkName{Ink::band_1, "band-1"},
                           InkName{Ink::band_2, "band-2"},   InkName{Ink::band_3, "band-3"},
                           InkName{Ink::band_4, "band-4"}};

}  // namespace

Tone tone(std::string_view name) {
  return parsed(report::colour_of(name));
}

Tone tone(const report::Colour& colour) {
  if (const auto* rgb = std::get_if<report::Rgb>(&colour)) {
    return {rgb->red / 255.0, rgb->green / 255.0, rgb->blue / 255.0};
  }
  const Ink ink = std::get<Ink>(colour);
  if (ink == Ink::white) return {1, 1, 1};
  for (const InkName& known : kInks) {
    if (known.ink == ink) return tone(known.name);
  }
  return {};
}

Tone tone_of_level(int level) {
  return tone(level < 1 ? std::string("line") : "band-" + std::to_string(level));
}

Tone tint(const Tone& t, double share) {
  const auto mixed = [share](double channel) { return 1 - share * (1 - channel); };
  return {mixed(t.red), mixed(t.green), mixed(t.blue)};
}

}  // namespace ohmglow::documents
