#pragma once
/// A drawing before it is put on a page: shapes and words at their places, the same for SVG and
/// PDF. Units are the drawing's own; x grows to the right, y downwards.

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace ohmglow::report {

/// A colour by its meaning; each renderer knows what it looks like on its ground.
enum class Ink {
  text,
  muted,
  phase_1,
  phase_2,
  phase_3,
  band_1,
  band_2,
  band_3,
  band_4,
  black,
  white,
};
struct Rgb {
  std::uint8_t red = 0;
  std::uint8_t green = 0;
  std::uint8_t blue = 0;
};
using Colour = std::variant<Ink, Rgb>;

struct Paint {
  std::optional<Colour> fill = {};
  double fill_opacity = 1;
  std::optional<Colour> stroke = {};
  double stroke_opacity = 1;
  double stroke_width = 1;
  std::vector<double> dash = {};
};

/// Facts for programs and style sheets: SVG writes them, print leaves them out.
using Attributes = std::vector<std::pair<std::string, std::string>>;

struct DrawnRectangle {
  double x = 0, y = 0, width = 0, height = 0;
  Paint paint = {};
};
struct DrawnCircle {
  double x = 0, y = 0, radius = 0;
  Paint paint = {};
};
/// One step of a path, by the letters of SVG: M and L to (a, b); H to a; V to b; h, v and l
/// relative; z closes.
struct PathStep {
  char letter = 'M';
  double a = 0;
  double b = 0;
};
struct DrawnPath {
  std::vector<PathStep> steps;
  Paint paint = {};
  Attributes attributes = {};
};
enum class Anchor { start, middle, end };
/// One line of letters on a baseline.
struct DrawnText {
  double x = 0, y = 0;
  std::string words;
  Anchor anchor = Anchor::start;
  double size = 10;
  Colour colour = Ink::text;
  double rim = 0;  ///< of black around the letters, where they stand on a picture
  bool bold = false;
  bool italic = false;
  Attributes attributes = {};
};
struct GroupBegin {
  Attributes attributes;
  std::string title;
};
struct GroupEnd {};

using Drawn = std::variant<DrawnRectangle, DrawnCircle, DrawnPath, DrawnText, GroupBegin, GroupEnd>;

struct Drawing {
  double width = 0;
  double height = 0;
  std::string title;
  std::string description;  ///< everything that it shows, in sentences
  std::vector<Drawn> items = {};
};

}  // namespace ohmglow::report
