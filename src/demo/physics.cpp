#include "physics.h"

#include "ohmglow/electrical.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmglow::demo {
namespace {

// Copper near 25 °C, as handbooks print it: resistivity of annealed wire and thermal conductivity
// (both from memory).
constexpr double kCopperResistivity_ohm_m = 1.75e-8;
constexpr double kCopperConductivity_w_m_k = 390;

// Metric cable of building wire; diameters and lugs of the usual order, sound joints within the
// 10 to 400 µohm of small lugs (common practice, no source).
constexpr std::array kConductors{
    Conductor{4, 4.4, 6, 300},    Conductor{10, 7, 8, 180},   Conductor{16, 8.5, 10, 130},
    Conductor{25, 10.5, 14, 100}, Conductor{35, 12, 18, 80},  Conductor{50, 14, 24, 65},
    Conductor{95, 18.5, 40, 45},  Conductor{185, 25, 60, 30},
};

double metre_ohms(const Conductor& conductor) {
  return kCopperResistivity_ohm_m / (conductor.area_mm2 * 1e-6);
}

}  // namespace

const Conductor& conductor_of(double area_mm2) {
  const auto* found = std::find_if(kConductors.begin(), kConductors.end(),
                                   [=](const Conductor& c) { return c.area_mm2 == area_mm2; });
  return kConductors.at(static_cast<std::size_t>(found - kConductors.begin()));
}

LugHeat heat_up(const Conductor& conductor, Ampere current, Ohm joint, double h) {
  const double area_m2 = conductor.area_mm2 * 1e-6;
  const double perimeter_m = std::numbers::pi * conductor.outer_diameter_mm * 1e-3;
  const double k = kCopperConductivity_w_m_k;
  const double i2 = current.value() * current.value();

  const double cable_k = i2 * metre_ohms(conductor) / (h * perimeter_m);
  const double fin_w_k = std::sqrt(h * perimeter_m * k * area_m2);
  const double total_w_k = 2 * fin_w_k + h * conductor.lug_area_cm2 * 1e-4;
  const double lug_k = (joint.value() * i2 + 2 * fin_w_k * cable_k) / total_w_k;
  return LugHeat{KelvinDifference{lug_k}, KelvinDifference{cable_k}, 1 / total_w_k,
                 Metre{std::sqrt(k * area_m2 / (h * perimeter_m))}};
}

Ohm joint_resistance(const MotorStory& motor, CircuitPlace place, Phase circuit_phase) {
  double ohm = conductor_of(motor.conductor_mm2).joint_uohm * 1e-6 *
               motor.joint_factor.at(index_of(circuit_phase));
  for (const Fault& fault : motor.faults) {
    if (fault.place == place && fault.phase == circuit_phase) ohm += fault.excess_mohm * 1e-3;
  }
  return Ohm{ohm};
}

PerPair<Ohm> pairs_at(const MotorStory& motor, CircuitPlace place, bool with_faults,
                      Celsius winding) {
  std::array<double, 3> lead{};
  if (position_of(place) < position_of(CircuitPlace::terminal_box)) {
    lead.fill(motor.cable_m * metre_ohms(conductor_of(motor.conductor_mm2)));
  }
  for (const Fault& fault : motor.faults) {
    const bool seen = with_faults && position_of(fault.place) >= position_of(place);
    if (seen) lead.at(index_of(fault.phase)) += fault.excess_mohm * 1e-3;
  }
  const bool delta = motor.connection == Connection::delta;
  std::array<double, 3> w{};
  for (std::size_t i = 0; i < 3; ++i) {
    const Ohm at_25{motor.leg_mohm * 1e-3 * motor.winding_factor.at(i) * (delta ? 3 : 1)};
    w.at(i) = electrical::refer_resistance(at_25, Celsius{25}, winding).value();
  }
  std::array<double, 3> pair{};
  for (std::size_t i = 0; i < 3; ++i) {
    const std::size_t j = (i + 1) % 3;
    const std::size_t k = (i + 2) % 3;
    const double windings =
        delta ? w.at(i) * (w.at(j) + w.at(k)) / (w[0] + w[1] + w[2]) : w.at(i) + w.at(j);
    pair.at(i) = lead.at(i) + windings + lead.at(j);
  }
  return {Ohm{pair[0]}, Ohm{pair[1]}, Ohm{pair[2]}};
}

double unbalance_pct(const std::array<double, 3>& x) {
  const double mean = (x[0] + x[1] + x[2]) / 3;
  double most = 0;
  for (const double value : x) most = std::max(most, std::abs(value - mean));
  return 100 * most / mean;
}

}  // namespace ohmglow::demo
