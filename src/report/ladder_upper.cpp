#include "ladder_canvas.h"
#include "offered/vocabulary/number_text.h"
#include "ohmglow/reader.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace ohmglow::report::ladder {
namespace {

constexpr double kExpansion = 2;  // whiskers reach ± 2u

Axis temperature_axis(const Canvas& canvas) {
  const LadderReach reach = joined(reach_of(canvas.ladder), canvas.ladder.also);
  const double low = reach.low_c.value_or(0);
  const double high = reach.high_c.value_or(1);
  Axis axis;
  axis.step = round_step(std::max(high - low, 1.0), 6);
  axis.low = std::floor(low / axis.step) * axis.step;
  const double used = kUpperHeight - kLabelRoom - (canvas.ladder.images.empty() ? 0 : kLineSpacing);
  axis.high = axis.low + std::max(high - axis.low, axis.step) * kUpperHeight / used;
  axis.at_low = canvas.line;
  axis.at_high = canvas.line - kUpperHeight;
  return axis;
}

void temperature_ticks(Canvas& canvas, const Axis& axis) {
  // Ticks are round in the reader's unit; the axis itself stays in °C.
  Axis shown = axis;
  shown.low = shown_temperature(axis.low);
  shown.high = shown_temperature(axis.high);
  shown.step = round_step(shown_difference(axis.step), 1);
  for (const double tick : shown.ticks()) {
    const double y = shown.at(tick);
    if (y < kHead + kSmallLetter) continue;
    canvas.tick(y, decimals(tick, shown.places()), "tick");
  }
  canvas.text(kLeft - 6, kHead + 6, std::string(temperature_unit()), Anchor::end, kSmallLetter,
              true);
}

// Which of a component's images a lug is of.
void number_of_image(Canvas& canvas, const LadderLug& lug, double x, double y) {
  if (!lug.image) return;
  canvas.text(x, y, fmt::format("({})", *lug.image + 1), Anchor::middle, kTightLetter);
}

void unmeasured_lug(Canvas& canvas, const LadderLug& lug, double x, double room) {
  canvas.add(GroupBegin{{{"class", "lug"}, {"data-phase", std::to_string(number_of(lug.phase))}},
                        say("{}: not measured", lug.name)});
  canvas.shape(lug.phase, x, canvas.line - 9, 5, true);
  const bool one_line = room >= 12 * kSmallLetter * kCharacter;
  double y = canvas.line - 19;
  if (one_line) {
    canvas.text(x, y, tr("not measured"), Anchor::middle);
  } else {
    const std::string words = tr("not measured");
    const auto space = words.find(' ');
    canvas.text(x, y, words.substr(space + 1), Anchor::middle, kTightLetter);
    y -= kTightLetter + 1;
    canvas.text(x, y, words.substr(0, space), Anchor::middle, kTightLetter);
  }
  canvas.text(x, y - kLineSpacing, Canvas::fitted(lug.name, room, kLetter), Anchor::middle, kLetter,
              true);
  number_of_image(canvas, lug, x, y - 2 * kLineSpacing);
  canvas.add(GroupEnd{});
}

void measured_lug(Canvas& canvas, const Axis& axis, const LadderLug& lug, double x, double room) {
  const double t = *lug.temperature_c;
  const double reach = kExpansion * lug.u_c;
  const double y = axis.at(t);
  const double top = axis.at(t + reach);
  const double bottom = std::min(axis.at(t - reach), canvas.line);
  canvas.add(GroupBegin{{{"class", "lug"},
                         {"data-phase", std::to_string(number_of(lug.phase))},
                         {"data-celsius", fmt::format("{:.3f}", t)},
                         {"data-y", fmt::format("{:.3f}", y)},
                         {"data-whisker", fmt::format("{:.3f} {:.3f}", top, bottom)}},
                        fmt::format("{}: {} ± {} (2u)", lug.name, temperature_text(t, 1),
                                    decimals(shown_difference(reach), 1))});
  const double width = std::min(20.0, room * 0.5);
  canvas.add(
      DrawnRectangle{x - width / 2, y, width, std::max(0.0, canvas.line - y),
                     Paint{.fill = Canvas::ink_of(index_of(lug.phase)), .fill_opacity = 0.5}});
  canvas.add(DrawnPath{{{'M', x, top},
                        {'V', 0, bottom},
                        {'M', x - 5, top},
                        {'h', 10, 0},
                        {'M', x - 5, bottom},
                        {'h', 10, 0}},
                       Paint{.stroke = Ink::text, .stroke_width = 1.2}});
  canvas.shape(lug.phase, x, y, 5, false);
  if (lug.at_full_load_c) {
    const double then = axis.at(*lug.at_full_load_c);
    canvas.add(DrawnPath{{{'M', x, std::min(top, y - 6)}, {'V', 0, then + 5}},
                         Paint{.stroke = Ink::muted, .dash = {1.5, 2}}});
    canvas.shape(lug.phase, x, then, 5, true);
  }
  const double label =
      std::min({top, y - 6, lug.at_full_load_c ? axis.at(*lug.at_full_load_c) - 7 : y}) - 4;
  const bool with_unit = room >= 8 * kLetter * kCharacter;
  const double size = room >= 5 * kLetter * kCharacter ? kLetter : kTightLetter;
  canvas.text(x, label,
              decimals(shown_temperature(t), size < kLetter ? 0 : 1) +
                  (with_unit ? fmt::format(" {}", temperature_unit()) : std::string()),
              Anchor::middle, size);
  canvas.text(x, label - kLineSpacing, Canvas::fitted(lug.name, room, size), Anchor::middle, size,
              true);
  number_of_image(canvas, lug, x, label - 2 * kLineSpacing);
  canvas.add(GroupEnd{});
}

// A limit that no zone shows: a broken line of the band's colour, told at the side as zones are.
void limits(Canvas& canvas, const Axis& axis, std::vector<SideLabel>& labels) {
  for (const LadderLimit& limit : canvas.ladder.limits) {
    const double y = axis.at(limit.at_c);
    canvas.add(GroupBegin{{{"class", "limit"},
                           {"data-celsius", fmt::format("{:.3f}", limit.at_c)},
                           {"data-y", fmt::format("{:.3f}", y)}},
                          fmt::format("{}: {}", limit.title, temperature_text(limit.at_c, 1))});
    canvas.add(DrawnPath{
        {{'M', kLeft, y}, {'H', kRight, 0}},
        Paint{.stroke = Canvas::ink_of_band(limit.level), .stroke_width = 2, .dash = {7, 4}}});
    canvas.add(GroupEnd{});
    labels.push_back({y, side_lines(limit.title), true});
  }
}

void lugs(Canvas& canvas, const Axis& axis) {
  for (const Phase phase : kPhases) {
    std::vector<const LadderLug*> own;
    for (const LadderLug& lug : canvas.ladder.lugs) {
      if (lug.phase == phase) own.push_back(&lug);
    }
    const double x = Canvas::centre(index_of(phase));
    if (own.empty()) {
      canvas.text(x, canvas.line - 8, tr("no lug"), Anchor::middle, kSmallLetter, false, true);
      continue;
    }
    const double room = (kColumn - 4) / static_cast<double>(own.size());
    for (std::size_t i = 0; i < own.size(); ++i) {
      const double shift = static_cast<double>(i) - static_cast<double>(own.size() - 1) / 2;
      if (own[i]->temperature_c) {
        measured_lug(canvas, axis, *own[i], x + shift * room, room);
      } else {
        unmeasured_lug(canvas, *own[i], x + shift * room, room);
      }
    }
  }
}

}  // namespace

void draw_upper_half(Canvas& canvas) {
  const Axis axis = temperature_axis(canvas);
  canvas.zones(axis, canvas.ladder.zones, 1);
  temperature_ticks(canvas, axis);
  auto labels = zone_labels(axis, canvas.ladder.zones, 1);
  if (canvas.ladder.air_c) {
    const double y = axis.at(*canvas.ladder.air_c);
    canvas.add(DrawnPath{{{'M', kLeft, y}, {'H', kRight, 0}},
                         Paint{.stroke = Ink::text, .dash = {2, 3}},
                         {{"class", "air"}}});
    labels.push_back({y, {say("air {}", decimals(shown_temperature(*canvas.ladder.air_c), 1))}});
  }
  limits(canvas, axis, labels);
  canvas.side_labels(std::move(labels), -1);
  lugs(canvas, axis);
}

}  // namespace ohmglow::report::ladder
