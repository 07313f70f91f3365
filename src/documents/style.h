#pragma once
/// How the printed report looks: one face, few sizes, the colours of meaning.css on white paper.

#include "offered/report/drawing.h"

#include <cairo.h>
#include <string_view>

namespace ohmglow::documents {

// Points. Below 7 print is hard to read; 8.5 is the size of running text in tables and lists.
inline constexpr double kLead = 10;  ///< what a reader acts on
inline constexpr double kBody = 8.5;
inline constexpr double kSmall = 7.5;
inline constexpr double kFine = 6.4;
inline constexpr double kHeading = 13;
inline constexpr double kGap = 6;

struct Tone {
  double red = 0;
  double green = 0;
  double blue = 0;
};

/// By the names of meaning.css: "ink", "muted", "line", "band-1" …
[[nodiscard]] Tone tone(std::string_view name);
[[nodiscard]] Tone tone(const report::Colour& colour);
/// Of a band's level, 1 to 4; the line colour for 0.
[[nodiscard]] Tone tone_of_level(int level);
/// A share of the tone over white.
[[nodiscard]] Tone tint(const Tone& tone, double share);

inline void set_tone(cairo_t* cr, const Tone& tone, double opacity = 1) {
  if (opacity < 1) {
    cairo_set_source_rgba(cr, tone.red, tone.green, tone.blue, opacity);
  } else {
    cairo_set_source_rgb(cr, tone.red, tone.green, tone.blue);
  }
}

}  // namespace ohmglow::documents
