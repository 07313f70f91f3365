#include "demo/physics.h"

#include "../python.h"

#include <fmt/format.h>

using namespace ohmglow;
using namespace ohmglow::demo;

namespace {

MotorStory motor_with(Connection connection, std::vector<Fault> faults) {
  MotorStory motor;
  motor.connection = connection;
  motor.conductor_mm2 = 16;
  motor.cable_m = 20;
  motor.leg_mohm = 60;
  motor.winding_factor = {1.0, 1.05, 0.98};
  motor.faults = std::move(faults);
  return motor;
}

/// A branch without resistance would have no conductance; this one is next to nothing.
constexpr double kWire_mohm = 1e-5;

/// Resistances between the three meter clips by nodal analysis (numpy), mohm.
std::vector<double> nodal(const std::string& name, const MotorStory& motor,
                          const std::array<double, 3>& lead_mohm) {
  const bool delta = motor.connection == Connection::delta;
  const double w = motor.leg_mohm * (delta ? 3 : 1);
  const auto& f = motor.winding_factor;
  return numbers_from_python(
      name, fmt::format(R"(
import numpy as np
lead, w, delta = {}, {}, {}
# Nodes 0-2: meter clips; 3-5: motor terminals; 6: star point.
branches = [(i, 3 + i, lead[i]) for i in range(3)]
branches += [(3 + i, 3 + (i + 1) % 3, w[i]) if delta else (3 + i, 6, w[i]) for i in range(3)]
G = np.zeros((7, 7))
for a, b, r in branches:
    G[a, a] += 1 / r; G[b, b] += 1 / r; G[a, b] -= 1 / r; G[b, a] -= 1 / r
if delta: G[6, 6] = 1
for a, b in ((0, 1), (1, 2), (2, 0)):
    e = np.zeros(7); e[a], e[b] = 1, -1
    v = np.append(0, np.linalg.solve(G[1:, 1:], e[1:]))  # node 0 is the ground
    print(repr(float(e @ v)))
)",
                        fmt::format("[{}, {}, {}]", lead_mohm[0], lead_mohm[1], lead_mohm[2]),
                        fmt::format("[{}, {}, {}]", w * f[0], w * f[1], w * f[2]),
                        delta ? "True" : "False"));
}

void check_pairs(const PerPair<Ohm>& pairs, const std::vector<double>& expected_mohm) {
  REQUIRE(expected_mohm.size() == 3);
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(pairs.at(i).value() * 1e3 == Approx(expected_mohm[i]).margin(3 * kWire_mohm));
  }
}

}  // namespace

TEST_CASE("a lug between two long cables is as warm as the heat equation makes it") {
  // scipy.integrate.solve_bvp on k A T'' = h p T - I² rho / A, at the lug
  // R I² = h S T(0) - 2 k A T'(0), no flux at the far end; eighteen fin lengths are as good as
  // infinite.
  struct Row {
    double area_mm2, current_a, joint_uohm, film_w_m2_k;
  };
  for (const Row& row : {Row{50, 72, 2065, 12}, Row{4, 13.5, 300, 12}, Row{25, 52, 900, 20}}) {
    CAPTURE(row.area_mm2);
    const Conductor& c = conductor_of(row.area_mm2);
    const LugHeat heat =
        heat_up(c, Ampere{row.current_a}, Ohm{row.joint_uohm * 1e-6}, row.film_w_m2_k);
    const auto x = numbers_from_python(fmt::format("fin_{}", row.area_mm2),
                                       fmt::format(R"(
import numpy as np
from scipy.integrate import solve_bvp
A, d, S, I, R, h = {}e-6, {}e-3, {}e-4, {}, {}e-6, {}
k, rho = 390.0, 1.75e-8
p = np.pi * d
L = np.sqrt(k * A / (h * p))
ode = lambda x, y: np.vstack((y[1], (h * p * y[0] - I**2 * rho / A) / (k * A)))
ends = lambda a, b: np.array((h * S * a[0] - 2 * k * A * a[1] - R * I**2, b[1]))
x = np.linspace(0, 18 * L, 2000)
s = solve_bvp(ode, ends, x, np.ones((2, x.size)), tol=1e-8, max_nodes=100000)
assert s.success
for at in (0, L, 2 * L, 18 * L): print(repr(float(s.sol(at)[0])))
)",
                                                   c.area_mm2, c.outer_diameter_mm, c.lug_area_cm2,
                                                   row.current_a, row.joint_uohm, row.film_w_m2_k));
    REQUIRE(x.size() == 4);
    constexpr double kSolver = 1e-4;  // the finite length and the solver's own tolerance
    const double lug = heat.lug.value();
    const double cable = heat.cable.value();
    CHECK(lug == Approx(x[0]).epsilon(kSolver));
    CHECK(cable + (lug - cable) * std::exp(-1.0) == Approx(x[1]).epsilon(kSolver));
    CHECK(cable + (lug - cable) * std::exp(-2.0) == Approx(x[2]).epsilon(kSolver));
    CHECK(cable == Approx(x[3]).epsilon(kSolver));
  }
}

TEST_CASE("the extra rise of a bad joint is its watts times the thermal resistance") {
  // P = I² R (Joule); the rise over a sound neighbour at the same current.
  const Conductor& c = conductor_of(50);
  const LugHeat sound = heat_up(c, Ampere{72}, Ohm{65e-6}, 12);
  const LugHeat bad = heat_up(c, Ampere{72}, Ohm{2065e-6}, 12);
  const double watts = 2e-3 * 72 * 72;
  CHECK(bad.lug.value() - sound.lug.value() ==
        Approx(watts * sound.thermal_resistance_k_per_w).epsilon(1e-12));
}

TEST_CASE("a meter at the starter sees cable, faults and windings as nodal analysis does") {
  // numpy: pseudo-inverse of the conductance matrix; cable 20 m of 16 mm² at 1.75e-8 ohm m.
  const double cable_mohm = 20 * 1.75e-8 / 16e-6 * 1e3;
  for (const Connection connection : {Connection::wye, Connection::delta}) {
    const auto motor = motor_with(connection, {{CircuitPlace::terminal_box, Phase::two, 3.0},
                                               {CircuitPlace::starter_load_side, Phase::three, 1.0},
                                               {CircuitPlace::disconnect, Phase::one, 50.0}});
    const std::string name = connection == Connection::wye ? "wye" : "delta";
    check_pairs(pairs_at(motor, CircuitPlace::starter_load_side, true, Celsius{25}),
                nodal("starter_" + name, motor, {cable_mohm, cable_mohm + 3, cable_mohm + 1}));
    check_pairs(pairs_at(motor, CircuitPlace::terminal_box, true, Celsius{25}),
                nodal("box_" + name, motor, {kWire_mohm, 3, kWire_mohm}));
    check_pairs(pairs_at(motor, CircuitPlace::starter_load_side, false, Celsius{25}),
                nodal("sound_" + name, motor, {cable_mohm, cable_mohm, cable_mohm}));
  }
}

TEST_CASE("a joint in one leg of a wye shows a third of its share in the pairs") {
  // 0.5 ohm a phase, joints of 1, 5, 10, 25 mohm: computed independently with numpy.
  struct Row {
    double joint_mohm, unbalance_pct;
  };
  for (const Row& row : {Row{1, 0.06662}, Row{5, 0.33223}, Row{10, 0.66225}, Row{25, 1.63934}}) {
    MotorStory motor =
        motor_with(Connection::wye, {{CircuitPlace::terminal_box, Phase::one, row.joint_mohm}});
    motor.leg_mohm = 500;
    motor.winding_factor = {1, 1, 1};
    const auto p = pairs_at(motor, CircuitPlace::terminal_box, true, Celsius{25});
    CHECK(unbalance_pct({p[0].value(), p[1].value(), p[2].value()}) ==
          Approx(row.unbalance_pct).margin(5e-6));
  }
}

TEST_CASE("warm windings read higher by the copper rule, cables and faults do not") {
  // (234.5 + 40) / (234.5 + 25) for copper (IEEE 112, clause from memory); the rest of the circuit
  // keeps the temperature of its surroundings in this model.
  MotorStory motor = motor_with(Connection::wye, {});
  motor.winding_factor = {1, 1, 1};
  const auto warm = pairs_at(motor, CircuitPlace::terminal_box, true, Celsius{40});
  CHECK(warm[0].value() == Approx(2 * 0.060 * 274.5 / 259.5).epsilon(1e-12));
}
