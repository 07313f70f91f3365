#include "ladder_canvas.h"

#include "offered/vocabulary/number_text.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

namespace ohmglow::report::ladder {
namespace {

constexpr std::array kPhaseInks{Ink::phase_1, Ink::phase_2, Ink::phase_3};
constexpr std::array kBandInks{Ink::band_1, Ink::band_2, Ink::band_3, Ink::band_4};

std::optional<Span> visible(const Axis& axis, const LadderZone& zone, double unit) {
  const double low = std::max(zone.from * unit, axis.low);
  const double high = std::min(zone.to ? *zone.to * unit : axis.high, axis.high);
  if (low >= high) return std::nullopt;
  return Span{axis.at(low), axis.at(high)};
}

}  // namespace

Ink Canvas::ink_of(std::size_t phase) {
  return kPhaseInks.at(phase);
}

Ink Canvas::ink_of_band(int level) {
  return kBandInks.at(static_cast<std::size_t>(std::max(level, 1) - 1));
}

void Canvas::text(double x, double y, std::string words, Anchor anchor, double size, bool bold,
                  bool italic, Attributes attributes) {
  add(DrawnText{.x = x,
                .y = y,
                .words = std::move(words),
                .anchor = anchor,
                .size = size,
                .bold = bold,
                .italic = italic,
                .attributes = std::move(attributes)});
}

void Canvas::horizontal(double from, double y, double to, Colour colour, double width) {
  add(DrawnPath{{{'M', from, y}, {'H', to, 0}}, Paint{.stroke = colour, .stroke_width = width}});
}

void Canvas::tick(double y, const std::string& number, const char* css_class) {
  add(DrawnPath{{{'M', kLeft - 4, y}, {'h', 4, 0}}, Paint{.stroke = Ink::muted}});
  text(kLeft - 6, y + 3.5, number, Anchor::end, kSmallLetter, false, false,
       {{"class", css_class}, {"data-y", fmt::format("{:.3f}", y)}});
}

// Circle, square, diamond: a phase is known by its shape where colours are not.
void Canvas::shape(Phase phase, double x, double y, double size, bool open) {
  const Ink ink = ink_of(index_of(phase));
  const Paint paint = open ? Paint{.stroke = ink, .stroke_width = 1.6, .dash = {2, 1.5}}
                           : Paint{.fill = ink, .stroke = Ink::text, .stroke_width = 0.8};
  switch (phase) {
    case Phase::one:
      add(DrawnCircle{x, y, size, paint});
      break;
    case Phase::two: {
      const double half = size * 0.9;
      add(DrawnRectangle{x - half, y - half, 2 * half, 2 * half, paint});
      break;
    }
    case Phase::three: {
      const double reach = size * 1.25;
      add(DrawnPath{{{'M', x, y - reach},
                     {'l', reach, reach},
                     {'l', -reach, reach},
                     {'l', -reach, -reach},
                     {'z'}},
                    paint});
      break;
    }
  }
}

void Canvas::zones(const Axis& axis, const std::vector<LadderZone>& all, double unit) {
  for (const LadderZone& zone : all) {
    const auto span = visible(axis, zone, unit);
    if (!span || zone.level < 1) continue;
    const Ink ink = ink_of_band(zone.level);
    add(GroupBegin{{{"class", "zone"}}, zone.title + ": " + zone.limit});
    add(DrawnRectangle{kLeft, std::min(span->from, span->to), kRight - kLeft,
                       std::abs(span->to - span->from), Paint{.fill = ink, .fill_opacity = 0.2}});
    horizontal(kLeft, span->from, kRight, ink, 0.8);
    add(GroupEnd{});
  }
}

// Each label has a leader to its place.
void Canvas::side_labels(std::vector<SideLabel> labels, double away) {
  std::stable_sort(labels.begin(), labels.end(), [away](const SideLabel& a, const SideLabel& b) {
    return away * a.wanted < away * b.wanted;
  });
  double free = line - away * 4;
  for (const SideLabel& label : labels) {
    const double half = kLineSpacing * static_cast<double>(label.lines.size()) / 2;
    const double middle = away * std::max(away * label.wanted, away * free + half);
    free = middle + away * half;
    add(DrawnPath{{{'M', kRight, label.wanted}, {'l', 6, middle - label.wanted}},
                  Paint{.stroke = Ink::muted, .stroke_width = 0.8}});
    double y = middle - half + 9;
    for (const std::string& words : label.lines) {
      text(kRight + 8, y, fitted(words, kSideRoom, kSmallLetter), Anchor::start, kSmallLetter,
           false, label.italic);
      y += kLineSpacing;
    }
  }
}

std::vector<std::string> side_lines(std::string_view words) {
  auto lines = wrap(printable(words), static_cast<int>(kSideRoom / (kSmallLetter * kCharacter)));
  if (lines.size() > 2) lines = {lines[0], lines[1] + "…"};
  return lines;
}

std::vector<SideLabel> zone_labels(const Axis& axis, const std::vector<LadderZone>& all,
                                   double unit) {
  std::vector<SideLabel> labels;
  for (const LadderZone& zone : all) {
    const auto span = visible(axis, zone, unit);
    if (!span) continue;
    labels.push_back({(span->from + span->to) / 2, side_lines(zone.title), false});
  }
  return labels;
}

}  // namespace ohmglow::report::ladder
