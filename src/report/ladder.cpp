#include "ladder.h"

#include "drawing_svg.h"
#include "offered/report/report.h"
#include "offered/vocabulary/number_text.h"
#include "ohmglow/reader.h"
#include "words.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using diagnosis::ComponentResult;
using diagnosis::ElectricalResult;
using diagnosis::ImageResult;
using diagnosis::LugResult;
using diagnosis::MotorResult;

std::vector<const ImageResult*> images_of(const Assessment& a, const ComponentResult& component) {
  std::vector<const ImageResult*> images;
  for (const std::size_t index : component.images) {
    if (index < a.images.size()) images.push_back(&a.images[index]);
  }
  return images;
}

/// The files of a component's images; of a file with several pages the page too.
std::vector<std::string> image_titles(const Assessment& a, const ComponentResult& component) {
  std::vector<std::string> titles;
  for (const std::size_t index : component.images) {
    if (index >= a.images.size()) continue;
    const std::string& file = a.images[index].file;
    const bool has_page =
        index < a.survey.images.size() && a.survey.images[index].parameters.page.has_value();
    titles.push_back(
        has_page ? say("{}, page {}", file, std::to_string(*a.survey.images[index].parameters.page))
                 : file);
  }
  return titles;
}

std::optional<double> lower_of(std::optional<double> a, std::optional<double> b) {
  if (!a || !b) return a ? a : b;
  return std::min(*a, *b);
}

LadderLug ladder_lug(const Assessment& a, const LugResult& lug) {
  LadderLug shown{lug.name, lug.phase, std::nullopt, 0, tr(a.band_id(lug.grade))};
  if (lug.temperature_c && std::isfinite(lug.temperature_c->value())) {
    shown.temperature_c = lug.temperature_c->value();
    const double u = lug.temperature_c->u();
    shown.u_c = std::isfinite(u) ? u : 0;
  }
  return shown;
}

/// What the conductor comes to at rated load, in the current that its phase carried.
std::optional<double> at_full_load(const ComponentResult& component, const LugResult& lug,
                                   const Motor& motor) {
  const auto& own = component.load_a.at(index_of(lug.phase));
  const auto& load = own ? own : component.mean_load_a;
  if (!load || !motor.rated_a || !lug.rise_over_air) return std::nullopt;
  const double rise_k = lug.rise_over_air->value();
  const auto projected = severity::project_rise(KelvinDifference{rise_k}, *load, *motor.rated_a);
  if (!projected) return std::nullopt;
  return lug.temperature_c->value() - rise_k + projected->rise.value();
}

void add_limit(std::vector<LadderLimit>& limits, LadderLimit limit) {
  const auto is_same = [&limit](const LadderLimit& other) {
    return other.title == limit.title && std::fabs(other.at_c - limit.at_c) < 0.05;
  };
  if (std::none_of(limits.begin(), limits.end(), is_same)) limits.push_back(std::move(limit));
}

void add_zone(std::vector<LadderZone>& zones, const severity::Policy& policy, std::size_t band,
              double from, std::string limit) {
  if (!zones.empty()) zones.back().to = from;
  zones.push_back({tr(policy.bands[band].title), std::move(limit), from, std::nullopt,
                   band_level(policy, band)});
}

std::string limit_in_words(bool inclusive, double value, std::string_view unit_and_foot) {
  return say(inclusive ? msg("from {} {}") : msg("more than {} {}"),
             decimals(value, std::floor(value) == value ? 0 : 1), unit_and_foot);
}

// The limit that gave a lug its band, where the zones do not show it. `zones_on_air`: they stand on
// the air themselves.
void add_deciding_limit(Ladder& ladder, LadderLug& shown, const Assessment& a,
                        const ComponentResult& component, const LugResult& lug, bool zones_on_air) {
  if (!shown.temperature_c || !lug.grade.band) return;
  const int level = band_level(a.policy, lug.grade.band);
  if (lug.grade.by == severity::DecidedBy::limit) {
    const Motor* motor = a.survey.find_motor(component.motor);
    if (motor == nullptr || !motor->conductor_limit_c) return;
    const double limit_c = motor->conductor_limit_c->value();
    add_limit(ladder.limits,
              {tr("conductor limit"), tr("the conductor's temperature limit"), limit_c, level});
    if (!(*shown.temperature_c > limit_c)) {
      shown.at_full_load_c = at_full_load(component, lug, *motor);
    }
  } else if (lug.grade.by == severity::DecidedBy::air && !zones_on_air && lug.rise_over_air) {
    const severity::Band& band = a.policy.bands[*lug.grade.band];
    if (!band.over_air_k) return;
    add_limit(
        ladder.limits,
        {say("{} over air", tr(band.title)),
         limit_in_words(band.over_air_k->inclusive, shown_difference(band.over_air_k->value),
                        say(msg("{} over the air"), difference_unit())),
         lug.temperature_c->value() - lug.rise_over_air->value() + band.over_air_k->value, level});
  } else {
    return;
  }
  shown.decided_by = words_of(lug.grade.by);
}

// The zones of the over-like limits stand on the reference lug; a lone lug is judged against the
// air, so its zones stand on the air's temperature.
void add_zones(Ladder& ladder, const severity::Policy& policy, std::optional<double> reference_c) {
  const bool like = reference_c.has_value();
  const std::optional<double> foot = like ? reference_c : ladder.air_c;
  if (!foot) return;
  for (std::size_t i = 0; i < policy.bands.size(); ++i) {
    const auto& limit = like ? policy.bands[i].over_like_k : policy.bands[i].over_air_k;
    if (!limit) continue;
    add_zone(ladder.zones, policy, i, *foot + limit->value,
             limit_in_words(limit->inclusive, shown_difference(limit->value),
                            say(like ? msg("{} over the reference lug") : msg("{} over the air"),
                                difference_unit())));
  }
}

// One leg raised by x over two sound legs r puts the pairs x / (3 r + x) out of balance (NEMA MG 1
// definition on 2r, 2r + x, 2r + x), so a limit p is reached at x = 3 r p / (1 - p).
void add_zones(LadderResistance& shown, const severity::Policy& policy, double sound_leg_ohm) {
  for (std::size_t i = 0; i < policy.bands.size(); ++i) {
    const auto& limit = policy.bands[i].pair_unbalance_pct;
    if (!limit || !(limit->value < 100) || !(sound_leg_ohm > 0)) continue;
    const double p = limit->value / 100;
    add_zone(shown.zones, policy, i, 3 * sound_leg_ohm * p / (1 - p),
             limit_in_words(limit->inclusive, limit->value,
                            tr("% unbalance of the pairs, one leg alone raised")));
  }
}

std::optional<LadderResistance> resistance_of(const ElectricalResult& e,
                                              const severity::Policy& policy) {
  if (!e.resolution) return std::nullopt;
  const auto& legs = e.resolution->legs;
  const double lowest = std::min({legs[0].value(), legs[1].value(), legs[2].value()});
  LadderResistance shown;
  for (std::size_t i = 0; i < 3; ++i) {
    shown.over_lowest_ohm.at(i) = legs.at(i).value() - lowest;
    if (!std::isfinite(shown.over_lowest_ohm.at(i))) return std::nullopt;
  }
  shown.pair_unbalance_pct = e.resolution->pair_unbalance.value();
  shown.place = e.place;
  add_zones(shown, policy, lowest);
  return shown;
}

// The latest reading of a test; of several on one day the one farthest out of balance.
const ElectricalResult* latest(const MotorResult& motor, Test test) {
  const auto key = [](const ElectricalResult& e) {
    const auto day = e.taken_at ? e.taken_at->day : std::chrono::sys_days::min();
    return std::pair(day, e.unbalance ? e.unbalance->value() : 0.0);
  };
  const ElectricalResult* best = nullptr;
  for (const ElectricalResult& e : motor.electrical) {
    if (e.test != test || (test == Test::winding_resistance && !e.resolution)) continue;
    if (best == nullptr || key(e) > key(*best)) best = &e;
  }
  return best;
}

std::string degrees(double value) {
  return temperature_text(value, 1);
}

std::string numbered(const std::string& name, std::size_t image) {
  return fmt::format("{} ({})", name, image + 1);
}

std::string lug_sentence(const Ladder& ladder, const LadderLug& lug) {
  const std::string& phase = ladder.phase_names[index_of(lug.phase)];
  const std::string name = lug.image ? numbered(lug.name, *lug.image) : lug.name;
  if (!lug.temperature_c) return say("phase {}, lug {}: not measured.", phase, name);
  std::string said =
      say("phase {}, lug {}: {} ± {} (2u), band {}.", phase, name, degrees(*lug.temperature_c),
          decimals(shown_difference(2 * lug.u_c), 1), lug.band);
  if (!lug.decided_by.empty()) said += " " + say("Band decided by {}.", lug.decided_by);
  if (lug.at_full_load_c) said += " " + say("At full load: {}.", degrees(*lug.at_full_load_c));
  return said;
}

void say_resistance(std::vector<std::string>& said, const Ladder& ladder) {
  const LadderResistance& r = *ladder.resistance;
  std::string text = tr("Resistance over the lowest leg");
  if (!r.place.empty()) text += ", " + say("measured at {}", r.place);
  for (std::size_t i = 0; i < 3; ++i) {
    text += i == 0 ? ": " : ", ";
    text += say("phase {} {}", ladder.phase_names.at(i), ohms(Ohm{r.over_lowest_ohm.at(i)}));
  }
  text += "; " + say("unbalance of the pairs {} %", decimals(r.pair_unbalance_pct, 2)) + ".";
  said.push_back(std::move(text));
  for (const LadderZone& zone : r.zones) {
    said.push_back(say("Band {}: {}, at {}.", zone.title, zone.limit, ohms(Ohm{zone.from})));
  }
}

}  // namespace

Ladder gather_ladder(const Assessment& a, const ComponentResult& component,
                     const MotorResult* motor) {
  Ladder ladder;
  ladder.subject = component.motor + ", " + component.component;
  ladder.phase_names = a.survey.phase_names;
  ladder.has_upper_half = true;
  std::optional<double> reference;
  const auto images = images_of(a, component);
  for (const ImageResult* image : images) {
    for (const LugResult& lug : image->lugs) reference = lower_of(reference, lug.reference_c);
    if (image->used && image->used->air_c && !ladder.air_c) {
      ladder.air_c = image->used->air_c->value();
    }
  }
  const auto has_lugs = [](const ImageResult* image) { return !image->lugs.empty(); };
  const bool is_several = std::count_if(images.begin(), images.end(), has_lugs) > 1;
  if (is_several) ladder.images = image_titles(a, component);
  for (std::size_t i = 0; i < images.size(); ++i) {
    for (const LugResult& lug : images[i]->lugs) {
      LadderLug& shown = ladder.lugs.emplace_back(ladder_lug(a, lug));
      if (is_several) shown.image = i;
      add_deciding_limit(ladder, shown, a, component, lug, !reference);
    }
  }
  add_zones(ladder, a.policy, reference);
  if (motor != nullptr && component.reading && *component.reading < motor->electrical.size()) {
    ladder.resistance = resistance_of(motor->electrical[*component.reading], a.policy);
  }
  for (std::size_t i = 0; i < 3; ++i) {
    if (component.load_a.at(i)) ladder.load_a.at(i) = component.load_a.at(i)->value();
  }
  return ladder;
}

Ladder gather_ladder(const Assessment& a, const MotorResult& motor) {
  Ladder ladder;
  ladder.subject = motor.motor;
  ladder.phase_names = a.survey.phase_names;
  if (const auto* reading = latest(motor, Test::winding_resistance)) {
    ladder.resistance = resistance_of(*reading, a.policy);
  }
  if (const auto* currents = latest(motor, Test::line_current)) {
    for (std::size_t i = 0; i < 3; ++i) ladder.load_a.at(i) = currents->values.at(i);
  }
  return ladder;
}

namespace {

void extend(LadderReach& reach, double low_c, double high_c) {
  reach.low_c = std::min(reach.low_c.value_or(low_c), low_c);
  reach.high_c = std::max(reach.high_c.value_or(high_c), high_c);
}

}  // namespace

LadderReach reach_of(const Ladder& ladder) {
  constexpr double kExpansion = 2;  // whiskers reach ± 2u
  LadderReach reach;
  for (const LadderLug& lug : ladder.lugs) {
    if (!lug.temperature_c) continue;
    extend(reach, *lug.temperature_c - kExpansion * lug.u_c,
           *lug.temperature_c + kExpansion * lug.u_c);
    if (lug.at_full_load_c) extend(reach, *lug.at_full_load_c, *lug.at_full_load_c);
  }
  for (const LadderLimit& limit : ladder.limits) extend(reach, limit.at_c, limit.at_c);
  if (ladder.air_c) extend(reach, *ladder.air_c, *ladder.air_c);
  // The most severe limit is always in sight, so that an even component shows its distance to it.
  if (!ladder.zones.empty()) extend(reach, ladder.zones.back().from, ladder.zones.back().from);
  if (!ladder.resistance) return reach;
  const auto& over = ladder.resistance->over_lowest_ohm;
  reach.ohm = *std::max_element(over.begin(), over.end());
  // Twice the first limit is always in sight, so that the scatter of a sound reading stays small.
  const auto& zones = ladder.resistance->zones;
  if (!zones.empty()) reach.ohm = std::max(reach.ohm, 2 * zones.front().from);
  return reach;
}

LadderReach joined(const LadderReach& a, const LadderReach& b) {
  LadderReach both = a;
  if (b.low_c && b.high_c) extend(both, *b.low_c, *b.high_c);
  both.ohm = std::max(a.ohm, b.ohm);
  return both;
}

std::string describe(const Ladder& ladder) {
  std::vector<std::string> said;
  for (const LadderLug& lug : ladder.lugs) said.push_back(lug_sentence(ladder, lug));
  if (ladder.has_upper_half && ladder.lugs.empty()) said.push_back(tr("No lug is marked."));
  if (ladder.air_c) said.push_back(say("Air: {}.", degrees(*ladder.air_c)));
  for (const LadderZone& zone : ladder.zones) {
    said.push_back(say("Band {}: {}, from {}.", zone.title, zone.limit, degrees(zone.from)));
  }
  for (const LadderLimit& limit : ladder.limits) {
    said.push_back(say("Limit that decided, {}: {}.", limit.limit, degrees(limit.at_c)));
  }
  for (std::size_t i = 0; i < ladder.images.size(); ++i) {
    said.push_back(fmt::format("({}): {}.", i + 1, ladder.images[i]));
  }
  if (ladder.resistance) {
    say_resistance(said, ladder);
  } else {
    said.push_back(tr("No resistance reading."));
  }
  for (std::size_t i = 0; i < 3; ++i) {
    if (!ladder.load_a.at(i)) continue;
    said.push_back(say("Line current of phase {}: {} A.", ladder.phase_names.at(i),
                       decimals(*ladder.load_a.at(i), 1)));
  }
  return fmt::format("{}", fmt::join(said, " "));
}

std::string ladder_svg(const Assessment& assessment, const ComponentResult& component) {
  return svg(ladder_drawing(assessment, component), "ladder");
}

std::string ladder_svg(const Assessment& assessment, const MotorResult& motor) {
  return svg(ladder_drawing(assessment, motor), "ladder");
}

Drawing ladder_drawing(const Assessment& assessment, const ComponentResult& component) {
  return lay_out(gather_ladder(assessment, component, assessment.find_motor(component.motor)));
}

Drawing ladder_drawing(const Assessment& assessment, const MotorResult& motor) {
  return lay_out(gather_ladder(assessment, motor));
}

namespace {

LadderPair on_one_scale(Ladder before, Ladder after) {
  before.also = reach_of(after);
  after.also = reach_of(before);
  return {lay_out(before), lay_out(after)};
}

}  // namespace

LadderPair ladder_pair(const Assessment& before, const ComponentResult& component_before,
                       const Assessment& after, const ComponentResult& component_after) {
  return on_one_scale(
      gather_ladder(before, component_before, before.find_motor(component_before.motor)),
      gather_ladder(after, component_after, after.find_motor(component_after.motor)));
}

LadderPair ladder_pair(const Assessment& before, const MotorResult& motor_before,
                       const Assessment& after, const MotorResult& motor_after) {
  return on_one_scale(gather_ladder(before, motor_before), gather_ladder(after, motor_after));
}

}  // namespace ohmglow::report
