#include "judging.h"
#include "offered/diagnosis/lug_scope.h"

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <map>
#include <numbers>

namespace ohmglow::diagnosis {
namespace {

using radiometry::Estimate;

Estimate rise_between(const Estimate& a, const Estimate& b) {
  return Estimate::combine(1, a, -1, b);
}

// The lugs that like ones are held against: the coolest, or the median, which for an even count is
// the mean of the two in the middle.
std::vector<LugIndex> reference_of(const Judging& judging, std::vector<LugIndex> like) {
  const auto cooler = [&judging](LugIndex a, LugIndex b) {
    return judging.lug(a).temperature_c->value() < judging.lug(b).temperature_c->value();
  };
  if (judging.result.options.reference == Reference::coolest) {
    return {*std::min_element(like.begin(), like.end(), cooler)};
  }
  std::stable_sort(like.begin(), like.end(), cooler);
  const std::size_t middle = like.size() / 2;
  if (like.size() % 2 == 1) return {like[middle]};
  return {like[middle - 1], like[middle]};
}

// The middle rise over air of like lugs: what sound ones scatter by goes with it. The coolest is
// cool by chance, too, and a hot one is not sound.
std::optional<double> middle_rise_over_air(const Judging& judging,
                                           const std::vector<LugIndex>& like) {
  std::vector<double> rises;
  for (const LugIndex at : like) {
    const auto& rise = judging.lug(at).rise_over_air;
    if (!rise) return std::nullopt;
    rises.push_back(rise->value());
  }
  std::sort(rises.begin(), rises.end());
  return (rises[(rises.size() - 1) / 2] + rises[rises.size() / 2]) / 2;
}

// A temperature as that of a sound lug in this place.
Estimate as_sound_lug(const Judging& judging, LugIndex at) {
  const LugResult& lug = judging.lug(at);
  const Estimate scatter{
      0, {{{radiometry::InputKind::sound_scatter, scope_of(at)}, lug.sound_scatter.value()}}};
  return Estimate::combine(1, *lug.temperature_c, 1, scatter);
}

Estimate mean_of_sound(const Judging& judging, const std::vector<LugIndex>& lugs) {
  const Estimate first = as_sound_lug(judging, lugs.front());
  if (lugs.size() == 1) return first;
  return Estimate::combine(0.5, first, 0.5, as_sound_lug(judging, lugs.back()));
}

// How far the coolest of several lugs lies below what it would read alone. Of two normal values the
// smaller is below the one at hand by a(φ(α) − α Φ(−α)) in the mean, α their distance over its u
// (Clark 1961, Oper. Res. 9, 145, from memory); several add in squares, which is 6 % short of the
// exact 0.846 σ for three equal ones.
double shift_by_choice(const Judging& judging, LugIndex coolest,
                       const std::vector<LugIndex>& like) {
  const boost::math::normal standard;
  double squares = 0;
  for (const LugIndex at : like) {
    if (at.image == coolest.image && at.lug == coolest.lug) continue;
    const Estimate apart = rise_between(as_sound_lug(judging, at), as_sound_lug(judging, coolest));
    const double u = apart.u();
    if (!(u > 0)) continue;
    const double distance = apart.value() / u;
    const double shift = u * (boost::math::pdf(standard, distance) -
                              distance * boost::math::cdf(standard, -distance));
    squares += shift * shift;
  }
  return std::sqrt(squares);
}

struct LikeLugs {
  std::vector<LugIndex> lugs;   // that get their rises
  std::vector<LugIndex> likes;  // among which the reference is chosen
};

void fill_over_like_of(Judging& judging, const LikeLugs& group) {
  const std::vector<LugIndex> reference = reference_of(judging, group.likes);
  const double scatter =
      judging.result.policy.sound_scatter.of(middle_rise_over_air(judging, group.likes));
  for (const LugIndex at : group.likes) judging.lug(at).sound_scatter = KelvinDifference{scatter};
  const bool by_coolest = judging.result.options.reference == Reference::coolest;
  const double choice = by_coolest ? shift_by_choice(judging, reference.front(), group.likes) : 0;
  const Estimate mean = mean_of_sound(judging, reference);
  for (const LugIndex at : group.lugs) {
    LugResult& lug = judging.lug(at);
    lug.reference = reference;
    lug.reference_c = mean.value();
    lug.rise_over_like = rise_between(as_sound_lug(judging, at), mean);
    const bool is_reference =
        reference.size() == 1 && reference[0].image == at.image && reference[0].lug == at.lug;
    if (is_reference || choice == 0) continue;
    lug.reference_choice = KelvinDifference{choice};
    const Estimate flattered{
        0, {{{radiometry::InputKind::reference_choice, scope_of(reference.front())}, choice}}};
    lug.rise_over_like = Estimate::combine(1, *lug.rise_over_like, 1, flattered);
  }
}

void fill_over_like(Judging& judging, const ComponentCase& component) {
  if (component.lugs.size() < 2) return;  // a lone lug is like nothing
  std::map<std::size_t, std::vector<LugIndex>> by_image;
  for (const LugIndex at : component.lugs) by_image[at.image].push_back(at);
  for (const auto& [image, lugs] : by_image) {
    fill_over_like_of(judging, {lugs, lugs.size() < 2 ? component.lugs : lugs});
  }
}

void fill_over_air(Judging& judging, const ComponentCase& component) {
  for (const LugIndex at : component.lugs) {
    const auto& used = judging.result.images[at.image].used;
    LugResult& lug = judging.lug(at);
    if (used && used->air_c) lug.rise_over_air = rise_between(*lug.temperature_c, *used->air_c);
  }
}

void fill_load(Judging& judging, LugIndex at, const Motor* motor) {
  LugResult& lug = judging.lug(at);
  const auto load = judging.load_of(at);
  if (!load) return;
  const auto mean = mean_of(judging.image_loads[at.image]);
  if (mean->value() <= 0) {
    lug.raise(Flag::no_load);
  } else if (is_low_load(load, motor)) {
    lug.raise(Flag::low_load);
  }
  if (const auto projected = projected_rise(judging, at, motor)) {
    lug.projected_rise = severity::project_rise(KelvinDifference{lug.rise_over_like->value()},
                                                *load, *motor->rated_a);
    lug.projected_rise->u_k = projected->u();
  }
}

// What a value is graded by: itself, or, guarded, itself and the guard band, which is the same as a
// limit lowered by it.
class Guard {
 public:
  explicit Guard(severity::Decision decision)
      : factor_(decision == severity::Decision::guarded ? severity::kGuardFactor : 0) {}

  // `spread` tells the uncertainty where distributions were propagated.
  [[nodiscard]] std::optional<double> graded_by(const std::optional<Estimate>& estimate,
                                                const Spread* spread) const {
    if (!estimate) return std::nullopt;
    if (factor_ == 0) return estimate->value();
    return estimate->value() + factor_ * (spread ? spread->u : estimate->u());
  }

 private:
  double factor_;
};

bool exceeds_limit(const LugResult& lug, double temperature_c, std::optional<Ampere> load,
                   const Motor* motor) {
  if (!motor || !motor->conductor_limit_c) return false;
  const Celsius limit = *motor->conductor_limit_c;
  if (temperature_c > limit.value()) return true;
  if (is_low_load(load, motor)) return false;
  const auto projected = projected_temperature(lug, load, motor);
  return projected && *projected > limit;
}

severity::Grade grade_by(severity::Decision decision, const Judging& judging, LugIndex at,
                         const Motor* motor) {
  const severity::Policy& policy = judging.result.policy;
  const LugResult& lug = judging.lug(at);
  const Guard guard(decision);
  const auto spread = [&lug](std::optional<Spread> MonteCarlo::*of) -> const Spread* {
    return lug.monte_carlo && (*lug.monte_carlo).*of ? &*((*lug.monte_carlo).*of) : nullptr;
  };
  const auto grade =
      severity::grade(policy, guard.graded_by(lug.rise_over_like, spread(&MonteCarlo::over_like)),
                      guard.graded_by(lug.rise_over_air, spread(&MonteCarlo::over_air)));
  const auto temperature = guard.graded_by(
      lug.temperature_c, lug.monte_carlo ? &lug.monte_carlo->temperature_c : nullptr);
  if (policy.bands.empty() || !exceeds_limit(lug, *temperature, judging.load_of(at), motor))
    return grade;
  return severity::worse(grade, {policy.bands.size() - 1, severity::DecidedBy::limit});
}

void fill_grade(Judging& judging, LugIndex at, const Motor* motor) {
  LugResult& lug = judging.lug(at);
  lug.simple_grade = grade_by(severity::Decision::simple, judging, at, motor);
  lug.grade = grade_by(judging.result.options.decision, judging, at, motor);
  lug.band_probability = lug.monte_carlo
                             ? lug.monte_carlo->band_probability
                             : severity::band_probabilities(judging.result.policy,
                                                            lug.rise_over_like, lug.rise_over_air);
}

// Of how many lugs the reference was chosen.
std::size_t likes_of(const ComponentCase& component, LugIndex at) {
  const auto same_image = static_cast<std::size_t>(
      std::count_if(component.lugs.begin(), component.lugs.end(),
                    [at](LugIndex other) { return other.image == at.image; }));
  return same_image < 2 ? component.lugs.size() : same_image;
}

// What equal lugs of u = 1 reach by chance: the hottest over the coolest, and over the next.
struct ByChance {
  double range = 0;
  double gap = 0;
};

// A bad joint makes one lug stand alone: the distance to the next gets most of the error that the
// confidence leaves, the range the rest (house rule).
constexpr double kErrorOfRange = 0.2;

// Worked out once for each count of lugs; motors are judged one by one.
ByChance by_chance(double confidence, std::size_t count) {
  thread_local std::map<std::pair<double, std::size_t>, ByChance> known;
  const auto [at, is_new] = known.emplace(std::pair(confidence, count), ByChance{});
  if (!is_new) return at->second;
  const double error = 1 - confidence;
  const bool two = count < 3;  // their gap is their range
  at->second.range = severity::range_quantile(two ? confidence : 1 - kErrorOfRange * error, count);
  at->second.gap =
      two ? at->second.range : severity::gap_quantile(1 - (1 - kErrorOfRange) * error, count);
  return at->second;
}

// The confidence is the motor's: its components at one visit share the error that it leaves.
double confidence_of_component(const Judging& judging, const ComponentCase& component) {
  const auto beside = std::count_if(
      judging.components.begin(), judging.components.end(),
      [&component](const ComponentCase& other) { return other.day == component.day; });
  return 1 - (1 - judging.result.policy.confidence) / static_cast<double>(beside);
}

double u_without_choice(const LugResult& lug) {
  return std::sqrt(std::max(
      0.0, std::pow(lug.rise_over_like->u(), 2) - std::pow(lug.reference_choice.value(), 2)));
}

// The highest rise among the lugs that one is held against.
double highest_of_others(const Judging& judging, const ComponentCase& component, LugIndex at) {
  double highest = 0;
  for (const LugIndex other : component.lugs) {
    const bool is_like =
        likes_of(component, at) == component.lugs.size() || other.image == at.image;
    if (!is_like || (other.image == at.image && other.lug == at.lug)) continue;
    const auto& rise = judging.lug(other).rise_over_like;
    if (rise) highest = std::max(highest, rise->value());
  }
  return highest;
}

}  // namespace

double reached_by_chance(const Judging& judging, const ComponentCase& component, LugIndex at,
                         double u_of_one_k) {
  const ByChance chance =
      by_chance(confidence_of_component(judging, component), likes_of(component, at));
  return std::min(chance.range * u_of_one_k,
                  highest_of_others(judging, component, at) + chance.gap * u_of_one_k);
}

namespace {

// What chance reaches: between like lugs the distances of so many equal ones; for a lone lug its
// own uncertainty, one-sided.
double reached_by_chance(const Judging& judging, const ComponentCase& component, LugIndex at) {
  const LugResult& lug = judging.lug(at);
  if (lug.rise_over_like) {
    return diagnosis::reached_by_chance(judging, component, at,
                                        u_without_choice(lug) / std::numbers::sqrt2);
  }
  const double confidence = confidence_of_component(judging, component);
  return boost::math::quantile(boost::math::normal(), confidence) * lug.rise_over_air->u();
}

void fill_hot(Judging& judging, const ComponentCase& component, LugIndex at) {
  LugResult& lug = judging.lug(at);
  const auto& rise = lug.rise_over_like ? lug.rise_over_like : lug.rise_over_air;
  const auto limit = lug.rise_over_like ? severity::first_like_limit(judging.result.policy)
                                        : severity::first_air_limit(judging.result.policy);
  if (!rise || !limit) return;
  const double by_chance = reached_by_chance(judging, component, at);
  lug.hot_from_k = std::max(limit->value, by_chance);
  lug.hot = limit->reached_by(rise->value()) && rise->value() >= by_chance;
}

LugIndex hottest_of(const Judging& judging, const std::vector<LugIndex>& lugs) {
  const auto less_hot = [&judging](LugIndex a, LugIndex b) {
    const LugResult& x = judging.lug(a);
    const LugResult& y = judging.lug(b);
    const double rise_x = x.rise_over_like ? x.rise_over_like->value() : 0;
    const double rise_y = y.rise_over_like ? y.rise_over_like->value() : 0;
    if (rise_x != rise_y) return rise_x < rise_y;
    return x.temperature_c->value() < y.temperature_c->value();
  };
  return *std::max_element(lugs.begin(), lugs.end(), less_hot);
}

// Currents farther than this from their mean count as unequal (house rule; a clamp of 2 % reads
// equal ones as far apart once in a hundred).
constexpr double kUnequalCurrent_pct = 5;

bool are_unequal(const Loads& loads) {
  if (!loads[0] || !loads[1] || !loads[2]) return false;
  const auto unbalance =
      electrical::unbalance({loads[0]->value(), loads[1]->value(), loads[2]->value()});
  return unbalance && exceeds(unbalance->value(), kUnequalCurrent_pct);
}

// Holds the heat against the currents.
void balance_heat(const Judging& judging, ComponentCase& component, const ComponentResult& result) {
  // Currents at a drive's output hardly part; unequal ones beside it are most often its input's.
  if (drive_side(judging, result.component) == DriveSide::output) return;
  component.currents_unequal = are_unequal(result.load_a);
  const auto& mean_load = result.mean_load_a;
  const auto limit = severity::first_like_limit(judging.result.policy);
  if (!mean_load || !limit) return;
  std::vector<severity::LoadedRise> rises;
  double highest = 0;
  for (const LugIndex at : component.lugs) {
    const auto& rise = judging.lug(at).rise_over_air;
    const auto load = judging.load_of(at);
    if (!rise || !load) return;
    rises.push_back({KelvinDifference{rise->value()}, *load});
    highest = std::max(highest, rise->value());
  }
  component.balanced_spread = least_balanced_spread(rises, *mean_load);
  // A current's u counts twice in its heat; the choice of the lugs counts as between like ones.
  const LugResult& hottest = judging.lug(component.hottest);
  const double by_current = 2 * electrical::kCurrentMeterU.value() / 100 * highest *
                            by_chance(judging.result.policy.confidence, rises.size()).range;
  component.unexplained_from_k = std::hypot(hottest.hot_from_k.value_or(limit->value), by_current);
}

}  // namespace

std::optional<KelvinDifference> least_balanced_spread(const std::vector<severity::LoadedRise>& lugs,
                                                      Ampere mean_load) {
  std::optional<KelvinDifference> least;
  for (const double exponent : {2.0, 1.75, 1.5, 1.25, 1.0}) {
    const auto spread = severity::balanced_spread(lugs, mean_load, exponent);
    if (spread && (!least || *spread < *least)) least = spread;
  }
  return least;
}

bool is_low_load(std::optional<Ampere> load, const Motor* motor) {
  if (!load || !motor || !motor->rated_a || motor->rated_a->value() <= 0) return false;
  return load->value() / motor->rated_a->value() < severity::kLowLoad;
}

std::optional<Estimate> projected_rise(const Judging& judging, LugIndex at, const Motor* motor) {
  const LugResult& lug = judging.lug(at);
  const auto load = judging.load_of(at);
  if (!load || !motor || !motor->rated_a || !lug.rise_over_like) return std::nullopt;
  const auto& used = judging.result.images[at.image].used;
  const Percent load_u = (used ? used->uncertainties : radiometry::InputUncertainties{}).load;
  return severity::projected_estimate(*lug.rise_over_like, *load, load_u, *motor->rated_a,
                                      static_cast<std::uint32_t>(at.image));
}

std::optional<Celsius> projected_temperature(const LugResult& lug, std::optional<Ampere> load,
                                             const Motor* motor) {
  if (!load || !motor || !motor->rated_a || !lug.rise_over_air) return std::nullopt;
  const KelvinDifference rise{lug.rise_over_air->value()};
  const auto projected = severity::project_rise(rise, *load, *motor->rated_a);
  if (!projected) return std::nullopt;
  const Celsius air{lug.temperature_c->value() - rise.value()};
  return air + projected->rise;
}

void fill_rises(Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  fill_over_air(judging, component);
  fill_over_like(judging, component);
}

void fill_grades(Judging& judging, std::size_t index) {
  ComponentCase& component = judging.components[index];
  const Motor* motor = judging.row;
  for (const LugIndex at : component.lugs) {
    fill_load(judging, at, motor);
    fill_grade(judging, at, motor);
    fill_hot(judging, component, at);
    component.hot = component.hot || judging.lug(at).hot;
  }
  component.hottest = hottest_of(judging, component.lugs);
  balance_heat(judging, component, judging.result.components[index]);
}

}  // namespace ohmglow::diagnosis
