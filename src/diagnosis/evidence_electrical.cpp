#include "ohmglow/number_text.h"
#include "wording.h"

#include <algorithm>
#include <fmt/format.h>

namespace ohmglow::diagnosis {
namespace {

constexpr std::string_view kLegsSource =
    "legs R1 = (R12 + R31 − R23) / 2 and cyclic: the wye that the terminals show (circuit theory; "
    "in the manner of IEC 60034-2)";
constexpr std::string_view kUnbalanceSource =
    "100 × max|x − mean| / mean, NEMA MG 1 definition; limits: ";
constexpr std::string_view kVoltageSource =
    "NEMA MG 1 definition and derating curve (read off, ±0.01); negative sequence: "
    "IEC 61000-4-30";
constexpr std::string_view kCurrentSource =
    "NEMA MG 1: about 6 to 10 times the voltage unbalance is to be expected";

using Lines = std::vector<Evidence>;

void add(Lines& lines, std::string text, std::string_view source) {
  lines.push_back({std::move(text), std::string(source)});
}

// Excess of a phase's leg over the mean of the two others.
double excess_ohm(const ElectricalResult& reading, Phase phase) {
  const auto& legs = reading.resolution->legs;
  const std::size_t i = index_of(phase);
  return legs.at(i).value() - (legs.at((i + 1) % 3).value() + legs.at((i + 2) % 3).value()) / 2;
}

// The readings of a circuit looked at from several places: what the excess loses between two of
// them sits between these two.
void say_segment(Lines& lines, const Judging& judging, std::size_t motor, Phase phase,
                 const std::vector<std::size_t>& counted) {
  if (counted.size() < 2) return;
  const auto& electrical = judging.result.motors[motor].electrical;
  std::vector<std::pair<double, std::string>> places;
  for (const std::size_t i : counted) {
    const ElectricalResult& r = electrical[i];
    places.emplace_back(excess_ohm(r, phase), r.place.empty() ? "a place not named" : r.place);
  }
  std::stable_sort(places.begin(), places.end(),
                   [](const auto& a, const auto& b) { return a.first > b.first; });
  std::string text = "excess of " + phase_text(judging, phase) + " by place:";
  std::size_t widest = places.size() - 1;  // beyond the last place, towards the motor
  double part = std::max(places.back().first, 0.0);
  for (std::size_t i = 0; i < places.size(); ++i) {
    text +=
        fmt::format("{} {} at {}", i == 0 ? "" : ",", ohms(Ohm{places[i].first}), places[i].second);
    if (i + 1 == places.size()) break;
    const double step = places[i].first - std::max(places[i + 1].first, 0.0);
    if (step > part) {
      part = step;
      widest = i;
    }
  }
  const std::string where =
      widest + 1 == places.size()
          ? fmt::format("beyond {}", places[widest].second)
          : fmt::format("between {} and {}", places[widest].second, places[widest + 1].second);
  add(lines, fmt::format("{}; the largest part, {}, lies {}", text, ohms(Ohm{part}), where),
      "readings at two places of one circuit subtracted (Kirchhoff)");
}

void say_spread(Lines& lines, const Judging& judging, const ComponentCase& component) {
  const auto limit = severity::first_like_limit(judging.result.policy);
  if (!component.hot || !component.balanced_spread || !limit) return;
  const bool explained = currents_explain(judging, component);
  add(lines,
      fmt::format("with the currents' part divided out the lugs' rises over air spread by {} K: {}",
                  beside_limit(component.balanced_spread->value(), limit->value),
                  explained ? "under the first band, the heat follows the currents"
                            : "the currents do not explain the heat"),
      "rise over air / (I / I mean)², heat goes with the current squared (I²R)");
}

void say_currents(Lines& lines, const Loads& loads, const ElectricalResult* voltage) {
  if (!loads[0] || !loads[1] || !loads[2]) return;
  const auto spread =
      electrical::unbalance({loads[0]->value(), loads[1]->value(), loads[2]->value()});
  if (!spread) return;
  std::string text = fmt::format("current unbalance {} %", percent_text(*spread));
  if (voltage && voltage->unbalance->value() > 0) {
    text += fmt::format(", {} times the voltage unbalance",
                        decimals(spread->value() / voltage->unbalance->value(), 1));
  }
  add(lines, std::move(text), kCurrentSource);
}

void say_voltage(Lines& lines, const ElectricalResult& voltage) {
  const std::string derating = voltage.derating
                                   ? "derating factor " + decimals(*voltage.derating, 2)
                                   : "do not run above 5 %";
  const bool above = *voltage.unbalance > electrical::kNormalVoltageUnbalance;
  add(lines,
      fmt::format("voltage unbalance {} % (negative sequence {} %, {}) at {}: {} 1 %",
                  percent_text(*voltage.unbalance), percent_text(*voltage.negative_sequence),
                  derating, reading_text(voltage), above ? "above" : "not above"),
      kVoltageSource);
}

}  // namespace

std::vector<Evidence> reading_evidence(const Judging& judging, std::size_t motor,
                                       const ElectricalResult& reading,
                                       const std::vector<std::size_t>& counted,
                                       const Loads& loads) {
  Lines lines;
  const electrical::Resolution& r = *reading.resolution;
  const Reached what = reached(judging.result.policy, kPairUnbalance, reading.unbalance->value());
  add(lines,
      fmt::format("pair unbalance {} % (legs {} %) of winding resistance at {}: {}",
                  decimals(r.pair_unbalance.value(), what.places), percent_text(r.leg_unbalance),
                  reading_text(reading), what.text),
      std::string(kUnbalanceSource) + what.source);
  if (!is_abnormal(reading)) return lines;
  add(lines,
      fmt::format("{} has the highest leg, {} above the mean of the two others. {}",
                  phase_text(judging, r.phase), ohms(r.excess), r.note),
      kLegsSource);
  if (const auto current = current_in(loads, r.phase)) {
    add(lines,
        fmt::format("excess {} in {} makes {} W at {} A", ohms(r.excess),
                    phase_text(judging, r.phase),
                    watts_text(electrical::excess_heat(r.excess, *current).value()),
                    amperes_text(*current)),
        kJoule);
  }
  say_segment(lines, judging, motor, r.phase, counted);
  return lines;
}

std::vector<Evidence> supply_evidence(const Judging& judging, std::size_t index) {
  Lines lines;
  const ComponentCase& component = judging.components[index];
  const auto& electrical = judging.result.motors[component.motor].electrical;
  const ElectricalResult* voltage = component.voltage ? &electrical[*component.voltage] : nullptr;
  say_spread(lines, judging, component);
  say_currents(lines, judging.result.components[index].load_a, voltage);
  if (voltage) say_voltage(lines, *voltage);
  return lines;
}

}  // namespace ohmglow::diagnosis
