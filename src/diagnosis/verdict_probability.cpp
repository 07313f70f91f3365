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

// What was measured, without what sound lugs scatter by and the choice of the reference: both are
// in the rise that a lug is called hot from, and noise counts once.
Quantity measured(Columns& columns, const radiometry::Estimate& estimate) {
  Quantity q{estimate.value(), {}};
  for (const auto& part : estimate.parts()) {
    if (part.input.kind == radiometry::InputKind::sound_scatter ||
        part.input.kind == radiometry::InputKind::reference_choice)
      continue;
    q.terms.push_back({columns.of(part.input), part.u_k});
  }
  return q;
}

Quantity quantity(Columns& columns, double value, double u) {
  return {value, {{columns.fresh(), u}}};
}

struct LugQuantities {
  Phase phase;
  std::optional<Quantity> rise;  // that counts
  std::optional<double> hot_from_k;
  std::optional<Quantity> over_air;
};

using ThreeQuantities = std::array<Quantity, 3>;

// Everything the verdict rests on, as random quantities.
struct Quantities {
  std::vector<LugQuantities> lugs;
  std::vector<Quantity> currents;  // of lug i at i, where all are known
  std::optional<ThreeQuantities> pairs;
  std::optional<ThreeQuantities> pairs_beyond;
  const ElectricalResult* reading = nullptr;  // of the pairs
  std::optional<ThreeQuantities> voltages;
  std::optional<ThreeQuantities> joints;
};

ThreeQuantities meter_values(Columns& columns, const std::array<double, 3>& x,
                             const electrical::Meter& meter) {
  const double largest = *std::max_element(x.begin(), x.end());
  ThreeQuantities values;
  for (std::size_t i = 0; i < 3; ++i) {
    values.at(i) = quantity(columns, x.at(i), electrical::reading_u(x.at(i), largest, meter));
  }
  return values;
}
ThreeQuantities meter_values(Columns& columns, const ElectricalResult& reading) {
  return meter_values(columns, reading.values, reading.meter);
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

void add_reading(Quantities& q, Columns& columns, const Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  if (!component.ohms) return;
  q.reading = judging.reading_of(index);
  if (component.ohms->explained_by) return;
  q.pairs = meter_values(columns, *q.reading);
  if (component.ohms->beyond) {
    q.pairs_beyond =
        meter_values(columns, judging.motor_result().electrical[*component.ohms->beyond]);
  }
}

void add_joints(Quantities& q, Columns& columns, const Judging& judging, std::size_t index) {
  const JointResult* joint = judging.joint_of(index);
  if (!joint) return;
  const auto& reading =
      judging.motor_result().electrical[*judging.result.components[index].joint_reading];
  // As shares of the least: the meter's relative u is that of the resistances.
  std::array<double, 3> x{};
  for (std::size_t i = 0; i < 3; ++i) x.at(i) = joint->joints.at(i).value();
  const double least = *std::min_element(reading.values.begin(), reading.values.end());
  const double per_unit = *std::min_element(x.begin(), x.end()) / least;
  electrical::Meter meter = reading.meter;
  meter.least_count = meter.least_count.value_or(0) * per_unit;
  q.joints = meter_values(columns, x, meter);
}

// From where on a drawn rise is hot. Of a lug that is judged hot: what sound lugs scatter by, since
// the draws bring the measurement's noise themselves; of any other what it would take to be judged
// so.
std::optional<double> drawn_hot_from(const Judging& judging, const ComponentCase& component,
                                     LugIndex at) {
  const LugResult& lug = judging.lug(at);
  if (!lug.hot) return lug.hot_from_k;
  const auto limit = lug.rise_over_like ? severity::first_like_limit(judging.result.policy)
                                        : severity::first_air_limit(judging.result.policy);
  const double by_scatter = reached_by_chance(judging, component, at, lug.sound_scatter.value());
  return std::min(*lug.hot_from_k, std::max(limit->value, by_scatter));
}

Quantities gather(Columns& columns, const Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  Quantities q;
  for (const LugIndex& at : component.lugs) {
    const LugResult& lug = judging.lug(at);
    LugQuantities its{lug.phase, {}, drawn_hot_from(judging, component, at), {}};
    if (const auto& rise = counting_rise(lug)) its.rise = measured(columns, *rise);
    if (lug.rise_over_air) its.over_air = measured(columns, *lug.rise_over_air);
    q.lugs.push_back(std::move(its));
  }
  if (component.currents_unequal) add_currents(q, columns, judging, component);
  add_reading(q, columns, judging, index);
  add_joints(q, columns, judging, index);
  if (component.voltage) {
    q.voltages = meter_values(columns, judging.motor_result().electrical[*component.voltage]);
  }
  return q;
}

// The hottest lug of a draw.
struct Hottest {
  bool hot = false;
  Phase phase = Phase::one;
  double rise_k = 0;
};

// Which lug is hot in which draw. Where no draw can reach a limit none is made: most components of
// a route are that cold.
class Heat {
 public:
  Heat(const Quantities& q, Columns& columns) {
    for (const LugQuantities& lug : q.lugs) {
      if (lug.rise && lug.hot_from_k && lug.rise->value + lug.rise->reach() >= *lug.hot_from_k)
        may_be_hot_ = true;
    }
    if (!may_be_hot_) return;
    for (const LugQuantities& lug : q.lugs) {
      lugs_.push_back({lug.phase, lug.hot_from_k, lug.rise ? drawn(columns, *lug.rise) : Draws{}});
    }
  }

  [[nodiscard]] bool is_possible() const { return may_be_hot_; }
  [[nodiscard]] Hottest at(std::size_t draw) const {
    Hottest hottest;
    bool is_first = true;
    for (const Lug& lug : lugs_) {
      if (lug.rises.empty()) continue;
      const double k = lug.rises[draw];
      hottest.hot = hottest.hot || (lug.hot_from_k && k >= *lug.hot_from_k);
      if (!is_first && k <= hottest.rise_k) continue;
      is_first = false;
      hottest.rise_k = k;
      hottest.phase = lug.phase;
    }
    return hottest;
  }

 private:
  struct Lug {
    Phase phase;
    std::optional<double> hot_from_k;
    Draws rises;
  };
  bool may_be_hot_ = false;
  std::vector<Lug> lugs_;
};

// Whether the currents explain the heat, drawn when it is first asked for.
class Load {
 public:
  Load(const Quantities& q, Columns& columns, const Judging& judging, std::size_t index)
      : q_(q),
        columns_(columns),
        mean_load_(judging.result.components[index].mean_load_a),
        explained_(currents_explain(judging, judging.components[index])),
        from_k_(judging.components[index].unexplained_from_k) {
    const bool has_rises = std::all_of(q.lugs.begin(), q.lugs.end(),
                                       [](const auto& lug) { return lug.over_air.has_value(); });
    can_tell_ =
        explained_ && mean_load_ && from_k_ && has_rises && q.currents.size() == q.lugs.size();
  }

  [[nodiscard]] bool explains_heat(std::size_t draw) {
    if (!can_tell_) return false;
    if (rises_.empty()) {
      for (const LugQuantities& lug : q_.lugs) rises_.push_back(drawn(columns_, *lug.over_air));
      for (const Quantity& current : q_.currents) currents_.push_back(drawn(columns_, current));
    }
    loaded_.clear();
    for (std::size_t i = 0; i < rises_.size(); ++i) {
      loaded_.push_back({KelvinDifference{rises_[i][draw]}, Ampere{currents_[i][draw]}});
    }
    const auto spread = least_balanced_spread(loaded_, *mean_load_);
    return spread && spread->value() < *from_k_;
  }

 private:
  const Quantities& q_;
  Columns& columns_;
  std::optional<Ampere> mean_load_;
  bool explained_;
  std::optional<double> from_k_;
  bool can_tell_ = false;
  std::vector<Draws> rises_;
  std::vector<Draws> currents_;
  std::vector<severity::LoadedRise> loaded_;
};

// Three meter values.
class Three {
 public:
  Three(Columns& columns, const ThreeQuantities& values)
      : draws_{drawn(columns, values[0]), drawn(columns, values[1]), drawn(columns, values[2])} {}
  [[nodiscard]] std::array<double, 3> at(std::size_t draw) const {
    return {draws_[0][draw], draws_[1][draw], draws_[2][draw]};
  }

 private:
  std::array<Draws, 3> draws_;
};

PerPhase<Ohm> legs_of(const std::array<double, 3>& pairs) {
  return electrical::legs({Ohm{pairs[0]}, Ohm{pairs[1]}, Ohm{pairs[2]}});
}

// The highest of three, and how far above the mean of the others.
struct DrawnExcess {
  Phase phase;
  double ohm;
};
DrawnExcess drawn_excess(const PerPhase<Ohm>& legs) {
  const auto highest =
      static_cast<std::size_t>(std::max_element(legs.begin(), legs.end()) - legs.begin());
  const Ohm others = (legs.at((highest + 1) % 3) + legs.at((highest + 2) % 3)) * 0.5;
  return {kPhases.at(highest), (legs.at(highest) - others).value()};
}

// Whether any draw of the values can be above the limit: how far each may lie from the mean, over
// how small the mean may be.
bool may_be_above(const ThreeQuantities& values, Percent limit) {
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

// What the winding resistance says in a draw.
class Readings {
 public:
  Readings(const Quantities& q, Columns& columns, const Judging& judging, std::size_t index)
      : reading_(q.reading), ohms_(judging.components[index].ohms) {
    if (!q.pairs) return;
    const double guard =
        boost::math::quantile(boost::math::normal(), judging.result.policy.confidence);
    // Judged abnormal: whether it is above the limit. Judged in balance: whether another reading
    // would be judged abnormal. So no draw contradicts the verdict more than it must.
    critical_ = electrical::kNormalPairUnbalance;
    if (!ohms_->abnormal) critical_ = critical_ + reading_->resolution->pair_unbalance_u * guard;
    if (!may_be_above(*q.pairs, critical_)) return;
    pairs_.emplace(columns, *q.pairs);
    if (q.pairs_beyond) beyond_.emplace(columns, *q.pairs_beyond);
  }

  [[nodiscard]] bool may_be_abnormal() const { return pairs_.has_value(); }
  // The excess of a draw in which the reading is abnormal.
  [[nodiscard]] std::optional<DrawnExcess> excess(std::size_t draw) const {
    if (!pairs_) return std::nullopt;
    const auto x = pairs_->at(draw);
    if (!is_above(x, critical_)) return std::nullopt;
    PerPhase<Ohm> legs = legs_of(x);
    if (!beyond_) return drawn_excess(legs);
    const PerPhase<Ohm> others = legs_of(beyond_->at(draw));
    for (std::size_t i = 0; i < 3; ++i) legs.at(i) = legs.at(i) - others.at(i);
    const DrawnExcess stretch = drawn_excess(legs);
    const double least = ohms_->abnormal ? 0 : kCoverage * ohms_->excess_u.value();
    if (stretch.ohm <= least) return std::nullopt;
    return stretch;
  }
  [[nodiscard]] bool names(Phase phase, const DrawnExcess& excess) const {
    const auto& resolution = *reading_->resolution;
    return excess.phase == phase ||
           (!beyond_ && !resolution.phase_agreed && resolution.may_mean(phase));
  }

 private:
  const ElectricalResult* reading_;
  const std::optional<OhmWitness>& ohms_;
  Percent critical_{0};
  std::optional<Three> pairs_;
  std::optional<Three> beyond_;
};

// What the meter across the joints says in a draw.
class Joints {
 public:
  Joints(const Quantities& q, Columns& columns, const Judging& judging, std::size_t index) {
    const JointResult* joint = judging.joint_of(index);
    if (!joint || !q.joints) return;
    joint_ = joint;
    joints_.emplace(columns, *q.joints);
  }
  [[nodiscard]] bool is_given() const { return joint_ != nullptr; }
  // A bad joint of the draw; where the measured one is bad it is so by its u already.
  [[nodiscard]] std::optional<DrawnExcess> bad(std::size_t draw) const {
    if (!joints_) return std::nullopt;
    const auto x = joints_->at(draw);
    const double low = *std::min_element(x.begin(), x.end());
    const double high = *std::max_element(x.begin(), x.end());
    const double over_lowest = 100 * (high / low - 1);
    if (!(over_lowest > electrical::kNormalJointDeviation.value())) return std::nullopt;
    return drawn_excess({Ohm{x[0]}, Ohm{x[1]}, Ohm{x[2]}});
  }

 private:
  const JointResult* joint_ = nullptr;
  std::optional<Three> joints_;
};

// The ohms behind a rise go nearly in step with it.
bool same_size(const Judging& judging, std::size_t index, double rise_k, double excess_ohm,
               bool by_joint) {
  const ComponentCase& component = judging.components[index];
  if (component.size.size == Size::unknown) return by_joint;
  const double scale = rise_k / counting_rise(judging.lug(component.hottest))->value();
  const electrical::Interval& ohm = component.size.ohm;
  return ohm.low * scale <= excess_ohm && excess_ohm <= ohm.high * scale;
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
  const Heat heat(q, columns);
  Load load(q, columns, judging, index);
  const Readings readings(q, columns, judging, index);
  const Joints joints(q, columns, judging, index);
  std::optional<Three> voltages;
  if (q.voltages && may_be_above(*q.voltages, electrical::kNormalVoltageUnbalance)) {
    voltages.emplace(columns, *q.voltages);
  }
  Witnesses w = witnesses_of(judging, index);
  const bool could_show = w.could_show;
  const bool all_alike = w.open_phase || (!heat.is_possible() && !readings.may_be_abnormal() &&
                                          !joints.is_given() && !(w.currents_unequal && voltages));
  const std::size_t needed = all_alike ? 1 : kDraws;
  std::array<int, kVerdicts> counts{};
  for (std::size_t draw = 0; draw < needed; ++draw) {
    const Hottest hottest = heat.at(draw);
    w.hot = hottest.hot;
    // A lug that would be hot in this draw does show; one that is not shows no less for it.
    w.could_show = could_show;
    const auto excess = readings.excess(draw);
    const auto bad_joint = joints.bad(draw);
    w.reading_abnormal = excess.has_value();
    w.same_phase = excess && readings.names(hottest.phase, *excess);
    w.joint_bad = bad_joint.has_value();
    w.joint_sound = joints.is_given() && !bad_joint;
    w.joint_same_phase = bad_joint && bad_joint->phase == hottest.phase;
    w.same_size = w.hot && (bad_joint || excess) &&
                  same_size(judging, index, hottest.rise_k,
                            bad_joint ? bad_joint->ohm : excess->ohm, bad_joint.has_value());
    w.currents_explain_it = w.hot && load.explains_heat(draw);
    w.voltage_abnormal = voltages
                             ? is_above(voltages->at(draw), electrical::kNormalVoltageUnbalance)
                             : w.voltage_abnormal && q.voltages.has_value();
    ++counts.at(static_cast<std::size_t>(verdict_from(w)));
  }
  return shares(counts, needed);
}

}  // namespace ohmglow::diagnosis
