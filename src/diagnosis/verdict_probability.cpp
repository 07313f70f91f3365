#include "judging.h"

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <map>

namespace ohmglow::diagnosis {
namespace {

// Latin hypercube draws (McKay, Beckman and Conover 1979): each input's thousand values are the
// middles of a thousand equally likely strata, in an order of its own.
constexpr std::size_t kDraws = 1000;

// A counter in, 64 well-mixed bits out: the finaliser of SplitMix64 (Steele, Lea and Flood 2014).
std::uint64_t mixed(std::uint64_t counter) {
  std::uint64_t z = counter * 0x9e3779b97f4a7c15ULL;
  z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9ULL;
  z = (z ^ (z >> 27U)) * 0x94d049bb133111ebULL;
  return z ^ (z >> 31U);
}

const std::vector<double>& strata() {
  static const std::vector<double> middles = [] {
    const boost::math::normal standard;
    std::vector<double> z(kDraws);
    for (std::size_t i = 0; i < kDraws; ++i) {
      z[i] = boost::math::quantile(standard, (static_cast<double>(i) + 0.5) / kDraws);
    }
    return z;
  }();
  return middles;
}

std::vector<double> new_column(std::size_t number) {
  std::vector<std::pair<std::uint64_t, std::size_t>> order(kDraws);
  for (std::size_t i = 0; i < kDraws; ++i) order[i] = {mixed(number * kDraws + i + 1), i};
  std::sort(order.begin(), order.end());
  std::vector<double> column(kDraws);
  for (std::size_t i = 0; i < kDraws; ++i) column[i] = strata()[order[i].second];
  return column;
}

// Which column an input of this component draws from.
class Columns {
 public:
  explicit Columns(NormalDraws& draws) : draws_(draws) {}

  std::size_t of(const radiometry::Input& input) {
    return inputs_.emplace(input, inputs_.size() + own_).first->second;
  }
  // For an input that nothing else shares.
  std::size_t fresh() { return inputs_.size() + own_++; }

  [[nodiscard]] const std::vector<double>& z(std::size_t column) { return draws_.column(column); }

 private:
  NormalDraws& draws_;
  std::map<radiometry::Input, std::size_t> inputs_;
  std::size_t own_ = 0;
};

struct Term {
  std::size_t column;
  double u;
};
struct Quantity {
  double value = 0;
  std::vector<Term> terms;

  // Farther from its value than this no draw lies.
  [[nodiscard]] double reach() const {
    constexpr double kRounding = 1e-9;
    double sum = 0;
    for (const Term& term : terms) sum += std::abs(term.u) * strata().back();
    return sum * (1 + kRounding);
  }
};

using Draws = std::vector<double>;

Draws drawn(Columns& columns, const Quantity& quantity) {
  Draws draws(kDraws, quantity.value);
  for (const Term& term : quantity.terms) {
    const double* const z = columns.z(term.column).data();
    for (std::size_t i = 0; i < kDraws; ++i) draws[i] += term.u * z[i];
  }
  return draws;
}

Quantity quantity(Columns& columns, const radiometry::Estimate& estimate) {
  Quantity q{estimate.value(), {}};
  for (const auto& part : estimate.parts()) q.terms.push_back({columns.of(part.input), part.u_k});
  return q;
}

Quantity quantity(Columns& columns, double value, double u) {
  return {value, {{columns.fresh(), u}}};
}

struct LugQuantities {
  Phase phase;
  std::optional<Quantity> over_like;
  std::optional<Quantity> over_air;
};

// Everything the verdict rests on, as random quantities.
struct Quantities {
  std::vector<LugQuantities> lugs;
  std::vector<Quantity> currents;  // of lug i at i, where all are known
  std::optional<std::array<Quantity, 3>> pairs;
  const electrical::Resolution* resolution = nullptr;  // of the pairs as measured
  std::optional<std::array<Quantity, 3>> voltages;
};

std::array<Quantity, 3> meter_values(Columns& columns, const ElectricalResult& reading) {
  const auto& x = reading.values;
  const double largest = *std::max_element(x.begin(), x.end());
  std::array<Quantity, 3> values;
  for (std::size_t i = 0; i < 3; ++i) {
    values.at(i) =
        quantity(columns, x.at(i), electrical::reading_u(x.at(i), largest, reading.meter));
  }
  return values;
}

// One column for each phase's meter value: two images of one component share it.
void add_currents(Quantities& q, Columns& columns, const Judging& judging,
                  const ComponentCase& component) {
  PerPhase<std::size_t> phase_column{};
  for (auto& column : phase_column) column = columns.fresh();
  for (const LugIndex& at : component.lugs) {
    const auto load = judging.load_of(at);
    if (!load || load->value() <= 0) {
      q.currents.clear();
      return;
    }
    const double a = load->value();
    q.currents.push_back({a,
                          {{phase_column.at(index_of(judging.lug(at).phase)),
                            a * electrical::kCurrentMeterU.value() / 100}}});
  }
}

Quantities gather(Columns& columns, const Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  Quantities q;
  for (const LugIndex& at : component.lugs) {
    const LugResult& lug = judging.lug(at);
    LugQuantities its{lug.phase, {}, {}};
    if (lug.rise_over_like) its.over_like = quantity(columns, *lug.rise_over_like);
    if (lug.rise_over_air) its.over_air = quantity(columns, *lug.rise_over_air);
    q.lugs.push_back(std::move(its));
  }
  if (component.balanced_spread) add_currents(q, columns, judging, component);
  if (const ElectricalResult* reading = judging.reading_of(index)) {
    q.pairs = meter_values(columns, *reading);
    q.resolution = &*reading->resolution;
  }
  if (component.voltage) {
    q.voltages = meter_values(columns, judging.motor_result().electrical[*component.voltage]);
  }
  return q;
}

// Which lug is hot in which draw. Where no draw can reach a limit none is made: most components of
// a route are that cold.
class Heat {
 public:
  Heat(const Quantities& q, Columns& columns, const severity::Policy& policy) {
    const auto over_like = severity::first_like_limit(policy);
    const auto over_air = severity::first_air_limit(policy);
    const auto rise_of = [](const LugQuantities& lug) -> const std::optional<Quantity>& {
      return lug.over_like ? lug.over_like : lug.over_air;
    };
    for (const LugQuantities& lug : q.lugs) {
      const auto& limit = lug.over_like ? over_like : over_air;
      const auto& rise = rise_of(lug);
      if (rise && limit && limit->reached_by(rise->value + rise->reach())) may_be_hot_ = true;
    }
    if (!may_be_hot_) return;
    for (const LugQuantities& lug : q.lugs) {
      const auto& rise = rise_of(lug);
      lugs_.push_back({lug.phase, lug.over_like ? over_like : over_air,
                       rise ? drawn(columns, *rise) : Draws{}});
    }
  }

  [[nodiscard]] bool is_possible() const { return may_be_hot_; }
  // The phase of the lug with the highest rise, if any lug is hot.
  [[nodiscard]] std::optional<Phase> phase(std::size_t draw) const {
    bool hot = false;
    Phase phase = Phase::one;
    double highest = 0;
    for (std::size_t i = 0; i < lugs_.size(); ++i) {
      const Lug& lug = lugs_[i];
      if (lug.rises.empty()) continue;
      const double k = lug.rises[draw];
      hot = hot || (lug.limit && lug.limit->reached_by(k));
      if (i == 0 || k > highest) {
        highest = k;
        phase = lug.phase;
      }
    }
    return hot ? std::optional(phase) : std::nullopt;
  }

 private:
  struct Lug {
    Phase phase;
    std::optional<severity::Limit> limit;
    Draws rises;
  };
  bool may_be_hot_ = false;
  std::vector<Lug> lugs_;
};

// Whether the currents explain the heat, drawn when it is first asked for.
class Load {
 public:
  Load(const Quantities& q, Columns& columns, const severity::Policy& policy,
       const std::optional<Ampere>& mean_load)
      : q_(q), columns_(columns), mean_load_(mean_load) {
    const bool has_rises = std::all_of(q.lugs.begin(), q.lugs.end(),
                                       [](const auto& lug) { return lug.over_air.has_value(); });
    if (mean_load && has_rises && q.currents.size() == q.lugs.size()) {
      limit_ = severity::first_like_limit(policy);
    }
  }

  [[nodiscard]] bool explains_heat(std::size_t draw) {
    if (!limit_) return false;
    if (rises_.empty()) {
      for (const LugQuantities& lug : q_.lugs) rises_.push_back(drawn(columns_, *lug.over_air));
      for (const Quantity& current : q_.currents) currents_.push_back(drawn(columns_, current));
    }
    loaded_.clear();
    for (std::size_t i = 0; i < rises_.size(); ++i) {
      loaded_.push_back({KelvinDifference{rises_[i][draw]}, Ampere{currents_[i][draw]}});
    }
    const auto spread = severity::balanced_spread(loaded_, *mean_load_);
    return spread && !limit_->reached_by(spread->value());
  }

 private:
  const Quantities& q_;
  Columns& columns_;
  const std::optional<Ampere>& mean_load_;
  std::optional<severity::Limit> limit_;
  std::vector<Draws> rises_;
  std::vector<Draws> currents_;
  std::vector<severity::LoadedRise> loaded_;
};

// Three meter values.
class Three {
 public:
  Three(Columns& columns, const std::array<Quantity, 3>& values)
      : draws_{drawn(columns, values[0]), drawn(columns, values[1]), drawn(columns, values[2])} {}
  [[nodiscard]] std::array<double, 3> at(std::size_t draw) const {
    return {draws_[0][draw], draws_[1][draw], draws_[2][draw]};
  }

 private:
  std::array<Draws, 3> draws_;
};

bool names_phase(const std::array<double, 3>& pairs, const electrical::Resolution& resolution,
                 Phase phase) {
  const auto legs = electrical::legs({Ohm{pairs[0]}, Ohm{pairs[1]}, Ohm{pairs[2]}});
  const auto highest = std::max_element(legs.begin(), legs.end()) - legs.begin();
  return kPhases.at(static_cast<std::size_t>(highest)) == phase ||
         (!resolution.phase_agreed && resolution.may_mean(phase));
}

// Whether any draw of the values can be above the limit: how far each may lie from the mean, over
// how small the mean may be.
bool may_be_above(const std::array<Quantity, 3>& values, Percent limit) {
  double mean = 0;
  double mean_reach = 0;
  for (const Quantity& each : values) {
    mean += each.value / 3;
    mean_reach += each.reach() / 3;
  }
  if (mean <= mean_reach) return true;
  return std::any_of(values.begin(), values.end(), [&](const Quantity& each) {
    const double farthest = std::abs(each.value - mean) + each.reach() + mean_reach;
    return farthest > limit.value() / 100 * (mean - mean_reach);
  });
}

bool is_above(const std::array<double, 3>& values, Percent limit) {
  const auto unbalance = electrical::unbalance(values);
  return unbalance && *unbalance > limit;
}

std::vector<double> shares(const std::array<int, kVerdicts>& counts, std::size_t draws) {
  std::vector<double> probability;
  for (const int count : counts) probability.push_back(count / static_cast<double>(draws));
  return probability;
}

}  // namespace

const std::vector<double>& NormalDraws::column(std::size_t number) {
  while (columns_.size() <= number) columns_.push_back(new_column(columns_.size()));
  return columns_[number];
}

std::vector<double> verdict_probability(const Judging& judging, std::size_t index,
                                        NormalDraws& draws) {
  Columns columns(draws);
  const Quantities q = gather(columns, judging, index);
  const auto& policy = judging.result.policy;
  const Heat heat(q, columns, policy);
  Load load(q, columns, policy, judging.result.components[index].mean_load_a);
  std::optional<Three> pairs;
  if (q.pairs && may_be_above(*q.pairs, electrical::kNormalPairUnbalance)) {
    pairs.emplace(columns, *q.pairs);
  }
  std::optional<Three> voltages;
  if (q.voltages && may_be_above(*q.voltages, electrical::kNormalVoltageUnbalance)) {
    voltages.emplace(columns, *q.voltages);
  }
  std::array<int, kVerdicts> counts{};
  const bool all_alike = !heat.is_possible() && !pairs;
  const std::size_t needed = all_alike ? 1 : kDraws;
  for (std::size_t draw = 0; draw < needed; ++draw) {
    Witnesses w;
    const auto phase = heat.phase(draw);
    w.hot = phase.has_value();
    w.has_reading = q.pairs.has_value();
    if (pairs) {
      const auto x = pairs->at(draw);
      w.reading_abnormal = is_above(x, electrical::kNormalPairUnbalance);
      w.same_phase = w.hot && w.reading_abnormal && names_phase(x, *q.resolution, *phase);
    }
    // Asked for only where the order of decision does.
    w.currents_explain_it = w.hot && !w.reading_abnormal && load.explains_heat(draw);
    w.voltage_abnormal = w.currents_explain_it && voltages &&
                         is_above(voltages->at(draw), electrical::kNormalVoltageUnbalance);
    ++counts.at(static_cast<std::size_t>(verdict_from(w)));
  }
  return shares(counts, needed);
}

}  // namespace ohmglow::diagnosis
