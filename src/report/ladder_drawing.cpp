#include "axis.h"
#include "ladder.h"
#include "ohmglow/number_text.h"
#include "plain_text.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <iterator>
#include <optional>

namespace ohmglow::report {
namespace {

// One unit is about one CSS pixel where the drawing is 340 px wide; letters are sized to stay
// readable at 320.
constexpr double kWidth = 340;
constexpr double kLeft = 40;
constexpr double kRight = 272;
constexpr double kColumn = (kRight - kLeft) / 3;
constexpr double kHead = 30;
constexpr double kUpperHeight = 196;
constexpr double kLabelRoom = 32;  // above the highest whisker, for a name and a number
constexpr double kLowerHeight = 78;
constexpr double kLetter = 12;
constexpr double kSmallLetter = 10.5;
constexpr double kTightLetter = 9;   // where several lugs share a phase
constexpr double kCharacter = 0.56;  // mean width of a letter of a sans-serif face, in its size
constexpr double kLineSpacing = 12;
constexpr double kSideRoom = kWidth - kRight - 8;
constexpr double kExpansion = 2;  // whiskers reach ± 2u

constexpr std::string_view kInk = "var(--ladder-ink, currentColor)";
constexpr std::string_view kMuted = "var(--ladder-muted, currentColor)";
constexpr std::array<std::string_view, 3> kPhaseColours{
    "var(--phase-1, #2f7fb8)", "var(--phase-2, #c2571a)", "var(--phase-3, #1d8f6b)"};
constexpr std::array<std::string_view, 5> kZoneColours{
    "none", "var(--band-1, #d9b93a)", "var(--band-2, #dd8a3c)", "var(--band-3, #9a6fc4)",
    "var(--band-4, #cc4444)"};

struct Span {
  double from, to;
};

class Drawing {
 public:
  explicit Drawing(const Ladder& ladder)
      : ladder_(ladder), line_(ladder.has_upper_half ? kHead + kUpperHeight : kHead) {}

  std::string svg();

 private:
  struct SideLabel {
    double wanted;
    std::vector<std::string> lines;
  };

  template <class... Parts>
  void add(fmt::format_string<Parts...> format, Parts&&... parts) {
    fmt::format_to(std::back_inserter(out_), format, std::forward<Parts>(parts)...);
  }
  void text(double x, double y, std::string_view words, std::string_view anchor,
            double size = kSmallLetter, std::string_view more = "");
  void shape(Phase phase, double x, double y, double size, bool open);
  void columns();
  Axis temperature_axis() const;
  void upper_half();
  static std::optional<Span> visible(const Axis& axis, const LadderZone& zone, double unit);
  void zones(const Axis& axis, const std::vector<LadderZone>& all, double unit);
  void temperature_ticks(const Axis& axis);
  static std::vector<SideLabel> zone_labels(const Axis& axis, const std::vector<LadderZone>& all,
                                            double unit);
  void side_labels(std::vector<SideLabel> labels, double away);
  void lugs(const Axis& axis);
  void lug(const Axis& axis, const LadderLug& lug, double x, double room);
  void lower_half();
  void line();
  void bars(const Axis& axis, std::string_view unit, double per_ohm);
  void currents();
  void caption(double y);

  static double centre(std::size_t phase) {
    return kLeft + kColumn * (static_cast<double>(phase) + 0.5);
  }
  // What fits into `room` at a letter size.
  static std::string fitted(std::string_view words, double room, double size) {
    return shorten(printable(words), static_cast<int>(room / (size * kCharacter)));
  }

  const Ladder& ladder_;
  double line_;  // where the two halves meet
  std::string out_;
};

void Drawing::text(double x, double y, std::string_view words, std::string_view anchor, double size,
                   std::string_view more) {
  add(R"(<text x="{:.1f}" y="{:.1f}" text-anchor="{}" font-size="{}" fill="{}"{}>{}</text>)", x, y,
      anchor, size, kInk, more, escape(words));
}

// Circle, square, diamond: a phase is known by its shape where colours are not.
void Drawing::shape(Phase phase, double x, double y, double size, bool open) {
  const std::string_view colour = kPhaseColours.at(index_of(phase));
  const std::string paint =
      open ? fmt::format(
                 "fill=\"none\" stroke=\"{}\" stroke-width=\"1.6\" "
                 "stroke-dasharray=\"2 1.5\"",
                 colour)
           : fmt::format(R"(fill="{}" stroke="{}" stroke-width="0.8")", colour, kInk);
  switch (phase) {
    case Phase::one:
      add(R"(<circle cx="{:.2f}" cy="{:.2f}" r="{:.1f}" {}/>)", x, y, size, paint);
      break;
    case Phase::two: {
      const double half = size * 0.9;
      add(R"(<rect x="{:.2f}" y="{:.2f}" width="{:.1f}" height="{:.1f}" {}/>)", x - half, y - half,
          2 * half, 2 * half, paint);
      break;
    }
    case Phase::three: {
      const double reach = size * 1.25;
      add(R"(<path d="M{:.2f} {:.2f}l{:.2f} {:.2f}l{:.2f} {:.2f}l{:.2f} {:.2f}z" {}/>)", x,
          y - reach, reach, reach, -reach, reach, -reach, -reach, paint);
      break;
    }
  }
}

void Drawing::columns() {
  const double bottom = line_ + kLowerHeight + 2;
  for (std::size_t i = 0; i < 3; ++i) {
    const double x = centre(i);
    add(R"(<rect x="{:.1f}" y="{}" width="{:.1f}" height="{:.1f}" fill="{}" fill-opacity="0.045"/>)",
        x - kColumn / 2 + 2, kHead, kColumn - 4, bottom - kHead, kInk);
    const std::string title = fitted("phase " + ladder_.phase_names.at(i), kColumn - 20, kLetter);
    const double half = display_width(title) * kLetter * kCharacter / 2;
    shape(kPhases.at(i), x - half - 5, 14, 4.5, false);
    text(x + 6, 18, title, "middle", kLetter, R"( font-weight="600")");
  }
}

Axis Drawing::temperature_axis() const {
  double low = 1e9;
  double high = -1e9;
  const auto reach = [&](double from, double to) {
    low = std::min(low, from);
    high = std::max(high, to);
  };
  for (const LadderLug& lug : ladder_.lugs) {
    if (!lug.temperature_c) continue;
    reach(*lug.temperature_c - kExpansion * lug.u_c, *lug.temperature_c + kExpansion * lug.u_c);
  }
  if (ladder_.air_c) reach(*ladder_.air_c, *ladder_.air_c);
  // The most severe limit is always in sight, so that an even component shows its distance to it.
  if (!ladder_.zones.empty()) reach(ladder_.zones.back().from, ladder_.zones.back().from);
  if (low > high) reach(0, 1);
  Axis axis;
  axis.step = round_step(std::max(high - low, 1.0), 6);
  axis.low = std::floor(low / axis.step) * axis.step;
  const double used = kUpperHeight - kLabelRoom;
  axis.high = axis.low + std::max(high - axis.low, axis.step) * kUpperHeight / used;
  axis.at_low = line_;
  axis.at_high = line_ - kUpperHeight;
  return axis;
}

std::optional<Span> Drawing::visible(const Axis& axis, const LadderZone& zone, double unit) {
  const double low = std::max(zone.from * unit, axis.low);
  const double high = std::min(zone.to ? *zone.to * unit : axis.high, axis.high);
  if (low >= high) return std::nullopt;
  return Span{axis.at(low), axis.at(high)};
}

void Drawing::zones(const Axis& axis, const std::vector<LadderZone>& all, double unit) {
  for (const LadderZone& zone : all) {
    const auto span = visible(axis, zone, unit);
    if (!span) continue;
    const std::string_view colour = kZoneColours.at(static_cast<std::size_t>(zone.level));
    add(R"(<g class="zone"><title>{}: {}</title>)", escape(zone.title), escape(zone.limit));
    add(R"(<rect x="{}" y="{:.2f}" width="{}" height="{:.2f}" fill="{}" fill-opacity="0.2"/>)",
        kLeft, std::min(span->from, span->to), kRight - kLeft, std::abs(span->to - span->from),
        colour);
    add(R"(<path d="M{} {:.2f}H{}" stroke="{}" stroke-width="0.8" fill="none"/></g>)", kLeft,
        span->from, kRight, colour);
  }
}

void Drawing::temperature_ticks(const Axis& axis) {
  for (const double tick : axis.ticks()) {
    const double y = axis.at(tick);
    if (y < kHead + kSmallLetter) continue;
    add(R"(<path d="M{} {:.2f}h4" stroke="{}" stroke-width="1" fill="none"/>)", kLeft - 4, y,
        kMuted);
    text(kLeft - 6, y + 3.5, decimals(tick, axis.places()), "end", kSmallLetter,
         fmt::format(R"( class="tick" data-y="{:.3f}")", y));
  }
  text(kLeft - 6, kHead + 6, "°C", "end", kSmallLetter, R"( font-weight="600")");
}

std::vector<Drawing::SideLabel> Drawing::zone_labels(const Axis& axis,
                                                     const std::vector<LadderZone>& all,
                                                     double unit) {
  std::vector<SideLabel> labels;
  for (const LadderZone& zone : all) {
    const auto span = visible(axis, zone, unit);
    if (!span) continue;
    auto lines =
        wrap(printable(zone.title), static_cast<int>(kSideRoom / (kSmallLetter * kCharacter)));
    if (lines.size() > 2) lines = {lines[0], lines[1] + "…"};
    labels.push_back({(span->from + span->to) / 2, std::move(lines)});
  }
  return labels;
}

// Labels beside the plot, pushed away from the line where they would meet, each with a leader to
// its place. `away` is -1 above the line and 1 below it.
void Drawing::side_labels(std::vector<SideLabel> labels, double away) {
  std::stable_sort(labels.begin(), labels.end(), [away](const SideLabel& a, const SideLabel& b) {
    return away * a.wanted < away * b.wanted;
  });
  double free = line_ - away * 4;
  for (const SideLabel& label : labels) {
    const double half = kLineSpacing * static_cast<double>(label.lines.size()) / 2;
    const double middle = away * std::max(away * label.wanted, away * free + half);
    free = middle + away * half;
    add(R"(<path d="M{} {:.2f}l6 {:.2f}" stroke="{}" stroke-width="0.8" fill="none"/>)", kRight,
        label.wanted, middle - label.wanted, kMuted);
    double y = middle - half + 9;
    for (const std::string& line : label.lines) {
      text(kRight + 8, y, fitted(line, kSideRoom, kSmallLetter), "start");
      y += kLineSpacing;
    }
  }
}

void Drawing::lug(const Axis& axis, const LadderLug& lug, double x, double room) {
  const std::string_view colour = kPhaseColours.at(index_of(lug.phase));
  const std::string name = fitted(lug.name, room, kLetter);
  if (!lug.temperature_c) {
    add(R"(<g class="lug" data-phase="{}"><title>{}: not measured</title>)", number_of(lug.phase),
        escape(lug.name));
    shape(lug.phase, x, line_ - 9, 5, true);
    const bool one_line = room >= 12 * kSmallLetter * kCharacter;
    double y = line_ - 19;
    if (one_line) {
      text(x, y, "not measured", "middle");
    } else {
      text(x, y, "measured", "middle", kTightLetter);
      y -= kTightLetter + 1;
      text(x, y, "not", "middle", kTightLetter);
    }
    text(x, y - kLineSpacing, name, "middle", kLetter, R"( font-weight="600")");
    out_ += "</g>";
    return;
  }
  const double t = *lug.temperature_c;
  const double reach = kExpansion * lug.u_c;
  const double y = axis.at(t);
  const double top = axis.at(t + reach);
  const double bottom = std::min(axis.at(t - reach), line_);
  add(R"(<g class="lug" data-phase="{}" data-celsius="{:.3f}" data-y="{:.3f}" data-whisker="{:.3f} {:.3f}">)",
      number_of(lug.phase), t, y, top, bottom);
  add("<title>{}: {} °C ± {} (2u)</title>", escape(lug.name), decimals(t, 1), decimals(reach, 1));
  const double width = std::min(20.0, room * 0.5);
  add(R"(<rect x="{:.2f}" y="{:.2f}" width="{:.2f}" height="{:.2f}" fill="{}" fill-opacity="0.5"/>)",
      x - width / 2, y, width, std::max(0.0, line_ - y), colour);
  add(R"(<path d="M{0:.2f} {1:.2f}V{2:.2f}M{3:.2f} {1:.2f}h10M{3:.2f} {2:.2f}h10" stroke="{4}" stroke-width="1.2" fill="none"/>)",
      x, top, bottom, x - 5, kInk);
  shape(lug.phase, x, y, 5, false);
  const double label = std::min(top, y - 6) - 4;
  const bool with_unit = room >= 8 * kLetter * kCharacter;
  const double size = room >= 5 * kLetter * kCharacter ? kLetter : kTightLetter;
  text(x, label, decimals(t, size < kLetter ? 0 : 1) + (with_unit ? " °C" : ""), "middle", size);
  text(x, label - kLineSpacing, fitted(lug.name, room, size), "middle", size,
       R"( font-weight="600")");
  out_ += "</g>";
}

void Drawing::lugs(const Axis& axis) {
  for (const Phase phase : kPhases) {
    std::vector<const LadderLug*> own;
    for (const LadderLug& lug : ladder_.lugs) {
      if (lug.phase == phase) own.push_back(&lug);
    }
    const double x = centre(index_of(phase));
    if (own.empty()) {
      text(x, line_ - 8, "no lug", "middle", kSmallLetter, R"( font-style="italic")");
      continue;
    }
    const double room = (kColumn - 4) / static_cast<double>(own.size());
    for (std::size_t i = 0; i < own.size(); ++i) {
      const double shift = static_cast<double>(i) - static_cast<double>(own.size() - 1) / 2;
      lug(axis, *own[i], x + shift * room, room);
    }
  }
}

void Drawing::upper_half() {
  const Axis axis = temperature_axis();
  zones(axis, ladder_.zones, 1);
  temperature_ticks(axis);
  auto labels = zone_labels(axis, ladder_.zones, 1);
  if (ladder_.air_c) {
    const double y = axis.at(*ladder_.air_c);
    add(R"(<path class="air" d="M{} {:.2f}H{}" stroke="{}" stroke-width="1" stroke-dasharray="2 3" fill="none"/>)",
        kLeft, y, kRight, kInk);
    labels.push_back({y, {"air " + decimals(*ladder_.air_c, 1)}});
  }
  side_labels(std::move(labels), -1);
  lugs(axis);
}

struct OhmUnit {
  double from_ohm;
  double per_ohm;
  std::string_view name;
};
constexpr std::array<OhmUnit, 5> kOhmUnits{
    {{1e6, 1e-6, "MΩ"}, {1e3, 1e-3, "kΩ"}, {1, 1, "Ω"}, {1e-4, 1e3, "mΩ"}, {0, 1e6, "µΩ"}}};

void Drawing::bars(const Axis& axis, std::string_view unit, double per_ohm) {
  const LadderResistance& r = *ladder_.resistance;
  for (const double tick : axis.ticks()) {
    const double y = axis.at(tick);
    if (tick == 0 || y > line_ + kLowerHeight - kLineSpacing) continue;
    add(R"(<path d="M{} {:.2f}h4" stroke="{}" stroke-width="1" fill="none"/>)", kLeft - 4, y,
        kMuted);
    text(kLeft - 6, y + 3.5, decimals(tick, axis.places()), "end", kSmallLetter,
         fmt::format(R"( class="ohm-tick" data-y="{:.3f}")", y));
  }
  text(kLeft - 6, line_ + kLowerHeight + 3, unit, "end", kSmallLetter, R"( font-weight="600")");
  for (std::size_t i = 0; i < 3; ++i) {
    const double ohm = r.over_lowest_ohm.at(i);
    const double end = axis.at(ohm * per_ohm);
    add(R"(<g class="excess" data-phase="{}" data-ohm="{:.9g}" data-y="{:.3f}">)", i + 1, ohm, end);
    add(R"(<rect x="{:.2f}" y="{:.2f}" width="20" height="{:.2f}" fill="{}" fill-opacity="0.5" stroke="{}" stroke-width="0.8"/>)",
        centre(i) - 10, line_, end - line_, kPhaseColours.at(i), kInk);
    text(centre(i), end + kLineSpacing, ohm > 0 ? fmt::format("+{}", ohms(Ohm{ohm})) : "lowest",
         "middle", kLetter);
    out_ += "</g>";
  }
}

void Drawing::lower_half() {
  if (!ladder_.resistance) {
    text((kLeft + kRight) / 2, line_ + kLowerHeight / 2, "no resistance reading", "middle", kLetter,
         R"( font-style="italic")");
    line();
    return;
  }
  const auto& over = ladder_.resistance->over_lowest_ohm;
  const std::vector<LadderZone>& bands = ladder_.resistance->zones;
  const double most = *std::max_element(over.begin(), over.end());
  // Twice the first limit is always in sight, so that the scatter of a sound reading stays small.
  const double reach = bands.empty() ? most : std::max(most, 2 * bands.front().from);
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
  axis.at_low = line_;
  axis.at_high = line_ + kLowerHeight;
  zones(axis, bands, unit->per_ohm);
  side_labels(zone_labels(axis, bands, unit->per_ohm), 1);
  bars(axis, unit->name, unit->per_ohm);
  line();
}

// Where the two halves meet.
void Drawing::line() {
  add(R"(<path d="M{} {:.1f}H{}" stroke="{}" stroke-width="1.8" fill="none"/>)", kLeft - 4, line_,
      kRight, kInk);
}

// A row of numbers, each over a thin tick as long as its share of the largest current.
void Drawing::currents() {
  double most = 0;
  for (const auto& a : ladder_.load_a) most = std::max(most, a.value_or(0));
  const double y = line_ + kLowerHeight + 18;
  text(kLeft - 6, y, "A", "end", kSmallLetter, R"( font-weight="600")");
  text(kRight + 8, y, "in the line", "start");
  for (std::size_t i = 0; i < 3; ++i) {
    const std::optional<double> a = ladder_.load_a.at(i);
    text(centre(i), y, a ? decimals(*a, 1) : "not known", "middle", a ? kLetter : kSmallLetter);
    if (!a || !(*a > 0)) continue;
    const double length = (kColumn - 16) * *a / most;
    add(R"(<path d="M{:.2f} {:.1f}h{:.2f}" stroke="{}" stroke-width="2" fill="none"/>)",
        centre(i) - length / 2, y + 5, length, kMuted);
  }
}

void Drawing::caption(double y) {
  if (ladder_.has_upper_half) {
    text(2, y, "Above the line: lugs, whiskers ± 2u, on the policy's bands.", "start", 10);
    y += kLineSpacing;
  }
  text(2, y, "Below the line: resistance over the lowest leg.", "start", 10);
}

std::string Drawing::svg() {
  const double caption_at = line_ + kLowerHeight + 40;
  const double height = caption_at + (ladder_.has_upper_half ? kLineSpacing : 0) + 5;
  const std::string title = escape("Phase ladder: " + ladder_.subject);
  add(R"(<svg xmlns="http://www.w3.org/2000/svg" class="ladder" role="img" aria-label="{}" viewBox="0 0 {} {}" width="100%" font-family="inherit">)",
      title, kWidth, height);
  add("<title>{}</title><desc>{}</desc>", title, escape(describe(ladder_)));
  columns();
  if (ladder_.has_upper_half) upper_half();
  lower_half();
  currents();
  caption(caption_at);
  out_ += "</svg>";
  return std::move(out_);
}

}  // namespace

std::string draw(const Ladder& ladder) {
  return Drawing(ladder).svg();
}

}  // namespace ohmglow::report
