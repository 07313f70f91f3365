#include "judging.h"

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <numbers>

namespace ohmglow::diagnosis {
namespace {

using std::chrono::sys_days;

// Below this the temperature coefficient of copper has no meaning (its inferred zero).
constexpr Celsius kInferredZero{-234.5};

std::optional<sys_days> own_day(const Reading& reading) {
  if (!reading.taken_at) return std::nullopt;
  return reading.taken_at->day;
}

bool no_later(const Reading& a, const Reading& b) {
  if (!a.taken_at || !b.taken_at) return true;
  return a.taken_at->time <= b.taken_at->time;
}

Loads loads_from(const Reading& current_reading) {
  const auto& v = current_reading.values;
  return {Ampere{v[0]}, Ampere{v[1]}, Ampere{v[2]}};
}

bool usable_currents(const Reading& reading) {
  return reading.test == Test::line_current &&
         std::all_of(reading.values.begin(), reading.values.end(),
                     [](double a) { return std::isfinite(a) && a >= 0; });
}

int farthest_from_mean(const std::array<double, 3>& values) {
  const double mean = (values[0] + values[1] + values[2]) / 3;
  const auto farther = [mean](double a, double b) {
    return std::fabs(a - mean) < std::fabs(b - mean);
  };
  return static_cast<int>(std::max_element(values.begin(), values.end(), farther) -
                          values.begin()) +
         1;
}

// Above a limit at a confidence (one-sided, normal).
bool is_beyond(Percent value, Percent u, Percent limit, double confidence) {
  const double guard = boost::math::quantile(boost::math::normal(), confidence) * u.value();
  return exceeds(value.value() - guard, limit.value());
}

// A two-wire meter reads its own leads along with the circuit.
PerPair<Ohm> without_leads(const Reading& reading) {
  const Ohm leads = reading.lead_ohm.value_or(Ohm{0});
  const auto& x = reading.values;
  return {Ohm{x[0]} - leads, Ohm{x[1]} - leads, Ohm{x[2]} - leads};
}

// A winding that cools while its pairs are measured makes them unequal (copper 0.4 % a kelvin). The
// first pair once more at the end shows it; equal steps between four readings (house rule).
void take_drift_off(ElectricalResult& r, const Reading& reading) {
  if (!reading.value_1_again || reading.test != Test::winding_resistance) return;
  const double first = r.values[0];
  const double change = *reading.value_1_again - reading.lead_ohm.value_or(Ohm{0}).value() - first;
  r.first_pair_drift = Percent{100 * change / first};
  const double accuracy = r.meter.u.value() / 100 * first;
  const double digit = r.meter.least_count.value_or(0) / std::sqrt(12.0);
  if (std::fabs(change) <= kCoverage * std::numbers::sqrt2 * std::hypot(accuracy, digit)) return;
  r.drift_taken_off = true;
  r.values[1] -= change / 3;
  r.values[2] -= change * 2 / 3;
}

// Each joint's resistance: as measured, or its drop over the current of its phase.
std::optional<PerPhase<Ohm>> joints_of(const Reading& reading, const Loads& loads) {
  if (reading.test == Test::joint_resistance) return without_leads(reading);
  PerPhase<Ohm> joints{Ohm{0}, Ohm{0}, Ohm{0}};
  for (const Phase phase : kPhases) {
    const auto current = current_in(loads, phase);
    if (!current || current->value() <= 0) return std::nullopt;
    joints.at(index_of(phase)) = Ohm{reading.values.at(index_of(phase)) / current->value()};
  }
  return joints;
}

// Whether an excess makes a rise that reaches the first band at rated current, however well the lug
// is cooled: good joints of a few micro-ohms part by half as well, and nobody need open them for
// it.
bool would_heat(Ohm excess, const Motor* motor, const severity::Policy& policy) {
  const auto setting = lug_setting(motor);
  const auto limit = severity::first_like_limit(policy);
  if (!setting || !limit) return true;
  const Watt heat = electrical::excess_heat(excess, *motor->rated_a);
  return limit->reached_by(electrical::rise_from(*setting, heat).low);
}

void work_out_joint(ElectricalResult& r, const Reading& reading, const Motor* motor,
                    const severity::Policy& policy, const Loads& loads) {
  const auto joints = joints_of(reading, loads);
  if (!joints) {
    r.problem =
        "a voltage drop across a joint says nothing without the current that made it: give "
        "load_1_a to load_3_a of an image, or a line_current reading of the same day";
    return;
  }
  electrical::Meter meter = r.meter;
  if (reading.test == Test::joint_drop) {
    // The least count in ohm, at the mean current.
    meter.least_count = *meter.least_count / mean_of(loads)->value();
    meter.u = Percent{std::hypot(meter.u.value(), electrical::kCurrentMeterU.value())};
  }
  const auto compared = electrical::compare_joints(*joints, meter);
  if (!compared) {
    r.problem = sentence(compared.error());
    return;
  }
  r.unbalance =
      electrical::unbalance({(*joints)[0].value(), (*joints)[1].value(), (*joints)[2].value()});
  const bool bad = is_beyond(compared->over_lowest, compared->over_lowest_u,
                             electrical::kNormalJointDeviation, policy.confidence) &&
                   would_heat(compared->excess, motor, policy);
  r.abnormal = bad;
  r.joint = JointResult{.phase = compared->phase,
                        .joints = *joints,
                        .excess = compared->excess,
                        .excess_u = compared->excess_u,
                        .over_lowest_pct = compared->over_lowest.value(),
                        .bad = bad};
  r.excess_at_a = current_in(loads, compared->phase);
  if (r.excess_at_a) {
    r.excess_w = electrical::excess_heat(compared->excess, *r.excess_at_a);
    r.excess_u_w = electrical::excess_heat_u(compared->excess, compared->excess_u, *r.excess_at_a);
  }
}

void work_out_resistance(ElectricalResult& r, const Reading& reading, const Motor* motor,
                         const severity::Policy& policy, const Loads& loads) {
  const PerPair<Ohm> pairs{Ohm{r.values[0]}, Ohm{r.values[1]}, Ohm{r.values[2]}};
  auto resolved =
      electrical::resolve(pairs, motor ? motor->connection : Connection::unknown, r.meter);
  if (!resolved) {
    r.problem = sentence(resolved.error());
    return;
  }
  r.resolution = std::move(*resolved);
  r.unbalance = r.resolution->pair_unbalance;
  r.grade = severity::grade_reading(policy, *r.unbalance);
  r.abnormal = is_beyond(*r.unbalance, r.resolution->pair_unbalance_u,
                         electrical::kNormalPairUnbalance, policy.confidence);
  r.excess_at_a = current_in(loads, r.resolution->phase);
  if (r.excess_at_a) {
    r.excess_w = electrical::excess_heat(r.resolution->excess, *r.excess_at_a);
    r.excess_u_w =
        electrical::excess_heat_u(r.resolution->excess, r.resolution->excess_u, *r.excess_at_a);
  }
  if (reading.temperature_c && *reading.temperature_c > kInferredZero) {
    const auto refer = [&](Ohm pair) {
      return electrical::refer_resistance(pair, *reading.temperature_c, electrical::kReference);
    };
    r.referred_25c = PerPair<Ohm>{refer(pairs[0]), refer(pairs[1]), refer(pairs[2])};
  }
}

void work_out_current(ElectricalResult& r) {
  if (std::any_of(r.values.begin(), r.values.end(), [](double a) { return !(a >= 0); })) {
    r.problem = "a line current is a magnitude and cannot be below zero";
    return;
  }
  r.unbalance = electrical::unbalance(r.values);  // absent for a motor that stood still
  if (r.unbalance) r.farthest = farthest_from_mean(r.values);
}

void work_out_voltage(ElectricalResult& r) {
  r.unbalance = electrical::unbalance(r.values);
  r.negative_sequence =
      electrical::negative_sequence({Volt{r.values[0]}, Volt{r.values[1]}, Volt{r.values[2]}});
  if (!r.unbalance || !r.negative_sequence) {
    r.problem = fmt::format(
        "the three line voltages close no triangle: found {}, {} and {} V, expected each above "
        "zero and below the sum of the two others; measure again",
        plainly(number(r.values[0], 1)), plainly(number(r.values[1], 1)),
        plainly(number(r.values[2], 1)));
    return;
  }
  r.abnormal = exceeds(r.unbalance->value(), electrical::kNormalVoltageUnbalance.value());
  r.farthest = farthest_from_mean(r.values);
  r.derating = electrical::derating_factor(*r.unbalance);
}

bool within_age(const Judging& judging, const ElectricalResult& reading, sys_days day) {
  const auto apart = judging.days.day_of(reading.taken_at) - day;
  return std::chrono::abs(apart).count() <= judging.result.options.reading_age_d;
}

// A reading without a date, in a survey without one, may be of any time.
bool is_dated(const Judging& judging, const ElectricalResult& reading) {
  return reading.taken_at || judging.days.surveyed_on;
}

// Those of a day; without a day those of the only one.
Loads loads_of(const LoadsByDay& by_day, std::optional<sys_days> day) {
  if (!day) return by_day.size() == 1 ? by_day.begin()->second : Loads{};
  const auto at = by_day.find(*day);
  return at == by_day.end() ? Loads{} : at->second;
}

}  // namespace

electrical::Meter meter_of(const Reading& reading) {
  electrical::Meter meter = electrical::default_meter(reading.test);
  if (reading.meter_u_pct) meter.u = Percent{*reading.meter_u_pct};
  meter.least_count = reading.resolution.value_or(electrical::four_digit_least_count(
      *std::max_element(reading.values.begin(), reading.values.end())));
  if (reading.lead_u_ohm) meter.lead_u = reading.lead_u_ohm->value();
  return meter;
}

bool any_given(const Loads& loads) {
  return std::any_of(loads.begin(), loads.end(), [](const auto& a) { return a.has_value(); });
}

std::optional<Ampere> mean_of(const Loads& loads) {
  double sum = 0;
  int count = 0;
  for (const auto& load : loads) {
    if (!load) continue;
    sum += load->value();
    ++count;
  }
  if (count == 0) return std::nullopt;
  return Ampere{sum / count};
}

std::optional<Ampere> current_in(const Loads& loads, Phase phase) {
  const auto& own = loads.at(index_of(phase));
  return own ? own : mean_of(loads);
}

sys_days Days::day_of(const std::optional<Moment>& own) const {
  if (own) return own->day;
  return surveyed_on ? surveyed_on->day : as_of;
}

std::chrono::sys_seconds Days::time_of(const std::optional<Moment>& own) const {
  if (own) return own->time;
  return surveyed_on ? surveyed_on->time : std::chrono::sys_seconds{as_of};
}

std::string day_text(sys_days day) {
  const std::chrono::year_month_day date{day};
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()));
}

std::string folded(std::string_view name) {
  std::string text(name);
  for (char& c : text) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return text;
}

std::vector<ElectricalResult> work_out(const std::vector<const Reading*>& readings,
                                       const Motor* motor, const severity::Policy& policy,
                                       const Loads& loads, const LoadsByDay& by_day) {
  std::map<std::optional<sys_days>, const Reading*> currents;
  for (const Reading* reading : readings) {
    if (!usable_currents(*reading)) continue;
    const Reading*& latest = currents[own_day(*reading)];
    if (!latest || no_later(*latest, *reading)) latest = reading;
  }
  std::vector<ElectricalResult> results;
  results.reserve(readings.size());
  for (const Reading* reading : readings) {
    ElectricalResult r;
    r.test = reading->test;
    r.place = reading->place;
    r.taken_at = reading->taken_at;
    r.values = reading->values;
    if (reading->lead_ohm && reading->test == Test::winding_resistance) {
      for (double& value : r.values) value -= reading->lead_ohm->value();
    }
    r.meter = meter_of(*reading);
    take_drift_off(r, *reading);
    const auto same_day = currents.find(own_day(*reading));
    const bool from_reading = !any_given(loads) && same_day != currents.end();
    const Loads its_loads = from_reading ? loads_from(*same_day->second) : loads;
    switch (reading->test) {
      case Test::winding_resistance:
        work_out_resistance(r, *reading, motor, policy, its_loads);
        break;
      case Test::line_current:
        work_out_current(r);
        break;
      case Test::line_voltage:
        work_out_voltage(r);
        break;
      case Test::joint_resistance:
        work_out_joint(r, *reading, motor, policy, its_loads);
        break;
      case Test::joint_drop:
        work_out_joint(r, *reading, motor, policy,
                       same_day != currents.end() ? loads_from(*same_day->second)
                                                  : loads_of(by_day, own_day(*reading)));
        break;
    }
    if (r.unbalance && !r.joint) r.unbalance_u = electrical::unbalance_u(r.values, r.meter);
    results.push_back(std::move(r));
  }
  return results;
}

Loads loads_at(const Judging& judging, const ImageResult& image) {
  if (any_given(image.load_a)) return image.load_a;
  const Days& days = judging.days;
  const sys_days day = days.day_of(image.taken_at);
  const Reading* latest = nullptr;
  for (const Reading* reading : judging.readings) {
    if (!usable_currents(*reading) || days.day_of(reading->taken_at) != day) continue;
    // What a drive draws says nothing of what it puts out.
    const auto here = drive_side(judging, image.component);
    const auto there = drive_side(judging, reading->place);
    if (here && there && *here != *there) continue;
    if (!latest || days.time_of(reading->taken_at) >= days.time_of(latest->taken_at)) {
      latest = reading;
    }
  }
  return latest ? loads_from(*latest) : Loads{};
}

std::vector<std::size_t> counted_readings(const Judging& judging, sys_days day) {
  const auto& electrical = judging.motor_result().electrical;
  std::map<std::string, std::size_t> latest;
  for (std::size_t i = 0; i < electrical.size(); ++i) {
    const ElectricalResult& r = electrical[i];
    if (r.test != Test::winding_resistance || !r.problem.empty()) continue;
    if (!is_dated(judging, r) || !within_age(judging, r, day)) continue;
    const auto [at, is_new] = latest.emplace(folded(r.place), i);
    if (is_new) continue;
    const ElectricalResult& other = electrical[at->second];
    if (judging.days.time_of(r.taken_at) >= judging.days.time_of(other.taken_at)) at->second = i;
  }
  std::vector<std::size_t> counted;
  for (const auto& [place, index] : latest) counted.push_back(index);
  std::sort(counted.begin(), counted.end());
  return counted;
}

std::optional<std::size_t> worst_of(const std::vector<ElectricalResult>& electrical,
                                    const std::vector<std::size_t>& counted) {
  std::optional<std::size_t> worst;
  for (const std::size_t i : counted) {
    if (!worst || *electrical[i].unbalance >= *electrical[*worst].unbalance) worst = i;
  }
  return worst;
}

std::optional<std::size_t> joint_reading_for(const Judging& judging, std::size_t component) {
  const auto& electrical = judging.motor_result().electrical;
  const ComponentCase& its = judging.components[component];
  const std::string name = folded(judging.result.components[component].component);
  std::optional<std::size_t> latest;
  for (std::size_t i = 0; i < electrical.size(); ++i) {
    const ElectricalResult& r = electrical[i];
    if (!r.joint || folded(r.place) != name) continue;
    if (!is_dated(judging, r) || !within_age(judging, r, its.day)) continue;
    if (!latest ||
        judging.days.time_of(r.taken_at) >= judging.days.time_of(electrical[*latest].taken_at)) {
      latest = i;
    }
  }
  return latest;
}

std::optional<std::size_t> voltage_for(const Judging& judging, sys_days day) {
  const auto& electrical = judging.motor_result().electrical;
  const Days& days = judging.days;
  std::optional<std::size_t> latest;
  for (std::size_t i = 0; i < electrical.size(); ++i) {
    const ElectricalResult& r = electrical[i];
    if (r.test != Test::line_voltage || !r.problem.empty()) continue;
    if (!within_age(judging, r, day)) continue;
    if (drive_side(judging, r.place) == DriveSide::output) continue;  // no supply's voltages
    if (!latest || days.time_of(r.taken_at) >= days.time_of(electrical[*latest].taken_at)) {
      latest = i;
    }
  }
  return latest;
}

const ElectricalResult* Judging::reading_of(std::size_t component) const {
  const auto& index = result.components[component].reading;
  if (!index) return nullptr;
  return &motor_result().electrical[*index];
}

const JointResult* Judging::joint_of(std::size_t component) const {
  const auto& index = result.components[component].joint_reading;
  return index ? &*motor_result().electrical[*index].joint : nullptr;
}

}  // namespace ohmglow::diagnosis
