#include "ohmglow/number_text.h"
#include "wording.h"

#include <fmt/format.h>

namespace ohmglow::diagnosis {
namespace {

// Free convection (Churchill–Chu) and radiation of lug-size bodies together give 12.8 to
// 15.8 W/(m² K), and less where the metal is bare; rounded outwards.
constexpr double kStillAirLow_w_m2k = 10;
constexpr double kStillAirHigh_w_m2k = 16;
constexpr std::string_view kStillAirSource =
    "10 to 16 W/(m² K): free convection (Churchill and Chu) with radiation on lug-size bodies; "
    "conduction along cable and stud is not in it";
constexpr std::string_view kSightSource =
    "an excess x in one leg makes 100·x / (3·leg + x) % in the pairs (circuit theory); I²R; limit "
    "1 %: common practice, no source";
constexpr double kSquareCentimetresPerSquareMetre = 1e4;

using Lines = std::vector<Evidence>;

void add(Lines& lines, std::string text, std::string_view source) {
  lines.push_back({std::move(text), std::string(source)});
}

struct Range {
  double low = 0;
  double high = 0;
};

// What the hot lug of a component gives to hold heat and ohms against each other.
struct HotLug {
  double rise_k = 0;
  std::string_view rise_name;
  Phase phase = Phase::one;
  std::optional<Ampere> current;
  std::optional<SquareCentimetre> area;
};

std::optional<HotLug> hot_lug(const Judging& judging, const ComponentCase& component) {
  const LugResult& lug = judging.lug(component.hottest);
  const auto& rise = lug.rise_over_like ? lug.rise_over_like : lug.rise_over_air;
  if (!component.hot || !rise || rise->value() <= 0) return std::nullopt;
  const Motor* motor = judging.motor_of(component);
  HotLug hot{.rise_k = rise->value(),
             .rise_name = lug.rise_over_like ? "over like" : "over air",
             .phase = lug.phase,
             .current = judging.load_of(component.hottest),
             .area = motor ? motor->lug_area_cm2 : std::nullopt};
  if (hot.current && hot.current->value() <= 0) hot.current.reset();
  return hot;
}

// Watts that a surface sheds in still air at the lug's rise.
Range shed_w(const HotLug& lug, SquareCentimetre area) {
  const double square_metres = area.value() / kSquareCentimetresPerSquareMetre;
  return {kStillAirLow_w_m2k * square_metres * lug.rise_k,
          kStillAirHigh_w_m2k * square_metres * lug.rise_k};
}

// A sound leg: the mean of the two other phases.
Ohm sound_leg(const electrical::Resolution& r, Phase hot) {
  const std::size_t i = index_of(hot);
  return (r.legs.at((i + 1) % 3) + r.legs.at((i + 2) % 3)) * 0.5;
}

void say_what_could_be_seen(Lines& lines, const Judging& judging, const HotLug& lug, Ohm leg) {
  // The excess at which 100·x / (3·leg + x) reaches the limit.
  const double limit = electrical::kNormalPairUnbalance.value() / 100;
  const Ohm visible{3 * leg.value() * limit / (1 - limit)};
  std::string text = fmt::format("with {} in a sound leg the pairs show an excess in {} from {} on",
                                 ohms(leg), phase_text(judging, lug.phase), ohms(visible));
  if (lug.current) {
    text += fmt::format(", which would be {} W at {} A",
                        watts_text(electrical::excess_heat(visible, *lug.current).value()),
                        amperes_text(*lug.current));
  }
  add(lines, std::move(text), kSightSource);
}

std::string_view conclusion(const Range& expected_pct) {
  const double limit = electrical::kNormalPairUnbalance.value();
  if (expected_pct.high <= limit) return "the readings cannot see this heat";
  if (expected_pct.low > limit) {
    return "the readings contradict the heat, which must come from elsewhere than this excess";
  }
  return "the readings may or may not see this heat";
}

void say_expected(Lines& lines, const Judging& judging, const HotLug& lug, Ohm leg) {
  if (!lug.area || !lug.current) {
    add(lines,
        fmt::format("whether the readings contradict the heat or cannot see it needs {}",
                    lug.area ? "the load current" : "lug_area_cm2"),
        kHouseRule);
    return;
  }
  const Range watts = shed_w(lug, *lug.area);
  const double square = lug.current->value() * lug.current->value();
  const Range excess{watts.low / square, watts.high / square};
  const Range pct{electrical::pair_unbalance_from(Ohm{excess.low}, leg).value(),
                  electrical::pair_unbalance_from(Ohm{excess.high}, leg).value()};
  add(lines,
      fmt::format(
          "{} K {} on {} cm² shed at least {} to {} W: an excess of {} to {} in {} at {} A, "
          "{} to {} % in the pairs against the limit of 1 %: {}",
          decimals(lug.rise_k, 1), lug.rise_name, decimals(lug.area->value(), 0),
          watts_text(watts.low), watts_text(watts.high), ohms(Ohm{excess.low}),
          ohms(Ohm{excess.high}), phase_text(judging, lug.phase), amperes_text(*lug.current),
          percent_text(Percent{pct.low}), percent_text(Percent{pct.high}), conclusion(pct)),
      kStillAirSource);
}

void say_implied(Lines& lines, const HotLug& lug, const electrical::Resolution& r) {
  if (!lug.current || r.excess.value() <= 0) return;
  const double watts = electrical::excess_heat(r.excess, *lug.current).value();
  const Range area{watts / (kStillAirHigh_w_m2k * lug.rise_k) * kSquareCentimetresPerSquareMetre,
                   watts / (kStillAirLow_w_m2k * lug.rise_k) * kSquareCentimetresPerSquareMetre};
  std::string text =
      fmt::format("{} W for {} K {} is {} K/W, the still-air cooling of {} to {} cm²",
                  watts_text(watts), decimals(lug.rise_k, 1), lug.rise_name,
                  decimals(lug.rise_k / watts, 2), decimals(area.low, 0), decimals(area.high, 0));
  if (!lug.area) {
    text += "; lug_area_cm2 is not given to compare with";
  } else if (area.high < lug.area->value()) {
    text += fmt::format(
        "; the lug's {} cm² alone shed more: the excess does not explain all of the "
        "heat",
        decimals(lug.area->value(), 0));
  } else {
    text += fmt::format("; beyond the lug's {} cm² the rest leaves along cable and stud",
                        decimals(lug.area->value(), 0));
  }
  add(lines, std::move(text), kStillAirSource);
}

}  // namespace

std::vector<Evidence> plausibility_evidence(const Judging& judging, std::size_t index) {
  Lines lines;
  const ComponentCase& component = judging.components[index];
  const Verdict verdict = judging.result.components[index].verdict;
  const ElectricalResult* reading = judging.reading_of(index);
  const auto lug = hot_lug(judging, component);
  if (!reading || !lug) return lines;
  if (verdict == Verdict::heat_only) {
    const Ohm leg = sound_leg(*reading->resolution, lug->phase);
    say_what_could_be_seen(lines, judging, *lug, leg);
    say_expected(lines, judging, *lug, leg);
  } else if (verdict == Verdict::confirmed) {
    say_implied(lines, *lug, *reading->resolution);
  }
  return lines;
}

}  // namespace ohmglow::diagnosis
