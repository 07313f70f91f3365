#include "axis.h"
#include "ladder_canvas.h"
#include "offered/report/report.h"
#include "offered/vocabulary/number_text.h"
#include "rotor_words.h"
#include "words.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

namespace ohmglow::report {
namespace {

namespace l = ladder;

constexpr double kSweepWidth = 520;
constexpr double kSweepLeft = 48;
constexpr double kSweepRight = 440;
constexpr double kSweepTop = 34;
constexpr double kSweepBottom = 210;
constexpr double kSweepHeight = 262;
constexpr double kLeastReach_pct = 0.1;
constexpr double kEdge = 0.08;  // of the readings' reach, left free above and below
constexpr double kDegreesOfTurn = 360;

constexpr double kRingSide = 300;
constexpr double kRingCentre = kRingSide / 2;
constexpr double kBore = 104;
constexpr double kMeanGap = 30;  // as drawn: the gap is exaggerated so far
constexpr double kRingHeight = 330;

/// Adds what drawings of rotors are made of.
class Sheet {
 public:
  Sheet(double width, double height, std::string title) {
    drawing.width = width;
    drawing.height = height;
    drawing.title = std::move(title);
  }

  void text(double x, double y, std::string words, Anchor anchor, double size = l::kSmallLetter,
            bool bold = false) {
    drawing.items.emplace_back(DrawnText{
        .x = x, .y = y, .words = std::move(words), .anchor = anchor, .size = size, .bold = bold});
  }
  void line(double x1, double y1, double x2, double y2, Paint paint) {
    drawing.items.emplace_back(DrawnPath{{{'M', x1, y1}, {'L', x2, y2}}, std::move(paint)});
  }
  void circle(double x, double y, double radius, Paint paint) {
    drawing.items.emplace_back(DrawnCircle{x, y, radius, std::move(paint)});
  }
  void path(std::vector<PathStep> steps, Paint paint, Attributes attributes = {}) {
    drawing.items.emplace_back(
        DrawnPath{std::move(steps), std::move(paint), std::move(attributes)});
  }
  /// Circle, square, diamond, as in the ladder.
  void shape(std::size_t pair, double x, double y, double size) {
    l::Canvas canvas{Ladder{}};
    canvas.shape(kPhases.at(pair), x, y, size, false);
    std::move(canvas.drawing.items.begin(), canvas.drawing.items.end(),
              std::back_inserter(drawing.items));
  }

  Drawing drawing;
};

double common_mean(const rotor::Sweep& sweep) {
  return (sweep.pairs[0].mean + sweep.pairs[1].mean + sweep.pairs[2].mean).value() / 3;
}

double deviation_pct(double henry, double mean) {
  return 100 * (henry / mean - 1);
}

Axis upright(const SweepReach& reach) {
  const double span = std::max(reach.high_pct - reach.low_pct, kLeastReach_pct);
  Axis axis;
  axis.low = reach.low_pct - kEdge * span;
  axis.high = reach.high_pct + kEdge * span;
  axis.at_low = kSweepBottom;
  axis.at_high = kSweepTop;
  axis.step = round_step(span, 4);
  return axis;
}

Axis turn_axis(const rotor::Sweep& sweep) {
  Axis axis;
  axis.low = std::min(sweep.readings.front().angle_deg, 0.0);
  axis.high = std::max(sweep.readings.back().angle_deg, axis.low + kDegreesOfTurn);
  axis.at_low = kSweepLeft;
  axis.at_high = kSweepRight;
  axis.step = axis.high - axis.low > kDegreesOfTurn * 1.5 ? 180 : 90;
  return axis;
}

void frame(Sheet& sheet, const Axis& across, const Axis& up) {
  for (const double tick : up.ticks()) {
    const double y = up.at(tick);
    sheet.line(kSweepLeft, y, kSweepRight, y,
               Paint{.stroke = Ink::muted,
                     .stroke_opacity = tick == 0 ? 0.9 : 0.3,
                     .stroke_width = tick == 0 ? 1 : 0.6});
    sheet.text(kSweepLeft - 6, y + 3.5, decimals(tick, up.places()), Anchor::end);
  }
  sheet.text(kSweepLeft - 6, kSweepTop - 8, "%", Anchor::end, l::kSmallLetter, true);
  for (const double tick : across.ticks()) {
    const double x = across.at(tick);
    sheet.line(x, kSweepBottom, x, kSweepBottom + 4, Paint{.stroke = Ink::muted});
    sheet.text(x, kSweepBottom + 16, decimals(tick, 0) + "°", Anchor::middle);
  }
}

void pair_curve(Sheet& sheet, const rotor::Sweep& sweep, std::size_t pair, const Axis& across,
                const Axis& up) {
  const double mean = common_mean(sweep);
  const Ink ink = l::Canvas::ink_of(pair);
  std::vector<PathStep> curve;
  for (const SweepReading& reading : sweep.readings) {
    const double y = up.at(deviation_pct(reading.inductance.at(pair).value(), mean));
    curve.push_back({curve.empty() ? 'M' : 'L', across.at(reading.angle_deg), y});
  }
  sheet.path(curve, Paint{.stroke = ink, .stroke_width = 1.2},
             {{"class", "sweep-pair"}, {"data-pair", std::to_string(pair + 1)}});
  // Every third point has its pair's shape, so that crowded curves stay legible.
  const std::size_t every = std::max<std::size_t>(1, sweep.readings.size() / 12);
  for (std::size_t i = pair * every / 3; i < curve.size(); i += every) {
    sheet.shape(pair, curve[i].a, curve[i].b, 2.6);
  }
  std::vector<PathStep> peaks;
  for (const rotor::Peak& peak : sweep.pairs.at(pair).peaks) {
    const double y = up.at(deviation_pct(peak.inductance.value(), mean));
    peaks.push_back({peaks.empty() ? 'M' : 'L', across.at(peak.angle_deg), y});
  }
  if (peaks.size() > 1) {
    sheet.path(peaks, Paint{.stroke = ink, .stroke_width = 2, .dash = {5, 3}},
               {{"class", "peaks"}, {"data-pair", std::to_string(pair + 1)}});
  }
}

double radians(double position_deg) {
  // 0 at the top, clockwise.
  return (position_deg - 90) * std::numbers::pi / 180;
}

}  // namespace

SweepReach reach_of(const rotor::Sweep& sweep) {
  SweepReach reach;
  const double mean = common_mean(sweep);
  for (const SweepReading& reading : sweep.readings) {
    for (const Henry inductance : reading.inductance) {
      const double here = deviation_pct(inductance.value(), mean);
      reach.low_pct = std::min(reach.low_pct, here);
      reach.high_pct = std::max(reach.high_pct, here);
    }
  }
  return reach;
}

SweepReach reach_of(std::span<const rotor::Sweep> sweeps, std::string_view motor) {
  SweepReach all;
  for (const rotor::Sweep& sweep : sweeps) {
    if (sweep.motor != motor) continue;
    const SweepReach its = reach_of(sweep);
    all.low_pct = std::min(all.low_pct, its.low_pct);
    all.high_pct = std::max(all.high_pct, its.high_pct);
  }
  return all;
}

Drawing sweep_drawing(const rotor::Sweep& sweep, const Survey& survey, const SweepReach& reach) {
  Sheet sheet(
      kSweepWidth, kSweepHeight,
      say("{}, sweep {}: inductance over the shaft's angle", sweep.motor, sweep_title(sweep)));
  std::string all = patterns_in_words(sweep) + ".";
  for (const std::string& line : sweep_numbers(sweep, survey)) all += " " + line + ".";
  sheet.drawing.description = std::move(all);
  const Axis up = upright(reach);
  const Axis across = turn_axis(sweep);
  frame(sheet, across, up);
  const double mean = common_mean(sweep);
  std::array<std::pair<double, std::size_t>, 3> ends;
  for (std::size_t pair = 0; pair < 3; ++pair) {
    pair_curve(sheet, sweep, pair, across, up);
    ends.at(pair) = {up.at(deviation_pct(sweep.readings.back().inductance.at(pair).value(), mean)),
                     pair};
  }
  std::sort(ends.begin(), ends.end());
  double free = kSweepTop - l::kLineSpacing;
  for (const auto& [y, pair] : ends) {
    const double at = std::max(y, free + l::kLineSpacing + 2);
    free = at;
    sheet.shape(pair, kSweepRight + 12, at, 3.6);
    sheet.text(kSweepRight + 20, at + 4, pair_name(survey, pair), Anchor::start, l::kLetter, true);
  }
  sheet.text(2, 16, tr("Inductance of the pairs about their common mean"), Anchor::start,
             l::kLetter, true);
  sheet.text(2, kSweepHeight - 18, tr("Shaft's angle, from its mark. Dashed: the peaks, joined."),
             Anchor::start, 10);
  sheet.text(2, kSweepHeight - 5, tr("Straight and level peaks: nothing turns with the rotor."),
             Anchor::start, 10);
  return std::move(sheet.drawing);
}

Drawing air_gap_drawing(const rotor::AirGap& gap) {
  Sheet sheet(kRingSide, kRingHeight,
              fmt::format("{}, {}", gap.motor, say("air gap, {}", gap_title(gap))));
  std::string all = gap_result_in_words(gap) + ".";
  for (const std::string& line : gap_numbers(gap)) all += " " + line + ".";
  sheet.drawing.description = std::move(all);
  // One rotor angle alone makes a ring: the one where the rotor is farthest off.
  std::vector<rotor::GapPlace> places;
  double smallest = 0;
  double largest = 0;
  for (const AirGapReading& reading : gap.readings) {
    if (gap.rotor_angles > 1 && std::fabs(reading.rotor_deg - gap.rotor_deg) > 1e-9) continue;
    places.push_back({reading.position_deg, reading.gap->value()});
    const double off = reading.gap->value() / gap.mean.value() - 1;
    smallest = std::min(smallest, off);
    largest = std::max(largest, off);
  }
  // The largest deviation takes two thirds of the drawn gap, whatever it is.
  const double reach = std::max({largest, -smallest, gap.limit ? gap.limit->value() / 100 : 0.0});
  const double stretch = reach > 0 ? kMeanGap * 0.6 / reach : 0;
  const Paint iron{.fill = Ink::text, .fill_opacity = 0.08, .stroke = Ink::text};
  sheet.circle(kRingCentre, kRingCentre, kBore + 22, iron);
  sheet.circle(kRingCentre, kRingCentre, kBore, Paint{.fill = Ink::white, .stroke = Ink::text});
  if (gap.limit) {
    const double allowed = stretch * gap.limit->value() / 100;
    for (const double sign : {-1.0, 1.0}) {
      sheet.circle(kRingCentre, kRingCentre, kBore - kMeanGap + sign * allowed,
                   Paint{.stroke = Ink::band_4, .stroke_width = 0.8, .dash = {3, 3}});
    }
  }
  double x = kRingCentre;
  double y = kRingCentre;
  if (gap.offset) {
    const double off = stretch * gap.offset->size.value() / 100;
    x += off * std::cos(radians(gap.offset->at_deg));
    y += off * std::sin(radians(gap.offset->at_deg));
  }
  sheet.circle(x, y, kBore - kMeanGap,
               Paint{.fill = Ink::phase_1, .fill_opacity = 0.18, .stroke = Ink::phase_1});
  sheet.circle(kRingCentre, kRingCentre, 1.6, Paint{.fill = Ink::text});
  sheet.line(kRingCentre, kRingCentre, x, y, Paint{.stroke = Ink::phase_1, .stroke_width = 2});
  sheet.circle(x, y, 2.6, Paint{.fill = Ink::phase_1});
  for (const rotor::GapPlace& place : places) {
    const double c = std::cos(radians(place.position_deg));
    const double s = std::sin(radians(place.position_deg));
    const double drawn = kMeanGap + stretch * (place.gap_mm / gap.mean.value() - 1);
    sheet.line(kRingCentre + kBore * c, kRingCentre + kBore * s, kRingCentre + (kBore - drawn) * c,
               kRingCentre + (kBore - drawn) * s, Paint{.stroke = Ink::phase_2, .stroke_width = 3});
    sheet.text(kRingCentre + (kBore + 11) * c, kRingCentre + (kBore + 11) * s + 3.5,
               decimals(place.gap_mm, 2), Anchor::middle, l::kTightLetter);
  }
  sheet.text(kRingCentre, 12, tr("top"), Anchor::middle);
  sheet.text(2, kRingHeight - 20,
             stretch > 0 ? written(sentence("Gaps in mm, differences enlarged {} times.",
                                            short_number(std::round(stretch / kMeanGap), 0)))
                         : tr("Gaps in mm."),
             Anchor::start, 10);
  sheet.text(2, kRingHeight - 7,
             gap.limit ? tr("Dashed: the limit for the rotor's surface.")
                       : tr("No limit: the poles are not known."),
             Anchor::start, 10);
  return std::move(sheet.drawing);
}

}  // namespace ohmglow::report
