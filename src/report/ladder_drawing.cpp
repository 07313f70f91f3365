#include "ladder_canvas.h"
#include "offered/vocabulary/number_text.h"
#include "ohmglow/reader.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>

namespace ohmglow::report {
namespace ladder {
namespace {

void columns(Canvas& canvas) {
  const double bottom = canvas.line + kLowerHeight + 2;
  for (std::size_t i = 0; i < 3; ++i) {
    const double x = Canvas::centre(i);
    canvas.add(DrawnRectangle{x - kColumn / 2 + 2, kHead, kColumn - 4, bottom - kHead,
                              Paint{.fill = Ink::text, .fill_opacity = 0.045}});
    const std::string title =
        Canvas::fitted(say("phase {}", canvas.ladder.phase_names.at(i)), kColumn - 20, kLetter);
    const double half = display_width(title) * kLetter * kCharacter / 2;
    canvas.shape(kPhases.at(i), x - half - 5, 14, 4.5, false);
    canvas.text(x + 6, 18, title, Anchor::middle, kLetter, true);
  }
}

struct OhmUnit {
  double from_ohm;
  double per_ohm;
  std::string_view name;
};
constexpr std::array<OhmUnit, 5> kOhmUnits{
    {{1e6, 1e-6, "MΩ"}, {1e3, 1e-3, "kΩ"}, {1, 1, "Ω"}, {1e-4, 1e3, "mΩ"}, {0, 1e6, "µΩ"}}};

void bars(Canvas& canvas, const Axis& axis, const OhmUnit& unit) {
  for (const double tick : axis.ticks()) {
    const double y = axis.at(tick);
    if (tick == 0 || y > canvas.line + kLowerHeight - kLineSpacing) continue;
    canvas.tick(y, decimals(tick, axis.places()), "ohm-tick");
  }
  canvas.text(kLeft - 6, canvas.line + kLowerHeight + 3, std::string(unit.name), Anchor::end,
              kSmallLetter, true);
  for (std::size_t i = 0; i < 3; ++i) {
    const double ohm = canvas.ladder.resistance->over_lowest_ohm.at(i);
    const double end = axis.at(ohm * unit.per_ohm);
    canvas.add(GroupBegin{{{"class", "excess"},
                           {"data-phase", std::to_string(i + 1)},
                           {"data-ohm", fmt::format("{:.9g}", ohm)},
                           {"data-y", fmt::format("{:.3f}", end)}},
                          ""});
    canvas.add(DrawnRectangle{Canvas::centre(i) - 10, canvas.line, 20, end - canvas.line,
                              Paint{.fill = Canvas::ink_of(i),
                                    .fill_opacity = 0.5,
                                    .stroke = Ink::text,
                                    .stroke_width = 0.8}});
    canvas.text(Canvas::centre(i), end + kLineSpacing,
                ohm > 0 ? fmt::format("+{}", ohms(Ohm{ohm})) : tr("lowest"), Anchor::middle,
                kLetter);
    canvas.add(GroupEnd{});
  }
}

// A row of numbers, each over a thin tick as long as its share of the largest current.
void currents(Canvas& canvas) {
  double most = 0;
  for (const auto& a : canvas.ladder.load_a) most = std::max(most, a.value_or(0));
  const double y = canvas.line + kLowerHeight + 18;
  canvas.text(kLeft - 6, y, "A", Anchor::end, kSmallLetter, true);
  canvas.text(kRight + 8, y, tr("in the line"), Anchor::start);
  for (std::size_t i = 0; i < 3; ++i) {
    const std::optional<double> a = canvas.ladder.load_a.at(i);
    const double x = Canvas::centre(i);
    canvas.text(x, y, a ? decimals(*a, 1) : tr("not known"), Anchor::middle,
                a ? kLetter : kSmallLetter);
    if (!a || !(*a > 0)) continue;
    const double length = (kColumn - 16) * *a / most;
    canvas.add(DrawnPath{{{'M', x - length / 2, y + 5}, {'h', length, 0}},
                         Paint{.stroke = Ink::muted, .stroke_width = 2}});
  }
}

void caption(Canvas& canvas, double y) {
  for (std::size_t i = 0; i < canvas.ladder.images.size(); ++i) {
    canvas.text(2, y,
                Canvas::fitted(fmt::format("({}) {}", i + 1, canvas.ladder.images[i]), kWidth - 4,
                               kCaptionLetter),
                Anchor::start, kCaptionLetter);
    y += kLineSpacing;
  }
  if (canvas.ladder.has_upper_half) {
    canvas.text(2, y, tr("Above the line: lugs, whiskers ± 2u, on the policy's bands."),
                Anchor::start, kCaptionLetter);
    y += kLineSpacing;
  }
  canvas.text(2, y, tr("Below the line: resistance over the lowest leg."), Anchor::start,
              kCaptionLetter);
}

}  // namespace

void draw_lower_half(Canvas& canvas) {
  const auto line = [&canvas] {
    canvas.horizontal(kLeft - 4, canvas.line, kRight, Ink::text, 1.8);
  };
  if (!canvas.ladder.resistance) {
    canvas.text((kLeft + kRight) / 2, canvas.line + kLowerHeight / 2, tr("no resistance reading"),
                Anchor::middle, kLetter, false, true);
    line();
    return;
  }
  const std::vector<LadderZone>& bands = canvas.ladder.resistance->zones;
  const double reach = joined(reach_of(canvas.ladder), canvas.ladder.also).ohm;
  const OhmUnit* unit = &kOhmUnits.back();
  for (const OhmUnit& candidate : kOhmUnits) {
    if (reach < candidate.from_ohm) continue;
    unit = &candidate;
    break;
  }
  Axis axis;
  const double longest = reach > 0 ? reach * unit->per_ohm : 1;
  axis.step = round_step(longest, 5);
  axis.high = longest * kLowerHeight / (kLowerHeight - kLineSpacing - 4);
  axis.at_low = canvas.line;
  axis.at_high = canvas.line + kLowerHeight;
  canvas.zones(axis, bands, unit->per_ohm);
  canvas.side_labels(zone_labels(axis, bands, unit->per_ohm), 1);
  bars(canvas, axis, *unit);
  line();
}

}  // namespace ladder

Drawing lay_out(const Ladder& ladder) {
  ladder::Canvas canvas(ladder);
  const double caption_at = canvas.line + ladder::kLowerHeight + 40;
  canvas.drawing.width = ladder::kWidth;
  const std::size_t lines = ladder.images.size() + (ladder.has_upper_half ? 1 : 0);
  canvas.drawing.height = caption_at + static_cast<double>(lines) * ladder::kLineSpacing + 5;
  canvas.drawing.title = say("Phase ladder: {}", ladder.subject);
  canvas.drawing.description = describe(ladder);
  ladder::columns(canvas);
  if (ladder.has_upper_half) ladder::draw_upper_half(canvas);
  ladder::draw_lower_half(canvas);
  ladder::currents(canvas);
  ladder::caption(canvas, caption_at);
  return std::move(canvas.drawing);
}

}  // namespace ohmglow::report
