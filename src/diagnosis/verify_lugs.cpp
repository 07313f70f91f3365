#include "offered/vocabulary/near_names.h"
#include "verifying.h"
#include "wording.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::diagnosis {
namespace {

// A load may differ by this share without being projected from a load that is too low for it.
constexpr double kSameLoad = 1.1;
// Two clamp readings of one current agree within this share.
constexpr double kEqualLoad = 1.02;
// From a load too low to be projected from, a rise is known to be no less at a larger one.
constexpr double kAtLeastAsSeen = 0;

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

// The coolest of the lugs beside one on its image.
std::optional<SeenLug> coolest_beside(const std::vector<SeenLug>& lugs, const SeenLug& lug) {
  std::optional<SeenLug> coolest;
  for (const SeenLug& other : lugs) {
    if (other.image != lug.image || other.lug == lug.lug || !other.lug->temperature_c) continue;
    const double t = other.lug->temperature_c->value();
    if (!coolest || t < coolest->lug->temperature_c->value()) coolest = other;
  }
  return coolest;
}

radiometry::Estimate as_sound(const LugResult& lug, std::uint32_t scope) {
  using radiometry::Estimate;
  const Estimate scatter{
      0, {{{radiometry::InputKind::sound_scatter, scope}, lug.sound_scatter.value()}}};
  return Estimate::combine(1, *lug.temperature_c, 1, scatter);
}

// A lug that all others are counted from would be 0 ± 0 over itself: it counts from the coolest of
// the others.
std::optional<radiometry::Estimate> rise_over_like(const SeenLug& seen,
                                                   const std::vector<SeenLug>& lugs) {
  const auto& rise = seen.lug->rise_over_like;
  if (!rise || rise->value() != 0 || rise->u() != 0) return rise;
  const auto other = coolest_beside(lugs, seen);
  if (!other || !seen.lug->temperature_c) return rise;
  return radiometry::Estimate::combine(1, as_sound(*seen.lug, 0), -1, as_sound(*other->lug, 1));
}

std::optional<LugSide> side_of(const SeenLug& seen,
                               const std::optional<radiometry::Estimate>& rise) {
  if (!seen.lug->temperature_c || !rise) return std::nullopt;
  return LugSide{seen.image->file, seen.lug->temperature_c->value(), rise->value(), rise->u(),
                 current_in(seen.component->load_a, seen.lug->phase)};
}

std::optional<LugSide> side_of(const SeenLug& seen, const std::vector<SeenLug>& lugs) {
  const auto over_like = rise_over_like(seen, lugs);
  return side_of(seen, over_like ? over_like : seen.lug->rise_over_air);
}

bool is_fault(const severity::Policy& policy, double rise_k, bool over_air) {
  const auto limit =
      over_air ? severity::first_air_limit(policy) : severity::first_like_limit(policy);
  return limit && limit->reached_by(rise_k);
}

// Why two sights of one lug cannot be compared at any load; empty where they can.
Sentence obstacle(const LugChange& change, const SeenLug& before, const SeenLug& after,
                  const Side& first, const Side& second, const VerifyOptions& options) {
  if (!change.before) return sentence("the lug could not be measured in the first survey");
  if (!change.after) return sentence("the lug could not be measured in the second survey");
  if (second.days.time_of(after.image->taken_at) < first.days.time_of(before.image->taken_at)) {
    return sentence(
        "the image of the second survey is older than that of the first: are the two swapped?");
  }
  const Motor* motor = second.assessment.survey.find_motor(change.motor);
  if (motor && motor->repaired_on &&
      second.days.day_of(after.image->taken_at) < motor->repaired_on->day) {
    return sentence("the image is from before the repair on {}", day_text(motor->repaired_on->day));
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
  return {};
}

double times_of(const LugSide& higher, const LugSide& lower) {
  return higher.load->value() / lower.load->value();
}

RiseThere as_seen(const LugSide& side) {
  return {side.rise_k, side.rise_u_k, side.rise_k, side.rise_k};
}

RiseThere projected(const LugSide& side, double ratio, double low_exponent) {
  const double factor = std::pow(ratio, severity::kLoadExponent);
  const double one = side.rise_k * std::pow(ratio, low_exponent);
  const double other = side.rise_k * std::pow(ratio, severity::kLoadExponentHigh);
  return {side.rise_k * factor, side.rise_u_k * factor, std::min(one, other), std::max(one, other)};
}

// The lower load's rise is brought to the higher load, where faults show.
AtOneLoad bring_together(const LugSide& before, const LugSide& after, const Motor* motor) {
  const bool is_up = after.load->value() >= before.load->value();
  const LugSide& lower = is_up ? before : after;
  const LugSide& higher = is_up ? after : before;
  const double ratio = times_of(higher, lower);
  const bool is_too_low = ratio > kSameLoad && is_low_load(lower.load, motor);
  const double low_exponent = is_too_low ? kAtLeastAsSeen : severity::kLoadExponentLow;
  AtOneLoad all;
  all.load = *higher.load;
  all.before = is_up ? projected(before, ratio, low_exponent) : as_seen(before);
  all.after = is_up ? as_seen(after) : projected(after, ratio, low_exponent);
  all.change_k = all.after.rise_k - all.before.rise_k;
  all.change_u_k = std::hypot(all.after.u_k, all.before.u_k);
  all.change_low_k = all.change_high_k = all.change_k;
  all.is_less = all.change_k < -kCoverage * all.change_u_k;
  all.is_more = all.change_k > kCoverage * all.change_u_k;
  for (const double exponent : {low_exponent, severity::kLoadExponentHigh}) {
    const double factor = std::pow(ratio, exponent);
    const double up = is_up ? factor : 1;
    const double down = is_up ? 1 : factor;
    const double change = after.rise_k * down - before.rise_k * up;
    const double u = std::hypot(after.rise_u_k * down, before.rise_u_k * up);
    all.change_low_k = std::min(all.change_low_k, change);
    all.change_high_k = std::max(all.change_high_k, change);
    all.is_less = all.is_less && change < -kCoverage * u;
    all.is_more = all.is_more && change > kCoverage * u;
  }
  return all;
}

// What stands between an even lug and "repaired" on the electrical side; empty where nothing does.
Sentence unproven_by_readings(const SeenLug& after, const Side& second) {
  const MotorResult* motor = second.assessment.find_motor(after.component->motor);
  if (!motor || !after.component->reading) {
    return sentence("no winding resistance reading after the repair proves it");
  }
  const ElectricalResult& reading = motor->electrical.at(*after.component->reading);
  const auto from = proves_from(second, after.component->motor);
  if (from && second.days.day_of(reading.taken_at) < *from) {
    return sentence("the winding resistance reading at {} is from before the repair",
                    reading_text(reading));
  }
  if (reading.abnormal) {
    return sentence("the pairs at {} are still {} % out of balance", reading_text(reading),
                    in_percent(*reading.unbalance));
  }
  return {};
}

// Value and uncertainty with the same decimals, two digits of the uncertainty at most.
int places_for(double u) {
  constexpr int kMostPlaces = 2;
  if (!(u > 0)) return 1;
  return std::clamp(1 - static_cast<int>(std::floor(std::log10(u))), 0, kMostPlaces);
}

Number shown(double kelvin, double u) {
  return bare(difference(kelvin, places_for(u)));
}

Sentence numbers_of(const LugChange& change) {
  const LugSide& before = *change.before;
  const LugSide& after = *change.after;
  const AtOneLoad& at = *change.compared;
  const bool is_up = after.load->value() >= before.load->value();
  const double ratio = is_up ? times_of(after, before) : times_of(before, after);
  const RiseThere& moved = is_up ? at.before : at.after;
  constexpr double kOneAsPrinted = 0.05;
  const bool is_one = std::abs(moved.high_k - moved.low_k) < kOneAsPrinted;
  std::string_view message = msg("rise {0} ± {1} {4} before, {2} ± {3} {4} after");
  if (ratio > kEqualLoad && is_up) {
    message = is_one
                  ? msg("rise {0} ± {1} {4} at {5} A before, {2} ± {3} {4} at {6} A after, where "
                        "{7} {4} would be expected without a change")
                  : msg("rise {0} ± {1} {4} at {5} A before, {2} ± {3} {4} at {6} A after, where "
                        "{7} to {8} {4} would be expected without a change");
  } else if (ratio > kEqualLoad) {
    message = is_one
                  ? msg("rise {0} ± {1} {4} at {5} A before, {2} ± {3} {4} at {6} A after, which "
                        "would be {7} {4} at the load before")
                  : msg("rise {0} ± {1} {4} at {5} A before, {2} ± {3} {4} at {6} A after, which "
                        "would be {7} to {8} {4} at the load before");
  }
  return sentence(message, shown(before.rise_k, before.rise_u_k),
                  shown(before.rise_u_k, before.rise_u_k), shown(after.rise_k, after.rise_u_k),
                  shown(after.rise_u_k, after.rise_u_k), kDifferenceUnit, in_amperes(*before.load),
                  in_amperes(*after.load), bare(difference(moved.low_k, 1)),
                  bare(difference(moved.high_k, 1)));
}

// A lug of one component in both surveys, with those beside it.
struct Pair {
  const SeenLug& before;
  const SeenLug& after;
  const std::vector<SeenLug>& lugs_before;
  const std::vector<SeenLug>& lugs_after;
};

std::optional<AtOneLoad> over_air(const SeenLug& before, const SeenLug& after, const Motor* motor) {
  const auto was = side_of(before, before.lug->rise_over_air);
  const auto is = side_of(after, after.lug->rise_over_air);
  if (!was || !is || !was->load || !is->load) return std::nullopt;
  if (was->load->value() <= 0 || is->load->value() <= 0) return std::nullopt;
  return bring_together(*was, *is, motor);
}

// A rise over like also falls where the like lug has grown warm.
Sentence warmer_like(const Pair& pair, const Side& second) {
  const auto like = coolest_beside(pair.lugs_after, pair.after);
  if (!like) return {};
  const auto known = same_lug(pair.lugs_before, *like->lug);
  if (!known) return {};
  const Motor* motor = second.assessment.survey.find_motor(like->component->motor);
  const auto change = over_air(*known, *like, motor);
  const auto limit = severity::first_like_limit(second.assessment.policy);
  if (!change || !limit || !change->is_more || !limit->reached_by(change->change_low_k)) return {};
  return sentence("{} beside it is {} ± {} {} warmer over the air than before",
                  lug_title(second, like->lug->name, like->lug->phase),
                  shown(change->change_k, change->change_u_k),
                  shown(change->change_u_k, change->change_u_k), kDifferenceUnit);
}

bool is_itself_cooler(const Pair& pair, const Side& second) {
  const Motor* motor = second.assessment.survey.find_motor(pair.after.component->motor);
  const auto change = over_air(pair.before, pair.after, motor);
  return change && change->is_less;
}

// The rise is less beyond doubt; what that proves.
void decide_better(LugChange& change, const Pair& pair, Sentence numbers, const Side& second) {
  change.like_lugs = warmer_like(pair, second);
  if (!change.like_lugs.empty() && !is_itself_cooler(pair, second)) {
    change.change = Change::unchanged;
    change.reason =
        clauses({std::move(numbers), change.like_lugs, sentence("the lug itself is no cooler")});
    return;
  }
  change.change = Change::improved;
  if (change.fault_after) {
    change.reason = layout("{}: {}", std::move(numbers), sentence("still in a band"));
    return;
  }
  if (is_fault(second.assessment.policy, change.compared->after.high_k, change.over_air)) {
    change.change = Change::unproven;
    change.reason = layout("{}: {}", std::move(numbers),
                           sentence("not proven, it may still reach a band at the load before"));
    return;
  }
  if (!change.like_lugs.empty()) {
    change.reason = clauses({std::move(numbers), change.like_lugs});
    return;
  }
  Sentence unproven = unproven_by_readings(pair.after, second);
  if (unproven.empty()) {
    change.change = Change::repaired;
    change.reason = sentence("{}, and the pairs are in balance", std::move(numbers));
  } else {
    change.reason = clauses({std::move(numbers), std::move(unproven)});
  }
}

bool is_too_little(const LugChange& change, const Motor* motor, const VerifyOptions& options) {
  if (change.after->load->value() >= change.before->load->value()) return false;
  const double ratio = times_of(*change.before, *change.after);
  return ratio > options.load_ratio ||
         (ratio > kSameLoad && is_low_load(change.after->load, motor));
}

void decide(LugChange& change, const Pair& pair, const Side& second, const VerifyOptions& options) {
  Sentence numbers = numbers_of(change);
  const Motor* motor = second.assessment.survey.find_motor(change.motor);
  const bool seen_more = change.after->rise_k - change.before->rise_k >
                         kCoverage * std::hypot(change.after->rise_u_k, change.before->rise_u_k);
  if (is_too_little(change, motor, options) && !(seen_more && change.fault_after)) {
    change.change = Change::unproven;
    change.reason = sentence("not proven, the load is too low: {}", std::move(numbers));
    return;
  }
  if (!change.fault_before && !change.fault_after) {
    change.change = Change::even;
    change.reason =
        layout("{}: {}", std::move(numbers), sentence("under the first band both times"));
  } else if (change.compared->is_more) {
    change.change = Change::worse;
    change.reason = std::move(numbers);
  } else if (!change.compared->is_less) {
    change.change = Change::unchanged;
    change.reason =
        layout("{}: {}", std::move(numbers),
               change.fault_before ? sentence("within twice its uncertainty")
                                   : sentence("the first load was too low for it to show"));
  } else {
    decide_better(change, pair, std::move(numbers), second);
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

Sentence why_not_seen(const Side& after, const LugChange& change, const ComponentResult* now) {
  const std::string& name = now ? now->component : change.component;
  for (const ImageResult& image : after.assessment.images) {
    if (image.motor != change.motor || folded(image.component) != folded(name)) continue;
    if (image.status == ImageStatus::measured)
      return sentence("no mark of this lug in the second survey");
    return sentence("{} of the second survey is {}", image.file, sentence(name_of(image.status)));
  }
  return sentence("the component was not imaged in the second survey");
}

LugChange compare(const Pair& pair, const Side& first, const Side& second,
                  const VerifyOptions& options) {
  LugChange change = start(pair.before);
  const auto& policy = second.assessment.policy;
  change.before = side_of(pair.before, pair.lugs_before);
  change.after = side_of(pair.after, pair.lugs_after);
  if (change.before) {
    change.fault_before = is_fault(policy, change.before->rise_k, change.over_air);
  }
  if (change.after) change.fault_after = is_fault(policy, change.after->rise_k, change.over_air);
  change.reason = obstacle(change, pair.before, pair.after, first, second, options);
  if (!change.reason.empty()) return change;
  change.compared = bring_together(*change.before, *change.after,
                                   second.assessment.survey.find_motor(change.motor));
  change.fault_after = is_fault(policy, change.compared->after.rise_k, change.over_air);
  decide(change, pair, second, options);
  return change;
}

LugChange not_seen(const SeenLug& before, const std::vector<SeenLug>& lugs,
                   const ComponentResult* now, const Side& second) {
  LugChange change = start(before);
  change.before = side_of(before, lugs);
  if (change.before) {
    change.fault_before =
        is_fault(second.assessment.policy, change.before->rise_k, change.over_air);
  }
  change.reason = why_not_seen(second, change, now);
  return change;
}

LugChange new_lug(const SeenLug& after, const std::vector<SeenLug>& lugs, const Side& second) {
  LugChange change = start(after);
  change.after = side_of(after, lugs);
  if (change.after) {
    change.fault_after = is_fault(second.assessment.policy, change.after->rise_k, change.over_air);
  }
  change.reason = sentence("the lug was not measured in the first survey");
  return change;
}

using Visits = std::map<ComponentKey, const ComponentResult*>;

std::vector<std::string_view> only_in(const Visits& one, const Visits& other,
                                      std::string_view motor) {
  std::vector<std::string_view> names;
  for (const auto& [key, component] : one) {
    if (key.motor == motor && !other.contains(key)) names.push_back(component->component);
  }
  return names;
}

// A name that is a slip away from the only one that it can stand for.
std::optional<std::string_view> written_otherwise(std::string_view name,
                                                  const std::vector<std::string_view>& own,
                                                  const std::vector<std::string_view>& other) {
  const auto near = near_names(name, other);
  if (near.size() != 1) return std::nullopt;
  const auto back = near_names(near.front(), own);
  if (back.size() != 1 || back.front() != name) return std::nullopt;
  return near.front();
}

// Components of the first survey by what the second calls them.
struct Matched {
  Visits before;
  Visits after;
  std::map<ComponentKey, ComponentKey> renamed;  // first to second
  std::vector<Sentence> hints;

  [[nodiscard]] const ComponentResult* now(const ComponentKey& before_key) const {
    const auto other = renamed.find(before_key);
    const auto at = after.find(other == renamed.end() ? before_key : other->second);
    return at == after.end() ? nullptr : at->second;
  }
};

List names_of(const std::vector<std::string_view>& names) {
  List list;
  for (const std::string_view name : names) list.items.emplace_back(std::string(name));
  return list;
}

Matched match(const Side& before, const Side& after) {
  Matched matched{last_visits(before), last_visits(after), {}, {}};
  for (const MotorResult& motor : before.assessment.motors) {
    const auto gone = only_in(matched.before, matched.after, motor.motor);
    const auto come = only_in(matched.after, matched.before, motor.motor);
    if (gone.empty() || come.empty()) continue;
    bool all_known = true;
    for (const std::string_view name : gone) {
      const auto now = written_otherwise(name, gone, come);
      all_known = all_known && now.has_value();
      if (!now) continue;
      matched.renamed[{motor.motor, folded(name)}] = {motor.motor, folded(*now)};
      matched.hints.push_back(sentence("{}: {} of the first survey is taken to be {} of the second",
                                       motor.motor, std::string(name), std::string(*now)));
    }
    if (all_known) continue;
    matched.hints.push_back(sentence(
        "{}: {} only in the first survey, {} only in the second. If that is one place, call "
        "it the same in both",
        motor.motor, names_of(gone), names_of(come)));
  }
  return matched;
}

}  // namespace

ComparedLugs compare_lugs(const Side& before, const Side& after, const VerifyOptions& options) {
  Matched matched = match(before, after);
  ComparedLugs all;
  std::vector<const LugResult*> seen_again;
  for (const ComponentResult& component : before.assessment.components) {
    const ComponentKey key{component.motor, folded(component.component)};
    if (matched.before.at(key) != &component) continue;
    const ComponentResult* now = matched.now(key);
    const auto lugs = lugs_of(before, component);
    const auto candidates = now ? lugs_of(after, *now) : std::vector<SeenLug>{};
    for (const SeenLug& lug : lugs) {
      const auto again = same_lug(candidates, *lug.lug);
      if (again) seen_again.push_back(again->lug);
      all.lugs.push_back(again ? compare({lug, *again, lugs, candidates}, before, after, options)
                               : not_seen(lug, lugs, now, after));
      if (matched.renamed.contains(key)) all.lugs.back().component_after = now->component;
    }
  }
  for (const auto& [key, component] : matched.after) {
    const auto lugs = lugs_of(after, *component);
    for (const SeenLug& lug : lugs) {
      if (std::find(seen_again.begin(), seen_again.end(), lug.lug) != seen_again.end()) continue;
      all.lugs.push_back(new_lug(lug, lugs, after));
    }
  }
  all.renamed = std::move(matched.hints);
  return all;
}

}  // namespace ohmglow::diagnosis
