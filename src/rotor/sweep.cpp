#include "ohmglow/rotor.h"
#include "rotor/eccentricity.h"
#include "rotor/sweep_model.h"
#include "rotor/sweep_words.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

namespace ohmglow::rotor {
namespace {

constexpr double kFullTurn_deg = 360;
// The chance that scatter alone passes for one pattern: three patterns and the drift together stay
// under 2 %, and a pattern 5 u high is seen 19 times of 20.
constexpr double kFalsePattern = 0.003;
constexpr double kDriftQuantile = 3.0;  // of the normal distribution, either way
// Without an overlap only what is straight beside the harmonics is drift, and little of it is seen.
constexpr double kClearDrift = 3.5;
constexpr double k95 = 1.959963984540054;  // of the normal distribution, either way
constexpr double kSameAngle_deg = 0.01;
constexpr double kGridShare = 0.02;  // of a step: angles on it are at equal steps

double in_turn(double degrees) {
  const double rest = std::fmod(degrees, kFullTurn_deg);
  return rest < 0 ? rest + kFullTurn_deg : rest;
}

// How many u an amplitude reaches by chance with that probability: (A/u)²/2 is F(2, freedom).
double by_chance(double probability, int freedom) {
  const double n = freedom;
  return std::sqrt(n * (std::pow(probability, -2 / n) - 1));
}

// Of Student's t from that of the normal distribution (Abramowitz and Stegun, 26.7.5).
double student(double z, int freedom) {
  const double n = freedom;
  return z + (z * z * z + z) / (4 * n) +
         (5 * std::pow(z, 5) + 16 * z * z * z + 3 * z) / (96 * n * n);
}

std::vector<double> angles_in_turn(const std::vector<SweepReading>& readings) {
  std::vector<double> angles;
  for (const SweepReading& reading : readings) angles.push_back(in_turn(reading.angle_deg));
  std::sort(angles.begin(), angles.end());
  const auto same = [](double a, double b) { return b - a < kSameAngle_deg; };
  angles.erase(std::unique(angles.begin(), angles.end(), same), angles.end());
  if (angles.size() > 1 && angles.front() + kFullTurn_deg - angles.back() < kSameAngle_deg) {
    angles.pop_back();
  }
  return angles;
}

// How many equal steps make the turn, some of them perhaps left out.
std::optional<int> equal_steps(const std::vector<double>& angles) {
  double step = kFullTurn_deg;
  for (std::size_t i = 1; i < angles.size(); ++i) step = std::min(step, angles[i] - angles[i - 1]);
  const double steps = std::round(kFullTurn_deg / step);
  step = kFullTurn_deg / steps;
  for (const double angle : angles) {
    const double place = (angle - angles.front()) / step;
    if (std::fabs(place - std::round(place)) > kGridShare) return std::nullopt;
  }
  return static_cast<int>(steps);
}

// The orders that are looked for and onto which the bars' ripple falls.
std::set<int> aliased_orders(std::optional<int> steps, std::optional<int> bars, int poles) {
  std::set<int> orders;
  if (!steps || !bars) return orders;
  const int rest = *bars % *steps;
  const int folded = std::min(rest, *steps - rest);
  if (folded == 0 || folded == 1 || folded == poles) orders.insert(folded);
  return orders;
}

class Judge {
 public:
  Judge(std::vector<SweepReading> readings, const Motor* motor)
      : poles_(motor == nullptr ? std::nullopt : motor->poles),
        bars_(motor == nullptr ? std::nullopt : motor->rotor_bars),
        layout_(motor == nullptr ? CoilLayout::unknown : motor->winding.layout) {
    sweep_.readings = std::move(readings);
    sweep_.motor = sweep_.readings.front().motor;
    sweep_.name = sweep_.readings.front().sweep;
    sweep_.taken_at = sweep_.readings.front().taken_at;
    angles_ = angles_in_turn(sweep_.readings);
    has_overlap_ = sweep_.readings.back().angle_deg - sweep_.readings.front().angle_deg >=
                   kFullTurn_deg - kSameAngle_deg;
    steps_ = equal_steps(angles_);
    aliased_ = aliased_orders(steps_, bars_, poles_.value_or(0));
    sees_poles_ = poles_ && angles_.size() > 2 * static_cast<std::size_t>(*poles_);
  }

  Result<Sweep> judged() {
    if (!take_fit()) {
      return fail({.kind = ErrorKind::invalid_value,
                   .what = "the angles of this sweep do not tell its harmonics apart",
                   .expected = "angles all over the turn"});
    }
    take_pairs();
    take_harmonics();
    take_patterns();
    take_eccentricity();
    sweep_.scatter = Percent{100 * fit_->scatter};
    const Open open{.poles = poles_,
                    .layout = layout_,
                    .sees_poles = sees_poles_,
                    .has_overlap = has_overlap_,
                    .bars = bars_,
                    .steps = steps_,
                    .frequency_hz = sweep_.readings.front().gap_share
                                        ? std::nullopt
                                        : sweep_.readings.front().frequency_hz};
    sweep_.cannot_tell = left_open(sweep_, open);
    sweep_.next_test = next_test_of(sweep_, open);
    return std::move(sweep_);
  }

 private:
  [[nodiscard]] std::vector<int> orders() const {
    return sees_poles_ ? std::vector{1, *poles_} : std::vector{1};
  }

  bool take_fit() {
    fit_ = fit_sweep(sweep_.readings, orders(), false);
    const auto drifting = fit_sweep(sweep_.readings, orders(), true);
    const bool is_clear =
        drifting && std::fabs(*drifting->drift) >
                        student(kClearDrift, drifting->fit.freedom) * drifting->drift_u;
    if (drifting && (has_overlap_ || is_clear)) fit_ = drifting;
    return fit_.has_value() && fit_->common_mean > 0;
  }

  void take_pairs() {
    for (std::size_t pair = 0; pair < sweep_.pairs.size(); ++pair) {
      PairSweep& its = sweep_.pairs.at(pair);
      const auto [low, high] =
          std::minmax_element(sweep_.readings.begin(), sweep_.readings.end(),
                              [pair](const SweepReading& a, const SweepReading& b) {
                                return a.inductance.at(pair) < b.inductance.at(pair);
                              });
      const double mean = fit_->means.at(pair);
      its.mean = Henry{mean};
      its.peak_to_peak = Percent{
          100 * (high->inductance.at(pair).value() - low->inductance.at(pair).value()) / mean};
      if (sees_poles_) take_peaks(its, pair);
    }
  }

  // The highest reading of each cycle of the poles' pattern, about where the fitted curve has its
  // tops.
  void take_peaks(PairSweep& its, std::size_t pair) {
    const int first = static_cast<int>(pair) * 5 + 3;  // mean, order 1, then the poles'
    const double top_deg = std::atan2(fit_->fit.parameters.at<double>(first + 1),
                                      fit_->fit.parameters.at<double>(first)) *
                           180 / std::numbers::pi / *poles_;
    const double cycle_deg = kFullTurn_deg / *poles_;
    std::map<int, Peak> peaks;
    for (const SweepReading& reading : sweep_.readings) {
      const double angle = in_turn(reading.angle_deg - top_deg);
      const int cycle = static_cast<int>(std::lround(angle / cycle_deg)) % *poles_;
      const Henry here = reading.inductance.at(pair);
      const auto [at, is_new] = peaks.try_emplace(cycle, Peak{reading.angle_deg, here});
      if (!is_new && at->second.inductance < here) at->second = {reading.angle_deg, here};
    }
    if (peaks.size() != static_cast<std::size_t>(*poles_)) return;
    double low = its.mean.value() * 2;
    double high = 0;
    for (const auto& [cycle, peak] : peaks) {
      its.peaks.push_back(peak);
      low = std::min(low, peak.inductance.value());
      high = std::max(high, peak.inductance.value());
    }
    std::sort(its.peaks.begin(), its.peaks.end(),
              [](const Peak& a, const Peak& b) { return a.angle_deg < b.angle_deg; });
    its.peak_drift = Percent{100 * (high - low) / its.mean.value()};
  }

  void take_harmonics() {
    const auto add = [this](int order, Sequence sequence) {
      const Phasor phasor = fit_->phasor(order, sequence);
      sweep_.harmonics.push_back(
          {order, sequence, Percent{100 * std::abs(phasor.value)}, Percent{100 * phasor.u}});
    };
    add(0, Sequence::negative);
    for (const int order : fit_->orders) {
      add(order, Sequence::zero);
      add(order, Sequence::negative);
    }
    if (has_overlap_ && fit_->drift) sweep_.closing = Percent{100 * *fit_->drift};
  }

  [[nodiscard]] bool stands_out(int order, Sequence sequence) const {
    if (aliased_.contains(order)) return false;
    const Phasor phasor = fit_->phasor(order, sequence);
    return std::abs(phasor.value) > by_chance(kFalsePattern, fit_->fit.freedom) * phasor.u;
  }

  void take_patterns() {
    std::vector<Pattern> seen;
    if (!aliased_.empty()) seen.push_back(Pattern::aliased);
    if (100 * fit_->scatter >= kNoisyFrom.value()) seen.push_back(Pattern::too_noisy);
    if (sees_poles_ && stands_out(*poles_, Sequence::negative)) {
      seen.push_back(Pattern::pole_pattern);
    }
    if (stands_out(1, Sequence::zero)) seen.push_back(Pattern::once_a_turn);
    if (stands_out(0, Sequence::negative)) seen.push_back(Pattern::pairs_differ);
    if (has_overlap_ && fit_->drift &&
        std::fabs(*fit_->drift) > student(kDriftQuantile, fit_->fit.freedom) * fit_->drift_u) {
      seen.push_back(Pattern::drifting);
    }
    if (seen.empty()) seen.push_back(Pattern::sweep_even);
    sweep_.pattern = seen.front();
    sweep_.also.assign(seen.begin() + 1, seen.end());
  }

  template <class Value>
  [[nodiscard]] std::optional<Value> said(std::optional<Value> SweepReading::*member) const {
    for (const SweepReading& reading : sweep_.readings) {
      if (reading.*member) return reading.*member;
    }
    return std::nullopt;
  }

  // The bars' ripple is scatter to the patterns; where it is known it is none to the interval.
  [[nodiscard]] SweepFit without_ripple() const {
    if (!bars_ || *bars_ <= *poles_) return *fit_;
    std::vector<int> with_bars = orders();
    with_bars.push_back(*bars_);
    auto fit = fit_sweep(sweep_.readings, with_bars, fit_->drift.has_value());
    return fit ? *fit : *fit_;
  }

  void take_eccentricity() {
    if (poles_ != 2 || !sweep_.shows(Pattern::pole_pattern)) return;
    if (sweep_.shows(Pattern::too_noisy)) return;
    const auto share = said(&SweepReading::gap_share);
    const auto shaft_return = said(&SweepReading::shaft_return);
    if (!share || !shaft_return || !said(&SweepReading::anisotropy_excluded).value_or(false)) {
      return;
    }
    const SweepFit fit = without_ripple();
    const Phasor pole = fit.phasor(2, Sequence::negative);
    // Of an amplitude in scatter the square is high by u².
    const double seen = std::sqrt(std::max(std::norm(pole.value) - pole.u * pole.u, 0.0));
    const double once =
        stands_out(1, Sequence::zero) ? std::abs(fit.phasor(1, Sequence::zero).value) : 0.0;
    const double reach = student(k95, fit.fit.freedom) * pole.u;
    const auto inverted = [&](double amplitude) {
      return turning_eccentricity(amplitude, once, {*share, *shaft_return});
    };
    const auto value = inverted(seen);
    const auto high = inverted(seen + reach);
    const auto low = seen > reach ? inverted(seen - reach) : std::optional(0.0);
    if (!value || !low || !high) return;
    sweep_.eccentricity = SweepEccentricity{Percent{100 * *value}, Percent{100 * *low},
                                            Percent{100 * *high}, model_of(*share, *shaft_return)};
  }

  std::optional<int> poles_;
  std::optional<int> bars_;
  CoilLayout layout_;
  Sweep sweep_;
  std::vector<double> angles_;  // in the turn, each once
  bool has_overlap_ = false;
  bool sees_poles_ = false;
  std::optional<int> steps_;
  std::set<int> aliased_;
  std::optional<SweepFit> fit_;
};

struct RowsOfMotor {
  std::vector<std::pair<std::string, std::vector<SweepReading>>> sweeps;  ///< as they begin
  std::vector<AirGapReading> gaps;

  void add(const SweepReading& reading) {
    const auto [at, is_new] = places_.try_emplace(reading.sweep, sweeps.size());
    if (is_new) sweeps.emplace_back(reading.sweep, std::vector<SweepReading>());
    sweeps[at->second].second.push_back(reading);
  }

 private:
  std::map<std::string, std::size_t> places_;
};

void judge_rows(const RowsOfMotor& rows, const Motor* motor, Rotors& found) {
  for (const auto& [name, sweep] : rows.sweeps) {
    // What cannot be judged was left out, with a word on it, when the table was read.
    if (auto judged = judge(sweep, motor)) found.sweeps.push_back(std::move(*judged));
  }
  auto ends = motor == nullptr ? air_gaps(rows.gaps, std::nullopt)
                               : air_gaps(rows.gaps, motor->poles, motor->rated_kw);
  for (AirGap& end : ends) found.air_gaps.push_back(std::move(end));
}

}  // namespace

bool Sweep::shows(Pattern wanted) const {
  return pattern == wanted || std::find(also.begin(), also.end(), wanted) != also.end();
}

const Harmonic* Sweep::find(int order, Sequence sequence) const {
  const auto at = std::find_if(harmonics.begin(), harmonics.end(), [&](const Harmonic& its) {
    return its.order == order && its.sequence == sequence;
  });
  return at == harmonics.end() ? nullptr : &*at;
}

Result<Sweep> judge(std::span<const SweepReading> readings, const Motor* motor) {
  std::vector<SweepReading> sorted(readings.begin(), readings.end());
  std::stable_sort(sorted.begin(), sorted.end(), [](const SweepReading& a, const SweepReading& b) {
    return a.angle_deg < b.angle_deg;
  });
  const std::size_t angles = angles_in_turn(sorted).size();
  if (angles < kLeastAngles) {
    return fail({.kind = ErrorKind::missing,
                 .what = "a sweep has too few angles",
                 .found = std::to_string(angles),
                 .expected = std::to_string(kLeastAngles) + " or more, over the whole turn"});
  }
  return Judge(std::move(sorted), motor).judged();
}

std::vector<std::string> Rotors::motors() const {
  std::vector<std::string> named;
  std::set<std::string_view> known;
  for (const Sweep& sweep : sweeps) {
    if (known.insert(sweep.motor).second) named.push_back(sweep.motor);
  }
  for (const AirGap& gap : air_gaps) {
    if (known.insert(gap.motor).second) named.push_back(gap.motor);
  }
  return named;
}

Rotors rotors(const Survey& survey, std::optional<std::string_view> motor) {
  const auto is_asked = [&motor](std::string_view id) { return !motor || id == *motor; };
  std::map<std::string_view, RowsOfMotor> rows;
  std::vector<std::string_view> ids;
  const auto of = [&](const std::string& id) -> RowsOfMotor& {
    const auto [its, is_new] = rows.try_emplace(id);
    if (is_new) ids.push_back(id);
    return its->second;
  };
  for (const SweepReading& reading : survey.sweeps) {
    if (is_asked(reading.motor)) of(reading.motor).add(reading);
  }
  for (const AirGapReading& reading : survey.air_gaps) {
    if (is_asked(reading.motor)) of(reading.motor).gaps.push_back(reading);
  }
  Rotors found;
  // Motors as the survey lists them, then those that it does not list.
  for (const Motor& row : survey.motors) {
    const auto its = rows.find(row.id);
    if (its == rows.end()) continue;
    judge_rows(its->second, &row, found);
    rows.erase(its);
  }
  for (const std::string_view id : ids) {
    const auto its = rows.find(id);
    if (its != rows.end()) judge_rows(its->second, nullptr, found);
  }
  return found;
}

}  // namespace ohmglow::rotor
