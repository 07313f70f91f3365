#include "judging.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmglow::diagnosis {
namespace {

struct PlaceWord {
  std::string_view word;
  double order;
};
// From the supply to the motor; a name may hold several, the last one in this list tells.
constexpr std::array<PlaceWord, 14> kPlaceWords{{{"supply", 0},
                                                 {"feeder", 0},
                                                 {"disconnect", 1},
                                                 {"isolator", 1},
                                                 {"breaker", 1},
                                                 {"fuse", 1},
                                                 {"starter", 2},
                                                 {"contactor", 2},
                                                 {"overload", 2.5},
                                                 {"drive", 3},
                                                 {"junction", 4},
                                                 {"terminal box", 5},
                                                 {"motor terminal", 5},
                                                 {"motor box", 5}}};
constexpr double kDriveOrder = 3;

std::optional<double> order_by_words(std::string_view name) {
  std::optional<double> order;
  for (const PlaceWord& row : kPlaceWords) {
    if (name.find(row.word) != std::string_view::npos) order = row.order;
  }
  return order;
}

std::optional<double> order_by_circuit(const Judging& judging, std::string_view name) {
  for (const CircuitStop* stop : judging.circuit) {
    if (folded(stop->place) == name) return stop->order;
  }
  return std::nullopt;
}

// Two places are compared by one scale.
std::optional<std::pair<double, double>> orders(const Judging& judging, std::string_view a,
                                                std::string_view b) {
  const std::string name_a = folded(a);
  const std::string name_b = folded(b);
  for (const auto& scale :
       {std::pair(order_by_circuit(judging, name_a), order_by_circuit(judging, name_b)),
        std::pair(order_by_words(name_a), order_by_words(name_b))}) {
    if (scale.first && scale.second) return std::pair(*scale.first, *scale.second);
  }
  return std::nullopt;
}

// The reading nearest to the component from the supply's side; where places do not tell, the one
// with the largest unbalance.
std::optional<std::size_t> nearest_upstream(const Judging& judging,
                                            const std::vector<std::size_t>& counted,
                                            const std::string& component) {
  const auto& electrical = judging.motor_result().electrical;
  std::vector<std::size_t> seeing;
  std::optional<std::size_t> nearest;
  for (const std::size_t i : counted) {
    const std::string& place = electrical[i].place;
    if (!component.empty() && folded(place) == folded(component)) return i;
    if (!may_see(judging, place, component)) continue;
    seeing.push_back(i);
    if (!orders(judging, place, component)) continue;
    const auto both = nearest ? orders(judging, electrical[*nearest].place, place) : std::nullopt;
    if (!nearest || (both && both->first < both->second)) nearest = i;
  }
  return nearest ? nearest : worst_of(electrical, seeing);
}

// The first reading that the component does not lie in the path of, towards the motor.
std::optional<std::size_t> nearest_downstream(const Judging& judging,
                                              const std::vector<std::size_t>& counted,
                                              const std::string& component) {
  const auto& electrical = judging.motor_result().electrical;
  std::optional<std::size_t> nearest;
  for (const std::size_t i : counted) {
    const auto places = orders(judging, component, electrical[i].place);
    if (!places || places->first >= places->second) continue;
    const auto both =
        nearest ? orders(judging, electrical[i].place, electrical[*nearest].place) : std::nullopt;
    if (!nearest || (both && both->first < both->second)) nearest = i;
  }
  return nearest;
}

void take_off(OhmWitness& witness, const ElectricalResult& here, const ElectricalResult& beyond) {
  PerPhase<Ohm> legs = here.resolution->legs;
  for (std::size_t i = 0; i < legs.size(); ++i) {
    legs.at(i) = legs.at(i) - beyond.resolution->legs.at(i);
  }
  const auto highest =
      static_cast<std::size_t>(std::max_element(legs.begin(), legs.end()) - legs.begin());
  witness.phase = kPhases.at(highest);
  witness.excess =
      legs.at(highest) - (legs.at((highest + 1) % 3) + legs.at((highest + 2) % 3)) * 0.5;
  witness.excess_u =
      Ohm{std::hypot(here.resolution->excess_u.value(), beyond.resolution->excess_u.value())};
  witness.abnormal = here.abnormal && witness.excess > witness.excess_u * kCoverage;
}

}  // namespace

std::optional<double> order_of(const Judging& judging, std::string_view place) {
  const std::string name = folded(place);
  const auto listed = order_by_circuit(judging, name);
  return listed ? listed : order_by_words(name);
}

bool may_see(const Judging& judging, std::string_view reading_place, std::string_view component) {
  if (folded(reading_place) == folded(component)) return true;
  const auto places = orders(judging, reading_place, component);
  return !places || places->first <= places->second;
}

std::optional<DriveSide> drive_side(const Judging& judging, std::string_view place) {
  if (!judging.row || judging.row->fed_by != Feed::drive) return std::nullopt;
  const std::string name = folded(place);
  const auto holds = [&name](std::string_view word) {
    return name.find(word) != std::string::npos;
  };
  if (holds("output") || holds("load side")) return DriveSide::output;
  if (holds("input") || holds("line side")) return DriveSide::input;
  const auto order = order_by_words(name);
  if (!order || *order == kDriveOrder) return std::nullopt;
  return *order < kDriveOrder ? DriveSide::input : DriveSide::output;
}

std::optional<OhmWitness> ohm_witness(const Judging& judging, std::size_t index) {
  const auto& electrical = judging.motor_result().electrical;
  const std::vector<std::size_t>& counted = judging.components[index].counted;
  const std::string& component = judging.result.components[index].component;
  const auto here = nearest_upstream(judging, counted, component);
  if (!here) return std::nullopt;
  const ElectricalResult& reading = electrical[*here];
  OhmWitness witness;
  witness.reading = *here;
  witness.phase = reading.resolution->phase;
  witness.excess = reading.resolution->excess;
  witness.excess_u = reading.resolution->excess_u;
  witness.abnormal = reading.abnormal;
  const auto beyond = nearest_downstream(judging, counted, component);
  if (beyond && *beyond != *here) {
    witness.beyond = beyond;
    take_off(witness, reading, electrical[*beyond]);
  }
  return witness;
}

}  // namespace ohmglow::diagnosis
