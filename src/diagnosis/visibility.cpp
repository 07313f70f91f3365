#include "judging.h"
#include "wording.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::diagnosis {
namespace {

// A line under this share of the two others carries none: clamps pick up that much from them
// (house rule).
constexpr double kNoShare = 0.05;
// The two others run the motor when they carry this share of rated current, or this many ampere
// where the rating is not known (house rule).
constexpr double kRunningShare = 0.05;
constexpr double kRunning_a = 1;

constexpr double kCopperHeat_j_m3k = 3.45e6;  // at room temperature (Incropera, table A.1, memory)
constexpr double kLugTransfer_w_m2k = 10;     // convection and radiation together (house rule)
constexpr double kLugAreaUnknown_cm2 = 20;
constexpr double kSecondsPerMinute = 60;
// A policy with one band alone: a fault of so many first limits counts (house rule).
constexpr double kFirstLimits = 3;

// Minutes in which a lug covers 63 % of a change: the solid cylinder that has its surface,
// 9.4 D² of it, ρ c D / (4 h).
double time_constant_min(const Motor* motor) {
  const double area_cm2 =
      motor && motor->lug_area_cm2 ? motor->lug_area_cm2->value() : kLugAreaUnknown_cm2;
  const double diameter_m = std::sqrt(area_cm2 / 9.4) / 100;
  return kCopperHeat_j_m3k * diameter_m / (4 * kLugTransfer_w_m2k) / kSecondsPerMinute;
}

// The least time since the load came on among the component's images.
std::optional<double> running_min(const Judging& judging, const ComponentResult& component) {
  std::optional<double> least;
  for (const std::size_t image : component.images) {
    const auto& minutes = judging.result.survey.images[image].parameters.running_min;
    if (minutes && (!least || *minutes < *least)) least = minutes;
  }
  return least;
}

// The like limits of the first band, of the next one, and of the last.
struct Limits {
  double first;
  double next;
  double last;
};
std::optional<Limits> like_limits(const severity::Policy& policy) {
  std::vector<double> limits;
  for (const severity::Band& band : policy.bands) {
    if (band.over_like_k) limits.push_back(band.over_like_k->value);
  }
  if (limits.empty()) return std::nullopt;
  const double first = limits.front();
  return Limits{first, limits.size() > 1 ? limits[1] : first * kFirstLimits,
                limits.size() > 1 ? limits.back() : first * kFirstLimits};
}

// The rise from which on every lug of the component would have been called hot.
double hot_from(const Judging& judging, const ComponentCase& component) {
  double from = 0;
  for (const LugIndex at : component.lugs) {
    from = std::max(from, judging.lug(at).hot_from_k.value_or(0));
  }
  return from;
}

// Warmer than the air beyond doubt: then current flows, whether or not it was written down.
bool is_warm(const Judging& judging, const ComponentCase& component) {
  return std::all_of(component.lugs.begin(), component.lugs.end(), [&](LugIndex at) {
    const auto& rise = judging.lug(at).rise_over_air;
    return rise && rise->value() > kCoverage * rise->u();
  });
}

struct Shown {
  double by_load = 1;  // share of the rise at rated load that shows
  double by_time = 1;
  [[nodiscard]] double share() const { return by_load * by_time; }
};

Number percent(double share) {
  return number(100 * share, 0);
}

Sentence too_little_load(double load_a, double rated_a, const Limits& limits, double share) {
  return sentence(
      "load {} A, {} % of rated: a fault of {} over like at full load would show as only {}, below "
      "the first band",
      in_amperes(Ampere{load_a}), percent(load_a / rated_a), difference(limits.next, 1),
      difference(limits.next * share, 1));
}

Sentence too_short(double minutes, double constant, const Limits& limits, double share) {
  return sentence(
      "only {} minutes under this load, and the lug takes about {} to warm up: a fault of {} over "
      "like would show as only {}, below the first band",
      number(minutes, 0), number(constant, 0), difference(limits.next, 1),
      difference(limits.next * share, 1));
}

void fill_by_load(Judging& judging, std::size_t index, const Limits& limits, double load_a) {
  ComponentResult& result = judging.result.components[index];
  const double rated_a = judging.row->rated_a->value();
  Shown seen{.by_load = std::pow(std::min(1.0, load_a / rated_a), severity::kLoadExponent)};
  const auto minutes = running_min(judging, result);
  const double constant = time_constant_min(judging.row);
  if (minutes) seen.by_time = 1 - std::exp(-*minutes / constant);
  const double from = hot_from(judging, judging.components[index]);
  const double share = std::max(seen.share(), 1e-6);
  result.visible_at_rated_k = from / share;
  const auto current_for = [rated_a](double of_rated) {
    return Ampere{rated_a * std::pow(of_rated, 1 / severity::kLoadExponent)};
  };
  if (limits.next * seen.by_load < limits.first) {
    result.why_not_judged = too_little_load(load_a, rated_a, limits, seen.by_load);
    result.image_again_from = current_for(limits.first / limits.next);
  } else if (limits.next * share < limits.first) {
    result.why_not_judged = too_short(*minutes, constant, limits, share);
    result.image_again_from = Ampere{load_a};
  } else if (limits.last * share < from) {
    result.why_not_judged = sentence(
        "the temperatures are too uncertain: only a rise over like of {} or more would stand out, "
        "and a fault of {} at full load shows as {} here",
        difference(from, 1), difference(limits.last, 1), difference(limits.last * share, 1));
    if (from < limits.last) result.image_again_from = current_for(from / limits.last);
  }
}

}  // namespace

std::optional<Phase> open_phase_of(const Loads& loads, const Motor* motor) {
  if (!loads[0] || !loads[1] || !loads[2]) return std::nullopt;
  const std::array<double, 3> a{loads[0]->value(), loads[1]->value(), loads[2]->value()};
  const auto least = static_cast<std::size_t>(std::min_element(a.begin(), a.end()) - a.begin());
  const double one = a.at((least + 1) % 3);
  const double other = a.at((least + 2) % 3);
  const double running =
      motor && motor->rated_a ? kRunningShare * motor->rated_a->value() : kRunning_a;
  if (std::min(one, other) < running) return std::nullopt;
  if (a.at(least) > kNoShare * (one + other) / 2) return std::nullopt;
  return kPhases.at(least);
}

void fill_visibility(Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  ComponentResult& result = judging.result.components[index];
  const auto limits = like_limits(judging.result.policy);
  if (component.hot || !limits) return;
  const auto& load = result.mean_load_a;
  if (load && load->value() <= 0) {
    result.why_not_judged =
        sentence("motor not running: without load a bad joint does not heat up");
  } else if (load && judging.row && judging.row->rated_a && judging.row->rated_a->value() > 0) {
    fill_by_load(judging, index, *limits, load->value());
  } else if (!is_warm(judging, component)) {
    result.why_not_judged =
        load ? sentence("rated current not known, and the lugs are no warmer than the air")
             : sentence("load not recorded, and the lugs are no warmer than the air");
  }
  if (!result.why_not_judged.empty() && !result.image_again_from && judging.row &&
      judging.row->rated_a && component.lugs.size() > 1 && (!load || load->value() <= 0)) {
    result.image_again_from =
        Ampere{judging.row->rated_a->value() *
               std::pow(limits->first / limits->next, 1 / severity::kLoadExponent)};
  }
}

}  // namespace ohmglow::diagnosis
