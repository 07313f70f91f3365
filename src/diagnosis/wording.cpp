#include "wording.h"

#include "ohmglow/number_text.h"

#include <cmath>
#include <fmt/format.h>

namespace ohmglow::diagnosis {
namespace {

// Nearer to a limit than this, one decimal would print the limit.
constexpr double kNearLimit = 0.05;

int places_beside(double value, double limit) {
  return std::fabs(value - limit) < kNearLimit ? 3 : 1;
}

int places_for_small(double value) {
  const double magnitude = std::fabs(value);
  if (magnitude >= 10) return 0;
  if (magnitude >= 0.995) return 1;
  if (magnitude >= 0.0995) return 2;
  return magnitude >= 0.00005 ? 4 : 1;
}

}  // namespace

std::string phase_text(const Judging& judging, Phase phase) {
  return say("phase {}", judging.result.survey.phase_names.at(index_of(phase)));
}

std::string lug_text(const Judging& judging, LugIndex at) {
  const LugResult& lug = judging.lug(at);
  return fmt::format("{} ({})", lug.name, phase_text(judging, lug.phase));
}

std::string reading_text(const ElectricalResult& reading) {
  const std::string place = reading.place.empty() ? tr("a place not named") : reading.place;
  if (!reading.taken_at) return say("{}, undated", place);
  return place + ", " + day_text(reading.taken_at->day);
}

std::string limit_text(const severity::Limit& limit, std::string_view unit) {
  const bool is_difference = unit == kOverLike.unit;
  return say(limit.inclusive ? msg("from {} {}") : msg("above {} {}"),
             short_number(is_difference ? shown_difference(limit.value) : limit.value),
             is_difference ? difference_unit() : unit);
}

std::string short_number(double value) {
  std::string text = decimals(value, 3);
  while (text.back() == '0') text.pop_back();
  if (text.back() == reader().decimal_mark) text.pop_back();
  return text;
}

std::string temperature_beside(double celsius, double limit) {
  return temperature_text(celsius, places_beside(celsius, limit));
}

std::string difference_beside(double kelvin, double limit) {
  return difference_text(kelvin, places_beside(kelvin, limit));
}

std::string rise_text(const radiometry::Estimate& rise, int places) {
  const double u = shown_difference(rise.u());
  return fmt::format("{} ± {} {}", decimals(shown_difference(rise.value()), places),
                     decimals(u, u < 0.0995 ? 2 : 1), difference_unit());
}

std::string percent_text(Percent value) {
  const double x = value.value();
  const int beside = places_beside(x, electrical::kNormalPairUnbalance.value());
  return decimals(x, std::max(beside, places_for_small(x)));
}

std::string watts_text(double value_w) {
  return decimals(value_w, places_for_small(value_w));
}

std::string amperes_text(Ampere value) {
  return decimals(value.value(), value.value() < 99.95 ? 1 : 0);
}

std::string probability_text(double value) {
  if (value > 0.999) return fmt::format("> {}", decimals(0.999, 3));
  if (value < 0.001) return fmt::format("< {}", decimals(0.001, 3));
  return decimals(value, value > 0.99 || value < 0.01 ? 3 : 2);
}

std::string named_phase_text(const Judging& judging, const electrical::Resolution& r) {
  std::string text;
  for (const Phase phase : kPhases) {
    if (!r.may_mean(phase)) continue;
    const std::string name = phase_text(judging, phase);
    text = text.empty() ? name : say("{} or {}", text, name);
  }
  return text;
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
  what.source = tr(band && !band->source.empty() ? band->source : policy.source);
  if (band) {
    what.text = limit_text(*(band->*column.limit), column.unit) + " → " + tr(band->id);
  } else if (first) {
    what.text = say("no band, the first begins {}", limit_text(*first, column.unit));
  } else {
    what.text = tr("this policy has no limit for it");
  }
  return what;
}

}  // namespace ohmglow::diagnosis
