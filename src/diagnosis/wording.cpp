#include "wording.h"

#include "offered/vocabulary/number_text.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::diagnosis {
namespace {

// Nearer to a limit than this, one decimal would print the limit.
constexpr double kNearLimit = 0.05;
// Decimals of a limit, as policies write them.
constexpr int kMostOfLimit = 3;

int places_beside(double value, double limit) {
  return std::fabs(value - limit) < kNearLimit ? 3 : 1;
}

// About two significant digits.
int places_for_small(double value) {
  const double magnitude = std::fabs(value);
  if (magnitude >= 9.95) return 0;
  if (magnitude >= 0.995) return 1;
  return magnitude >= 0.0995 || magnitude < 0.0005 ? 2 : 3;
}

}  // namespace

Sentence phase_text(const Judging& judging, Phase phase) {
  return sentence("phase {}", judging.result.survey.phase_names.at(index_of(phase)));
}

Sentence lug_text(const Judging& judging, LugIndex at) {
  const LugResult& lug = judging.lug(at);
  return layout("{} ({})", lug.name, phase_text(judging, lug.phase));
}

Filling place_text(const std::string& place) {
  return place.empty() ? Filling(sentence("an unnamed place")) : Filling(place);
}

Sentence reading_text(const ElectricalResult& reading) {
  Filling place = place_text(reading.place);
  if (!reading.taken_at) return sentence("{}, undated", std::move(place));
  return layout("{}, {}", std::move(place), day_text(reading.taken_at->day));
}

Sentence limit_text(const severity::Limit& limit, std::string_view unit) {
  const std::string_view message = limit.inclusive ? msg("from {} {}") : msg("above {} {}");
  if (unit == kOverLike.unit) {
    return sentence(message, trimmed(bare(difference(limit.value, kMostOfLimit))), kDifferenceUnit);
  }
  return sentence(message, short_number(limit.value, kMostOfLimit), std::string(unit));
}

Number temperature_beside(double celsius, double limit) {
  return temperature(celsius, places_beside(celsius, limit));
}

Number difference_beside(double kelvin, double limit) {
  return difference(kelvin, places_beside(kelvin, limit));
}

Sentence rise_text(const radiometry::Estimate& rise, int places) {
  if (!places_of_u(rise.u())) return layout("{}", difference(rise.value(), places));
  if (places == 1) return layout("{}", plus_minus(difference(rise.value(), 1), rise.u()));
  return layout("{} ± {} {}", bare(difference(rise.value(), places)),
                bare(difference(rise.u(), places)), kDifferenceUnit);
}

Number in_percent(Percent value) {
  const double x = value.value();
  const int beside = places_beside(x, electrical::kNormalPairUnbalance.value());
  const double magnitude = std::fabs(x);
  const bool is_small = magnitude >= 0.005 && magnitude < 0.995;
  return number(x, std::max(beside, is_small ? 2 : 1));
}

Sentence in_percent(Percent value, Percent u) {
  return layout("{} %", plus_minus(in_percent(value), u.value()));
}

Number in_watts(double value_w) {
  return number(value_w, places_for_small(value_w));
}

Number in_amperes(Ampere value) {
  return number(value.value(), value.value() < 99.95 ? 1 : 0);
}

Sentence watts_text(Watt value, Watt u) {
  return layout("{} W", plus_minus(in_watts(value.value()), u.value()));
}

Sentence excess_text(Ohm value, Ohm u) {
  return layout("{}", plus_minus(resistance(value), u.value()));
}

Sentence probability_text(double value) {
  return layout("{}", percent_of(value));
}

Sentence named_phase_text(const Judging& judging, const electrical::Resolution& r) {
  Sentence text;
  for (const Phase phase : kPhases) {
    if (!r.may_mean(phase)) continue;
    Sentence name = phase_text(judging, phase);
    text = text.empty() ? std::move(name) : sentence("{} or {}", std::move(text), std::move(name));
  }
  return text;
}

Sentence larger_part_text(const SegmentResult& stretch) {
  Sentence excess = excess_text(stretch.excess, stretch.excess_u);
  Filling from = place_text(stretch.from);
  if (stretch.to.empty()) {
    return sentence(
        "But the larger part of the extra resistance, {}, is beyond {}: look there too.",
        std::move(excess), std::move(from));
  }
  return sentence(
      "But the larger part of the extra resistance, {}, is between {} and {}: look there too.",
      std::move(excess), std::move(from), stretch.to);
}

List listed(const std::vector<std::string>& names) {
  return {std::vector<Filling>(names.begin(), names.end())};
}

Reached reached(const severity::Policy& policy, const Column& column, double value) {
  const severity::Band* band = nullptr;
  const severity::Limit* first = nullptr;
  Reached what;
  for (const severity::Band& candidate : policy.bands) {
    const auto& limit = candidate.*column.limit;
    if (!limit) continue;
    if (!first) first = &*limit;
    if (limit->reached_by(value)) band = &candidate;
    what.places = std::max(what.places, places_beside(value, limit->value));
  }
  what.source = sentence(band && !band->source.empty() ? band->source : policy.source);
  if (band) {
    what.text =
        layout("{} → {}", limit_text(*(band->*column.limit), column.unit), sentence(band->id));
  } else if (first) {
    what.text = sentence("below the first band, which begins {}", limit_text(*first, column.unit));
  } else {
    what.text = sentence("this policy has no limit for it");
  }
  return what;
}

}  // namespace ohmglow::diagnosis
