#include "judging.h"

#include <algorithm>
#include <map>

namespace ohmglow::diagnosis {
namespace {

using radiometry::Estimate;

Estimate difference(const Estimate& a, const Estimate& b) {
  return Estimate::combine(1, a, -1, b);
}

// The temperature that like lugs are held against: of the coolest, or the median, which for an even
// count is the mean of the two in the middle.
Estimate reference_of(const Judging& judging, std::vector<LugIndex> like) {
  const auto cooler = [&judging](LugIndex a, LugIndex b) {
    return judging.lug(a).temperature_c->value() < judging.lug(b).temperature_c->value();
  };
  const auto temperature = [&judging](LugIndex at) -> const Estimate& {
    return *judging.lug(at).temperature_c;
  };
  if (judging.result.options.reference == Reference::coolest) {
    return temperature(*std::min_element(like.begin(), like.end(), cooler));
  }
  std::stable_sort(like.begin(), like.end(), cooler);
  const std::size_t middle = like.size() / 2;
  if (like.size() % 2 == 1) return temperature(like[middle]);
  return Estimate::combine(0.5, temperature(like[middle - 1]), 0.5, temperature(like[middle]));
}

void fill_over_like(Judging& judging, const ComponentCase& component) {
  std::map<std::size_t, std::vector<LugIndex>> by_image;
  for (const LugIndex at : component.lugs) by_image[at.image].push_back(at);
  std::optional<Estimate> of_component;
  for (const auto& [image, lugs] : by_image) {
    if (component.lugs.size() < 2) continue;  // a lone lug is like nothing
    std::optional<Estimate> reference;
    if (lugs.size() >= 2) {
      reference = reference_of(judging, lugs);
    } else {
      if (!of_component) of_component = reference_of(judging, component.lugs);
      reference = of_component;
    }
    for (const LugIndex at : lugs) {
      LugResult& lug = judging.lug(at);
      lug.rise_over_like = difference(*lug.temperature_c, *reference);
      lug.reference_c = reference->value();
    }
  }
}

void fill_over_air(Judging& judging, const ComponentCase& component) {
  for (const LugIndex at : component.lugs) {
    const auto& used = judging.result.images[at.image].used;
    LugResult& lug = judging.lug(at);
    if (used && used->air_c) lug.rise_over_air = difference(*lug.temperature_c, *used->air_c);
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
  if (motor && motor->rated_a && lug.rise_over_like) {
    lug.projected_rise = severity::project_rise(KelvinDifference{lug.rise_over_like->value()},
                                                *load, *motor->rated_a);
  }
}

bool exceeds_limit(const LugResult& lug, std::optional<Ampere> load, const Motor* motor) {
  if (!motor || !motor->conductor_limit_c) return false;
  const Celsius limit = *motor->conductor_limit_c;
  if (lug.temperature_c->value() > limit.value()) return true;
  if (is_low_load(load, motor)) return false;
  const auto projected = projected_temperature(lug, load, motor);
  return projected && *projected > limit;
}

void fill_grade(Judging& judging, LugIndex at, const Motor* motor) {
  const severity::Policy& policy = judging.result.policy;
  LugResult& lug = judging.lug(at);
  const auto value = [](const std::optional<Estimate>& rise) -> std::optional<double> {
    if (!rise) return std::nullopt;
    return rise->value();
  };
  lug.grade = severity::grade(policy, value(lug.rise_over_like), value(lug.rise_over_air));
  if (!policy.bands.empty() && exceeds_limit(lug, judging.load_of(at), motor)) {
    const severity::Grade most_severe{policy.bands.size() - 1, severity::DecidedBy::limit};
    lug.grade = severity::worse(lug.grade, most_severe);
  }
  lug.band_probability =
      severity::band_probabilities(policy, lug.rise_over_like, lug.rise_over_air);
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
  ComponentCase& component = judging.components[index];
  const Motor* motor = judging.motor_of(component);
  fill_over_like(judging, component);
  fill_over_air(judging, component);
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
