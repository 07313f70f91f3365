#include "verifying.h"
#include "wording.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::diagnosis {
namespace {

// A load may differ by this share while one of the two is too low to be projected from.
constexpr double kSameLoad = 1.1;
// Standard deviation of an exponent that lies anywhere between the two ends.
const double kExponentU =
    (severity::kLoadExponentHigh - severity::kLoadExponentLow) / std::sqrt(12);

struct ComponentKey {
  std::string motor;
  std::string component;
  friend auto operator<=>(const ComponentKey&, const ComponentKey&) = default;
};

// Each component at its last visit.
std::map<ComponentKey, const ComponentResult*> last_visits(const Side& side) {
  std::map<ComponentKey, const ComponentResult*> visits;
  for (const ComponentResult& component : side.assessment.components) {
    const ComponentResult*& last = visits[{component.motor, folded(component.component)}];
    if (!last || component.visit >= last->visit) last = &component;
  }
  return visits;
}

std::vector<SeenLug> lugs_of(const Side& side, const ComponentResult& component) {
  std::vector<SeenLug> lugs;
  for (const std::size_t i : component.images) {
    const ImageResult& image = side.assessment.images.at(i);
    for (const LugResult& lug : image.lugs) lugs.push_back({&component, &image, &lug});
  }
  return lugs;
}

// By name, else the only lug of the phase.
std::optional<SeenLug> same_lug(const std::vector<SeenLug>& lugs, const LugResult& wanted) {
  const SeenLug* of_phase = nullptr;
  int of_phase_count = 0;
  for (const SeenLug& seen : lugs) {
    if (folded(seen.lug->name) == folded(wanted.name)) return seen;
    if (seen.lug->phase != wanted.phase) continue;
    of_phase = &seen;
    ++of_phase_count;
  }
  if (of_phase_count != 1) return std::nullopt;
  return *of_phase;
}

const radiometry::Estimate* rise_of(const LugResult& lug) {
  if (lug.rise_over_like) return &*lug.rise_over_like;
  return lug.rise_over_air ? &*lug.rise_over_air : nullptr;
}

std::optional<LugSide> side_of(const SeenLug& seen) {
  const auto* rise = rise_of(*seen.lug);
  if (!seen.lug->temperature_c || !rise) return std::nullopt;
  return LugSide{seen.image->file, seen.lug->temperature_c->value(), rise->value(), rise->u(),
                 current_in(seen.component->load_a, seen.lug->phase)};
}

bool is_fault(const severity::Policy& policy, double rise_k, bool over_air) {
  const auto limit =
      over_air ? severity::first_air_limit(policy) : severity::first_like_limit(policy);
  return limit && limit->reached_by(rise_k);
}

// Why two sights of one lug cannot be compared; empty where they can.
Sentence obstacle(const LugChange& change, const SeenLug& before, const SeenLug& after,
                  const Side& first, const Side& second, const VerifyOptions& options) {
  if (!change.before) return sentence("the lug could not be measured in the first survey");
  if (!change.after) return sentence("the lug could not be measured in the second survey");
  if (second.days.time_of(after.image->taken_at) < first.days.time_of(before.image->taken_at)) {
    return sentence(
        "the image of the second survey is older than that of the first: are the two swapped?");
  }
  if (before.lug->rise_over_like.has_value() != after.lug->rise_over_like.has_value()) {
    return sentence("the lug had like lugs beside it in one survey only");
  }
  const double was = before.lug->emissivity.value();
  const double is = after.lug->emissivity.value();
  if (std::fabs(was - is) > options.emissivity_change) {
    return sentence("the emissivity used changed from {} to {}: the surface is not the same",
                    number(was, 2), number(is, 2));
  }
  const auto& load_before = change.before->load;
  const auto& load_after = change.after->load;
  if (!load_before || !load_after) {
    return load_before ? sentence("the load of the second survey is not known")
                       : sentence("the load of the first survey is not known");
  }
  if (load_before->value() <= 0 || load_after->value() <= 0) {
    return sentence("the motor was not running in one of the surveys");
  }
  const double ratio = std::max(load_before->value() / load_after->value(),
                                load_after->value() / load_before->value());
  const Motor* motor = second.assessment.survey.find_motor(change.motor);
  const bool too_low =
      ratio > kSameLoad && (is_low_load(load_before, motor) || is_low_load(load_after, motor));
  if (ratio > options.load_ratio || too_low) {
    const Number was_a = in_amperes(*load_before);
    const Number is_a = in_amperes(*load_after);
    if (!too_low) return sentence("the load differs too much: {} before, {} after", was_a, is_a);
    return sentence("the load differs too much: {} before, {} after, under {} % of rated", was_a,
                    is_a, number(100 * severity::kLowLoad, 0));
  }
  return {};
}

void project(LugChange& change) {
  const double ratio = change.before->load->value() / change.after->load->value();
  const double factor = std::pow(ratio, severity::kLoadExponent);
  const double rise = change.after->rise_k * factor;
  change.projected_k = rise;
  change.projected_u_k =
      std::hypot(change.after->rise_u_k * factor, rise * std::log(ratio) * kExponentU);
  change.change_k = rise - change.before->rise_k;
  change.change_u_k = std::hypot(*change.projected_u_k, change.before->rise_u_k);
}

// What stands between an even lug and "repaired" on the electrical side; empty where nothing does.
Sentence unproven_by_readings(const SeenLug& before, const SeenLug& after, const Side& first,
                              const Side& second) {
  const MotorResult* motor = second.assessment.find_motor(after.component->motor);
  if (!motor || !after.component->reading) {
    return sentence("no winding resistance reading after the repair proves it");
  }
  const ElectricalResult& reading = motor->electrical.at(*after.component->reading);
  if (second.days.time_of(reading.taken_at) <= first.days.time_of(before.image->taken_at)) {
    return sentence("the winding resistance reading at {} is from before the repair",
                    reading_text(reading));
  }
  if (reading.abnormal) {
    return sentence("the pairs at {} are still {} % out of balance", reading_text(reading),
                    in_percent(*reading.unbalance));
  }
  return {};
}

void decide(LugChange& change, const SeenLug& before, const SeenLug& after, const Side& first,
            const Side& second) {
  const bool beyond = std::fabs(*change.change_k) > 2 * *change.change_u_k;
  Sentence numbers = sentence(
      "rise {0} ± {1} {6} before, {2} ± {3} {6} after at the same load, change {4} ± {5} {6}",
      bare(difference(change.before->rise_k, 1)), bare(difference(change.before->rise_u_k, 1)),
      bare(difference(*change.projected_k, 1)), bare(difference(*change.projected_u_k, 1)),
      bare(difference(*change.change_k, 1)), bare(difference(*change.change_u_k, 1)),
      kDifferenceUnit);
  if (!change.fault_before && !change.fault_after) {
    change.change = Change::even;
    change.reason =
        layout("{}: {}", std::move(numbers), sentence("under the first band both times"));
    return;
  }
  if (!beyond) {
    change.change = Change::unchanged;
    change.reason = layout("{}: {}", std::move(numbers), sentence("within twice its uncertainty"));
    return;
  }
  if (*change.change_k > 0) {
    change.change = Change::worse;
    change.reason = std::move(numbers);
    return;
  }
  change.change = Change::improved;
  if (change.fault_after) {
    change.reason = layout("{}: {}", std::move(numbers), sentence("still in a band"));
    return;
  }
  Sentence unproven = unproven_by_readings(before, after, first, second);
  if (unproven.empty()) {
    change.change = Change::repaired;
    change.reason = sentence("{}, and the pairs are in balance", std::move(numbers));
  } else {
    change.reason = clauses({std::move(numbers), std::move(unproven)});
  }
}

LugChange start(const SeenLug& seen) {
  LugChange change;
  change.motor = seen.component->motor;
  change.component = seen.component->component;
  change.lug = seen.lug->name;
  change.phase = seen.lug->phase;
  change.over_air = !seen.lug->rise_over_like;
  return change;
}

Sentence why_not_seen(const Side& after, const LugChange& change) {
  for (const ImageResult& image : after.assessment.images) {
    if (image.motor != change.motor || folded(image.component) != folded(change.component))
      continue;
    if (image.status == ImageStatus::measured)
      return sentence("no mark of this lug in the second survey");
    return sentence("{} of the second survey is {}", image.file, sentence(name_of(image.status)));
  }
  return sentence("the component was not imaged in the second survey");
}

LugChange compare(const SeenLug& before, const std::optional<SeenLug>& after, const Side& first,
                  const Side& second, const VerifyOptions& options) {
  LugChange change = start(before);
  const auto& policy = second.assessment.policy;
  change.before = side_of(before);
  if (change.before) {
    change.fault_before = is_fault(policy, change.before->rise_k, change.over_air);
  }
  if (!after) {
    change.reason = why_not_seen(second, change);
    return change;
  }
  change.after = side_of(*after);
  if (change.after) change.fault_after = is_fault(policy, change.after->rise_k, change.over_air);
  change.reason = obstacle(change, before, *after, first, second, options);
  if (!change.reason.empty()) return change;
  project(change);
  change.fault_after = is_fault(policy, *change.projected_k, change.over_air);
  decide(change, before, *after, first, second);
  return change;
}

}  // namespace

std::vector<LugChange> compare_lugs(const Side& before, const Side& after,
                                    const VerifyOptions& options) {
  const auto visits_before = last_visits(before);
  const auto visits_after = last_visits(after);
  std::vector<LugChange> changes;
  for (const ComponentResult& component : before.assessment.components) {
    const ComponentKey key{component.motor, folded(component.component)};
    if (visits_before.at(key) != &component) continue;
    const auto now = visits_after.find(key);
    const auto candidates =
        now == visits_after.end() ? std::vector<SeenLug>{} : lugs_of(after, *now->second);
    for (const SeenLug& lug : lugs_of(before, component)) {
      changes.push_back(compare(lug, same_lug(candidates, *lug.lug), before, after, options));
    }
  }
  for (const auto& [key, component] : visits_after) {
    const auto then = visits_before.find(key);
    const auto known =
        then == visits_before.end() ? std::vector<SeenLug>{} : lugs_of(before, *then->second);
    for (const SeenLug& lug : lugs_of(after, *component)) {
      if (same_lug(known, *lug.lug)) continue;
      LugChange change = start(lug);
      change.after = side_of(lug);
      if (change.after) {
        change.fault_after =
            is_fault(after.assessment.policy, change.after->rise_k, change.over_air);
      }
      change.reason = sentence("the lug was not measured in the first survey");
      changes.push_back(std::move(change));
    }
  }
  return changes;
}

}  // namespace ohmglow::diagnosis
