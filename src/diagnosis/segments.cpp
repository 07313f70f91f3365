#include "offered/electrical/segments.h"

#include "judging.h"
#include "offered/electrical/conductors.h"

#include <algorithm>
#include <map>
#include <set>

namespace ohmglow::diagnosis {
namespace {

// A place of one motor's circuit, in order from the supply.
struct Stop {
  std::string place;
  const CircuitStop* row = nullptr;  // of circuit.csv
  const ElectricalResult* reading = nullptr;
};

double total_ohm(const ElectricalResult& reading) {
  return reading.values[0] + reading.values[1] + reading.values[2];
}

// The places of circuit.csv in their order, each with its reading. Where that file does not list
// every place that was read, the readings alone: a place nearer to the supply has more of the
// circuit behind it and reads more.
std::vector<Stop> stops_of(const Judging& judging, const std::vector<std::size_t>& counted) {
  const auto& electrical = judging.motor_result().electrical;
  std::map<std::string, const ElectricalResult*> by_place;
  for (const std::size_t i : counted) by_place.emplace(folded(electrical[i].place), &electrical[i]);
  std::vector<Stop> stops;
  std::size_t found = 0;
  for (const CircuitStop* row : judging.circuit) {
    const auto reading = by_place.find(folded(row->place));
    const bool has = reading != by_place.end();
    stops.push_back({row->place, row, has ? reading->second : nullptr});
    if (has) ++found;
  }
  if (found == by_place.size()) return stops;
  stops.clear();
  for (const auto& [name, reading] : by_place) stops.push_back({reading->place, nullptr, reading});
  std::stable_sort(stops.begin(), stops.end(), [](const Stop& a, const Stop& b) {
    return total_ohm(*a.reading) > total_ohm(*b.reading);
  });
  return stops;
}

// One conductor from one stop to another; absent where a stretch between them is not known.
std::optional<Ohm> cable_between(const std::vector<Stop>& stops, std::size_t from, std::size_t to) {
  Ohm sum{0};
  for (std::size_t i = from; i < to; ++i) {
    const CircuitStop* row = stops[i].row;
    if (!row || row->size.empty() || !row->length_m) return std::nullopt;
    const auto ohm = electrical::conductor_resistance(row->size, row->material, *row->length_m,
                                                      electrical::kIec60228At);
    if (!ohm) return std::nullopt;
    sum = sum + *ohm;
  }
  return sum;
}

std::set<std::string> looked_at(const Judging& judging) {
  std::set<std::string> places;
  for (const ComponentResult& component : judging.result.components) {
    places.insert(folded(component.component));
  }
  return places;
}

// The latest day of a resistance reading: from it the readings' ages count here.
std::optional<std::chrono::sys_days> latest_day(const Judging& judging) {
  std::optional<std::chrono::sys_days> latest;
  for (const ElectricalResult& r : judging.motor_result().electrical) {
    if (r.test != Test::winding_resistance || !r.problem.empty()) continue;
    const auto day = judging.days.day_of(r.taken_at);
    if (!latest || day > *latest) latest = day;
  }
  return latest;
}

std::vector<std::size_t> indices_with_reading(const std::vector<Stop>& stops) {
  std::vector<std::size_t> indices;
  for (std::size_t i = 0; i < stops.size(); ++i) {
    if (stops[i].reading) indices.push_back(i);
  }
  return indices;
}

SegmentResult result_of(const electrical::Segment& segment) {
  SegmentResult result;
  result.resistance = segment.resistance;
  result.phase = segment.phase;
  result.excess = segment.excess;
  result.excess_u = segment.excess_u;
  result.probability = segment.probability;
  return result;
}

}  // namespace

void find_segments(Judging& judging) {
  const auto day = latest_day(judging);
  if (!day) return;
  const auto counted = counted_readings(judging, *day);
  if (counted.size() < 2) return;
  const auto stops = stops_of(judging, counted);
  const auto read = indices_with_reading(stops);
  std::vector<electrical::PlaceReading> places;
  std::vector<std::optional<electrical::CablePrior>> priors;
  std::vector<std::optional<Ohm>> cables;
  for (std::size_t k = 0; k < read.size(); ++k) {
    const auto& values = stops[read[k]].reading->values;
    places.push_back(
        {{Ohm{values[0]}, Ohm{values[1]}, Ohm{values[2]}}, stops[read[k]].reading->meter});
    // Behind the last place the winding follows, of which circuit.csv knows nothing.
    cables.push_back(k + 1 < read.size() ? cable_between(stops, read[k], read[k + 1])
                                         : std::nullopt);
    priors.push_back(cables.back() ? std::optional(electrical::CablePrior{
                                         *cables.back(), *cables.back() * electrical::kCableU})
                                   : std::nullopt);
  }
  const auto solved = electrical::solve_segments(places, priors);
  if (!solved) return;  // more places than a circuit has
  const auto seen = looked_at(judging);
  for (std::size_t k = 0; k < read.size(); ++k) {
    SegmentResult segment = result_of((*solved)[k]);
    const std::size_t end = k + 1 < read.size() ? read[k + 1] + 1 : stops.size();
    segment.from = stops[read[k]].place;
    if (k + 1 < read.size()) segment.to = stops[read[k + 1]].place;
    segment.expected_cable = cables[k];
    for (std::size_t i = read[k]; i < end; ++i) {
      if (stops[i].place.empty()) continue;
      const bool has_image = seen.contains(folded(stops[i].place));
      (has_image ? segment.imaged : segment.not_imaged).push_back(stops[i].place);
    }
    judging.motor_result().segments.push_back(std::move(segment));
  }
}

const SegmentResult* larger_part_elsewhere(const MotorResult& motor,
                                           const ComponentResult& component, Phase phase) {
  if (!component.reading || *component.reading >= motor.electrical.size()) return nullptr;
  const std::string place = folded(motor.electrical[*component.reading].place);
  const SegmentResult* own = nullptr;
  const SegmentResult* largest = nullptr;
  for (const SegmentResult& segment : motor.segments) {
    if (segment.phase != phase) continue;
    if (folded(segment.from) == place) own = &segment;
    if (!largest || segment.excess > largest->excess) largest = &segment;
  }
  return own && largest != own ? largest : nullptr;
}

}  // namespace ohmglow::diagnosis
