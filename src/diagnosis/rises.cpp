#include "judging.h"

#include <algorithm>
#include <map>

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

Estimate mean_temperature(const Judging& judging, const std::vector<LugIndex>& lugs) {
  const Estimate& first = *judging.lug(lugs.front()).temperature_c;
  if (lugs.size() == 1) return first;
  return Estimate::combine(0.5, first, 0.5, *judging.lug(lugs.back()).temperature_c);
}

void fill_over_like(Judging& judging, const ComponentCase& component) {
  std::map<std::size_t, std::vector<LugIndex>> by_image;
  for (const LugIndex at : component.lugs) by_image[at.image].push_back(at);
  std::vector<LugIndex> of_component;
  for (const auto& [image, lugs] : by_image) {
    if (component.lugs.size() < 2) continue;  // a lone lug is like nothing
    if (lugs.size() < 2 && of_component.empty())
      of_component = reference_of(judging, component.lugs);
    const auto chosen = lugs.size() < 2 ? of_component : reference_of(judging, lugs);
    const Estimate reference = mean_temperature(judging, chosen);
    for (const LugIndex at : lugs) {
      LugResult& lug = judging.lug(at);
      lug.rise_over_like = rise_between(*lug.temperature_c, reference);
      lug.reference = chosen;
      lug.reference_c = reference.value();
    }
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

std::optional<KelvinDifference> spread_of(const Judging& judging, const ComponentCase& component,
                                          std::optional<Ampere> mean_load) {
  if (!mean_load) return std::nullopt;
  std::vector<severity::LoadedRise> rises;
  for (const LugIndex at : component.lugs) {
    const auto& rise = judging.lug(at).rise_over_air;
    const auto load = judging.load_of(at);
    if (!rise || !load) return std::nullopt;
    rises.push_back({KelvinDifference{rise->value()}, *load});
  }
  return severity::balanced_spread(rises, *mean_load);
}

}  // namespace

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

bool is_hot(const severity::Policy& policy, const LugResult& lug) {
  const auto value = [](const auto& rise) -> std::optional<double> {
    if (!rise) return std::nullopt;
    return rise->value();
  };
  return severity::is_hot(policy, value(lug.rise_over_like), value(lug.rise_over_air));
}

void fill_rises(Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  fill_over_like(judging, component);
  fill_over_air(judging, component);
}

void fill_grades(Judging& judging, std::size_t index) {
  ComponentCase& component = judging.components[index];
  const Motor* motor = judging.row;
  for (const LugIndex at : component.lugs) {
    fill_load(judging, at, motor);
    fill_grade(judging, at, motor);
    if (is_hot(judging.result.policy, judging.lug(at))) component.hot = true;
  }
  component.hottest = hottest_of(judging, component.lugs);
  component.balanced_spread =
      spread_of(judging, component, judging.result.components[index].mean_load_a);
}

}  // namespace ohmglow::diagnosis
