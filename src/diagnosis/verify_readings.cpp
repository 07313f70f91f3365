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
    return side;
  }
  side.unbalance_pct = reading.unbalance->value();
  side.unbalance_u_pct = reading.unbalance_u ? reading.unbalance_u->value() : 0;
  if (phase) {
    const Excess excess = excess_of(reading, *phase);
    side.excess = Ohm{excess.ohm};
    side.excess_u = Ohm{excess.u_ohm};
  }
  return side;
}

void decide(ReadingChange& change) {
  change.change_pct = change.after->unbalance_pct - change.before->unbalance_pct;
  change.change_u_pct = std::hypot(change.after->unbalance_u_pct, change.before->unbalance_u_pct);
  const bool beyond = std::fabs(*change.change_pct) > 2 * *change.change_u_pct;
  const bool of_joint = change.test == Test::joint_resistance || change.test == Test::joint_drop;
  change.reason =
      sentence(of_joint ? msg("highest joint {} ± {} % above the lowest before, {} ± {} % after")
                        : msg("unbalance {} ± {} % before, {} ± {} % after"),
               number(change.before->unbalance_pct, 2), number(change.before->unbalance_u_pct, 2),
               number(change.after->unbalance_pct, 2), number(change.after->unbalance_u_pct, 2));
  if (!change.fault_before && !change.fault_after) {
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

// Only what a lead's excess burns; a winding's is no connection.
void count_watts(ReadingChange& change, const ElectricalResult& before) {
  if (change.change == Change::not_comparable || !change.before->excess || !before.excess_at_a)
    return;
  const bool of_winding =
      before.resolution && before.resolution->points_to == electrical::PointsTo::winding;
  if (of_winding || !change.fault_before) return;
  const double current = before.excess_at_a->value();
  change.at_a = before.excess_at_a;
  change.saved_w =
      electrical::excess_heat(*change.before->excess - *change.after->excess, *before.excess_at_a);
  change.saved_u_w =
      Watt{std::hypot(change.before->excess_u->value(), change.after->excess_u->value()) * current *
           current};
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
  change.after = side_of(*after, change.phase);
  change.fault_after = change.after && exceeds(measured_pct(*after), limit.value());
  if (!change.before || !change.after) {
    change.reason = change.before ? sentence("the reading of the second survey has no unbalance")
                                  : sentence("the reading of the first survey has no unbalance");
    return change;
  }
  decide(change);
  count_watts(change, before);
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
