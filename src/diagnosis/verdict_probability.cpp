#include "judging.h"

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <map>
#include <numeric>

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
  std::vector<std::size_t> order(kDraws);
  std::iota(order.begin(), order.end(), std::size_t{0});
  const auto key = [number](std::size_t i) { return mixed(number * kDraws + i + 1); };
  std::sort(order.begin(), order.end(),
            [&key](std::size_t a, std::size_t b) { return key(a) < key(b); });
  std::vector<double> column(kDraws);
  for (std::size_t i = 0; i < kDraws; ++i) column[i] = strata()[order[i]];
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

  double z(std::size_t column, std::size_t draw) { return draws_.at(column, draw); }

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

  [[nodiscard]] double drawn(Columns& columns, std::size_t draw) const {
    double x = value;
    for (const Term& term : terms) x += term.u * columns.z(term.column, draw);
    return x;
  }
};

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
    q.voltages = meter_values(
        columns, judging.result.motors[component.motor].electrical[*component.voltage]);
  }
  return q;
}

std::array<double, 3> drawn(Columns& columns, const std::array<Quantity, 3>& values,
                            std::size_t draw) {
  return {values[0].drawn(columns, draw), values[1].drawn(columns, draw),
          values[2].drawn(columns, draw)};
}

struct Heat {
  bool hot = false;
  Phase phase = Phase::one;
};

Heat heat_in(const Quantities& q, Columns& columns, const severity::Policy& policy,
             std::size_t draw) {
  Heat heat;
  double highest = 0;
  for (std::size_t i = 0; i < q.lugs.size(); ++i) {
    const LugQuantities& lug = q.lugs[i];
    const auto& rise = lug.over_like ? lug.over_like : lug.over_air;
    if (!rise) continue;
    const double k = rise->drawn(columns, draw);
    heat.hot = heat.hot || (lug.over_like ? severity::is_hot(policy, k, std::nullopt)
                                          : severity::is_hot(policy, std::nullopt, k));
    if (i == 0 || k > highest) {
      highest = k;
      heat.phase = lug.phase;
    }
  }
  return heat;
}

bool currents_explain_it(const Quantities& q, Columns& columns, const severity::Policy& policy,
                         Ampere mean_load, std::size_t draw) {
  const auto limit = severity::first_like_limit(policy);
  if (!limit || q.currents.size() != q.lugs.size()) return false;
  std::vector<severity::LoadedRise> loaded;
  for (std::size_t i = 0; i < q.lugs.size(); ++i) {
    if (!q.lugs[i].over_air) return false;
    loaded.push_back({KelvinDifference{q.lugs[i].over_air->drawn(columns, draw)},
                      Ampere{q.currents[i].drawn(columns, draw)}});
  }
  const auto spread = severity::balanced_spread(loaded, mean_load);
  return spread && !limit->reached_by(spread->value());
}

void add_readings(Witnesses& w, const Quantities& q, Columns& columns, Phase hottest,
                  std::size_t draw) {
  if (q.voltages) {
    const auto unbalance = electrical::unbalance(drawn(columns, *q.voltages, draw));
    w.voltage_abnormal = unbalance && *unbalance > electrical::kNormalVoltageUnbalance;
  }
  w.has_reading = q.pairs.has_value();
  if (!q.pairs) return;
  const auto x = drawn(columns, *q.pairs, draw);
  const auto unbalance = electrical::unbalance(x);
  w.reading_abnormal = unbalance && *unbalance > electrical::kNormalPairUnbalance;
  const auto legs = electrical::legs({Ohm{x[0]}, Ohm{x[1]}, Ohm{x[2]}});
  const auto highest = std::max_element(legs.begin(), legs.end()) - legs.begin();
  w.same_phase = kPhases.at(static_cast<std::size_t>(highest)) == hottest ||
                 (!q.resolution->phase_agreed && q.resolution->may_mean(hottest));
}

}  // namespace

double NormalDraws::at(std::size_t column, std::size_t draw) {
  while (columns_.size() <= column) columns_.push_back(new_column(columns_.size()));
  return columns_[column][draw];
}

std::vector<double> verdict_probability(const Judging& judging, std::size_t index,
                                        NormalDraws& draws) {
  Columns columns(draws);
  const Quantities q = gather(columns, judging, index);
  const auto& policy = judging.result.policy;
  const auto& mean_load = judging.result.components[index].mean_load_a;
  std::vector<double> probability(kVerdicts, 0);
  for (std::size_t draw = 0; draw < kDraws; ++draw) {
    Witnesses w;
    const Heat heat = heat_in(q, columns, policy, draw);
    w.hot = heat.hot;
    add_readings(w, q, columns, heat.phase, draw);
    // Asked for only where the order of decision does.
    w.currents_explain_it = w.hot && !w.reading_abnormal && mean_load &&
                            currents_explain_it(q, columns, policy, *mean_load, draw);
    probability[static_cast<std::size_t>(verdict_from(w))] += 1.0 / kDraws;
  }
  return probability;
}

}  // namespace ohmglow::diagnosis
