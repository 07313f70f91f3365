#include "verifying.h"
#include "wording.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::diagnosis {
namespace {

struct Key {
  Test test;
  std::string place;
  friend auto operator<=>(const Key&, const Key&) = default;
};

using Latest = std::vector<std::pair<Key, const ElectricalResult*>>;

// The latest of each test and place, in the order in which they first appear.
Latest latest_of(const Side& side, std::string_view motor) {
  Latest latest;
  const MotorResult* result = side.assessment.find_motor(motor);
  if (!result) return latest;
  for (const ElectricalResult& reading : result->electrical) {
    const Key key{reading.test, folded(reading.place)};
    const auto at = std::find_if(latest.begin(), latest.end(),
                                 [&](const auto& known) { return known.first == key; });
    if (at == latest.end()) {
      latest.emplace_back(key, &reading);
    } else if (side.days.time_of(reading.taken_at) >= side.days.time_of(at->second->taken_at)) {
      at->second = &reading;
    }
  }
  return latest;
}

const ElectricalResult* find(const Latest& latest, const Key& key) {
  const auto at = std::find_if(latest.begin(), latest.end(),
                               [&](const auto& known) { return known.first == key; });
  return at == latest.end() ? nullptr : at->second;
}

// Limits on the unbalance: of resistances common practice, of voltages NEMA MG 1, of currents ten
// times that of voltages (NEMA MG 1 expects 6 to 10 times).
constexpr double kCurrentPerVoltage = 10;
Percent normal_unbalance(Test test) {
  switch (test) {
    case Test::winding_resistance:
      return electrical::kNormalPairUnbalance;
    case Test::line_voltage:
      return electrical::kNormalVoltageUnbalance;
    case Test::joint_resistance:
    case Test::joint_drop:
      return electrical::kNormalJointDeviation;
    case Test::line_current:
      break;
  }
  return electrical::kNormalVoltageUnbalance * kCurrentPerVoltage;
}

// Excess of a phase's leg over the mean of the two others, from the pairs: (a + c) / 2 − b with b
// the pair that does not touch it.
struct Excess {
  double ohm = 0;
  double u_ohm = 0;
};
Excess excess_of(const ElectricalResult& reading, Phase phase) {
  const auto& pairs = reading.values;
  const double largest = *std::max_element(pairs.begin(), pairs.end());
  const double a = pairs.at(index_of(phase));
  const double b = pairs.at((index_of(phase) + 1) % 3);
  const double c = pairs.at((index_of(phase) + 2) % 3);
  const auto u = [&](double value) { return electrical::reading_u(value, largest, reading.meter); };
  return {(a + c) / 2 - b, std::hypot(u(a) / 2, u(c) / 2, u(b))};
}

// Above zero: a reading that has joints has compared them.
Ohm lowest_of(const PerPhase<Ohm>& joints) {
  return *std::min_element(joints.begin(), joints.end());
}

// A value with the pairs (or joints) that it is worked out from, each with its part.
struct Linear {
  std::array<double, 3> parts{};

  [[nodiscard]] double of(const std::array<double, 3>& values) const {
    return parts[0] * values[0] + parts[1] * values[1] + parts[2] * values[2];
  }
  [[nodiscard]] double u(const ElectricalResult& reading) const {
    const auto& values = reading.values;
    const double largest = *std::max_element(values.begin(), values.end());
    double squares = 0;
    for (std::size_t i = 0; i < 3; ++i) {
      const double part = parts.at(i) * electrical::reading_u(values.at(i), largest, reading.meter);
      squares += part * part;
    }
    return std::sqrt(squares);
  }
};

// What all three phases burn above the lowest leg: Σ I²(R − R_lowest), R = (a + c − b) / 2 with b
// the pair that does not touch the phase. The winding's own resistance, and with it its
// temperature, falls out. Across joints every ohm is the joints' own.
Linear circuit_heat(const ElectricalResult& reading, const std::array<double, 3>& currents_a) {
  Linear heat;
  if (reading.joint) {
    const double per_value = lowest_of(reading.joint->joints).value() /
                             *std::min_element(reading.values.begin(), reading.values.end());
    for (std::size_t i = 0; i < 3; ++i) {
      heat.parts.at(i) = per_value * currents_a.at(i) * currents_a.at(i);
    }
    return heat;
  }
  std::array<Linear, 3> legs;
  for (std::size_t i = 0; i < 3; ++i) {
    legs.at(i).parts.at(i) += 0.5;
    legs.at(i).parts.at((i + 2) % 3) += 0.5;
    legs.at(i).parts.at((i + 1) % 3) -= 0.5;
  }
  const auto& lowest = *std::min_element(
      legs.begin(), legs.end(),
      [&](const auto& a, const auto& b) { return a.of(reading.values) < b.of(reading.values); });
  for (std::size_t i = 0; i < 3; ++i) {
    const double squared = currents_a.at(i) * currents_a.at(i);
    for (std::size_t pair = 0; pair < 3; ++pair) {
      heat.parts.at(pair) += squared * (legs.at(i).parts.at(pair) - lowest.parts.at(pair));
    }
  }
  return heat;
}

// The three currents under which the first survey saw the motor, else one for all three.
std::optional<std::array<double, 3>> currents_of(const Side& side, const ElectricalResult& reading,
                                                 const std::string& motor) {
  for (const ComponentResult& component : side.assessment.components) {
    const auto& load = component.load_a;
    if (component.motor != motor || !load[0] || !load[1] || !load[2]) continue;
    return std::array{load[0]->value(), load[1]->value(), load[2]->value()};
  }
  if (!reading.excess_at_a) return std::nullopt;
  const double mean = reading.excess_at_a->value();
  return std::array{mean, mean, mean};
}

// What is held against the limit of its test.
double measured_pct(const ElectricalResult& reading) {
  return reading.joint ? reading.joint->over_lowest_pct : reading.unbalance->value();
}

std::optional<ReadingSide> side_of(const ElectricalResult& reading, std::optional<Phase> phase) {
  if (!reading.problem.empty() || !reading.unbalance) return std::nullopt;
  ReadingSide side;
  side.taken_at = reading.taken_at;
  if (reading.joint) {
    side.unbalance_pct = reading.joint->over_lowest_pct;
    side.unbalance_u_pct =
        100 * reading.joint->excess_u.value() / lowest_of(reading.joint->joints).value();
    side.excess = reading.joint->excess;
    side.excess_u = reading.joint->excess_u;
    side.phase = reading.joint->phase;
    return side;
  }
  side.unbalance_pct = reading.unbalance->value();
  if (reading.resolution) side.phase = reading.resolution->phase;
  side.unbalance_u_pct = reading.unbalance_u ? reading.unbalance_u->value() : 0;
  if (phase) {
    const Excess excess = excess_of(reading, *phase);
    side.excess = Ohm{excess.ohm};
    side.excess_u = Ohm{excess.u_ohm};
  }
  return side;
}

// How far another phase than the one before has risen, beyond twice the uncertainty; absent: none.
std::optional<Phase> moved_to(const ReadingChange& change, const ElectricalResult& before,
                              const ElectricalResult& after) {
  if (!change.fault_after || !change.before->phase || !change.after->phase) return std::nullopt;
  const Phase now = *change.after->phase;
  if (now == *change.before->phase) return std::nullopt;
  if (before.joint && after.joint) {
    const double limit = 1 + normal_unbalance(change.test).value() / 100;
    const auto at = index_of(now);
    const bool was_bad =
        before.joint->joints.at(at).value() > limit * lowest_of(before.joint->joints).value();
    return was_bad ? std::nullopt : std::optional(now);
  }
  const Excess was = excess_of(before, now);
  const Excess is = excess_of(after, now);
  const bool has_risen = is.ohm - was.ohm > kCoverage * std::hypot(is.u_ohm, was.u_ohm);
  return has_risen ? std::optional(now) : std::nullopt;
}

void decide(ReadingChange& change, const ElectricalResult& before, const ElectricalResult& after,
            const Side& second) {
  change.change_pct = change.after->unbalance_pct - change.before->unbalance_pct;
  change.change_u_pct = std::hypot(change.after->unbalance_u_pct, change.before->unbalance_u_pct);
  const bool beyond = std::fabs(*change.change_pct) > kCoverage * *change.change_u_pct;
  const bool of_joint = change.test == Test::joint_resistance || change.test == Test::joint_drop;
  change.reason =
      sentence(of_joint ? msg("highest joint {} ± {} % above the lowest before, {} ± {} % after")
                        : msg("unbalance {} ± {} % before, {} ± {} % after"),
               number(change.before->unbalance_pct, 2), number(change.before->unbalance_u_pct, 2),
               number(change.after->unbalance_pct, 2), number(change.after->unbalance_u_pct, 2));
  const auto moved = change.fault_before ? moved_to(change, before, after) : std::nullopt;
  if (moved) {
    change.change = Change::moved;
    change.reason =
        clauses({std::move(change.reason),
                 sentence("it is {} now that stands out, {} before", phase_title(second, *moved),
                          phase_title(second, *change.before->phase))});
  } else if (!change.fault_before && !change.fault_after) {
    change.change = Change::even;
  } else if (!beyond) {
    change.change = Change::unchanged;
    change.reason = layout("{}: {}", std::move(change.reason),
                           sentence("the change is within twice its uncertainty"));
  } else if (*change.change_pct > 0) {
    change.change = Change::worse;
  } else if (change.fault_after) {
    change.change = Change::improved;
    change.reason =
        layout("{}: {}", std::move(change.reason),
               sentence("still over {} %", short_number(normal_unbalance(change.test).value())));
  } else {
    change.change = Change::repaired;
  }
}

// Only what leads and joints burn; a winding's excess is no connection.
void count_watts(ReadingChange& change, const ElectricalResult& before,
                 const ElectricalResult& after, const Side& first) {
  const auto is_of_winding = [](const ElectricalResult& reading) {
    return reading.resolution && reading.resolution->points_to == electrical::PointsTo::winding;
  };
  const bool shows_ohms = change.before->excess && change.after->excess;
  if (!shows_ohms || !change.fault_before || is_of_winding(before) || is_of_winding(after)) return;
  const auto currents = currents_of(first, before, change.motor);
  if (!currents) return;
  const Linear was = circuit_heat(before, *currents);
  const Linear is = circuit_heat(after, *currents);
  change.before->circuit_w = Watt{was.of(before.values)};
  change.after->circuit_w = Watt{is.of(after.values)};
  change.at_a = Ampere{((*currents)[0] + (*currents)[1] + (*currents)[2]) / 3};
  change.saved_w = Watt{was.of(before.values) - is.of(after.values)};
  change.saved_u_w = Watt{std::hypot(was.u(before), is.u(after))};
}

ReadingChange compare(const std::string& motor, const ElectricalResult& before,
                      const ElectricalResult* after, const Side& first, const Side& second) {
  ReadingChange change;
  change.motor = motor;
  change.test = before.test;
  change.place = before.place;
  if (before.resolution) change.phase = before.resolution->phase;
  if (before.joint) change.phase = before.joint->phase;
  change.before = side_of(before, change.phase);
  const Percent limit = normal_unbalance(before.test);
  change.fault_before = change.before && exceeds(measured_pct(before), limit.value());
  if (!after || second.days.time_of(after->taken_at) <= first.days.time_of(before.taken_at)) {
    change.reason = sentence("not measured again");
    return change;
  }
  const auto from = proves_from(second, motor);
  const auto taken = second.days.day_of(after->taken_at);
  if (from && taken < *from) {
    change.reason =
        sentence("the reading of {} is from before the repair and proves nothing", day_text(taken));
    return change;
  }
  change.after = side_of(*after, change.phase);
  change.fault_after = change.after && exceeds(measured_pct(*after), limit.value());
  if (!change.before || !change.after) {
    change.reason = change.before ? sentence("the reading of the second survey has no unbalance")
                                  : sentence("the reading of the first survey has no unbalance");
    return change;
  }
  decide(change, before, *after, second);
  count_watts(change, before, *after, first);
  return change;
}

}  // namespace

std::vector<ReadingChange> compare_readings(const Side& before, const Side& after) {
  std::vector<ReadingChange> changes;
  for (const MotorResult& motor : before.assessment.motors) {
    const Latest now = latest_of(after, motor.motor);
    for (const auto& [key, reading] : latest_of(before, motor.motor)) {
      changes.push_back(compare(motor.motor, *reading, find(now, key), before, after));
    }
  }
  for (const MotorResult& motor : after.assessment.motors) {
    const Latest then = latest_of(before, motor.motor);
    for (const auto& [key, reading] : latest_of(after, motor.motor)) {
      if (find(then, key)) continue;
      ReadingChange change;
      change.motor = motor.motor;
      change.test = reading->test;
      change.place = reading->place;
      if (reading->resolution) change.phase = reading->resolution->phase;
      if (reading->joint) change.phase = reading->joint->phase;
      change.after = side_of(*reading, change.phase);
      change.fault_after =
          change.after && exceeds(measured_pct(*reading), normal_unbalance(reading->test).value());
      change.reason = sentence("not measured before");
      changes.push_back(std::move(change));
    }
  }
  return changes;
}

std::optional<std::chrono::sys_days> proves_from(const Side& after, std::string_view motor) {
  const Motor* row = after.assessment.survey.find_motor(motor);
  if (row && row->repaired_on) return row->repaired_on->day;
  std::optional<std::chrono::sys_days> first;
  if (after.days.surveyed_on) first = after.days.surveyed_on->day;
  for (const ImageResult& image : after.assessment.images) {
    if (image.motor != motor || !image.taken_at) continue;
    first = std::min(first.value_or(image.taken_at->day), image.taken_at->day);
  }
  return first;
}

bool has_newer_reading(const Side& before, const Side& after, std::string_view motor) {
  const Latest then = latest_of(before, motor);
  for (const auto& [key, reading] : latest_of(after, motor)) {
    const ElectricalResult* old = find(then, key);
    if (!old || after.days.time_of(reading->taken_at) > before.days.time_of(old->taken_at)) {
      return true;
    }
  }
  return false;
}

}  // namespace ohmglow::diagnosis
