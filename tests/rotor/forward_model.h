#pragma once
/// Sweeps of known truth, modelled apart from the room under test: the modified winding function
/// (Al-Nuaim and Toliyat 1998, from memory) integrated round the bore, with nothing of the room's
/// closed form in it.

#include "ohmglow/survey.h"

#include <array>
#include <cmath>
#include <complex>
#include <numbers>
#include <random>
#include <vector>

namespace forward {

inline constexpr double kPi = std::numbers::pi;
inline constexpr double kDegree = kPi / 180;
// The integrand's harmonics fall off as b^n, below 1e-9 at 64 for the offsets of the tests.
inline constexpr int kQuadrature = 64;

struct Machine {
  int pole_pairs = 1;
  double es = 0, fs_deg = 0;  ///< in the stator's frame
  double ed = 0, fd_deg = 0;  ///< turning with the rotor
  double k = 0;               ///< shaft return: 0 free, 1 none
  double S = 1;               ///< share of the reading that follows the main gap
  std::array<double, 3> u{};  ///< fixed differences of the pairs
  double rho = 0, q_deg = 0;  ///< anisotropy
  double c = 0, q2_deg = 0;   ///< ripple of the bars
  int bars = 0;
  double d = 0;  ///< drift a turn, share of the mean
  double noise = 0;
};

inline double axis_deg(int pair, int pole_pairs) {
  return (pair * 120.0 - 30.0) / pole_pairs;
}

/// Main inductance over that of an even gap, by quadrature.
inline double F(const Machine& m, int pair, double rotor_deg) {
  double n2P = 0, nP = 0, P = 0;
  for (int i = 0; i < kQuadrature; ++i) {
    const double f = 2 * kPi * i / kQuadrature;
    const double gap = 1 - m.es * std::cos(f - m.fs_deg * kDegree) -
                       m.ed * std::cos(f - (rotor_deg + m.fd_deg) * kDegree);
    const double n = std::cos(m.pole_pairs * (f - axis_deg(pair, m.pole_pairs) * kDegree));
    n2P += n * n / gap;
    nP += n / gap;
    P += 1 / gap;
  }
  return 2 * (n2P - m.k * nP * nP / P) / kQuadrature;
}

/// A reading without noise, over the mean of an even machine.
inline double reading(const Machine& m, int pair, double t_deg) {
  const int p = m.pole_pairs;
  const double axis = axis_deg(pair, p);
  const double lobes = m.rho / 2 * std::cos((2 * p * (t_deg + m.q_deg) - 2 * p * axis) * kDegree);
  const double ripple = m.c * std::cos((m.bars * (t_deg - axis) + m.q2_deg) * kDegree);
  return (1 + m.u.at(static_cast<std::size_t>(pair))) *
             (1 + m.S * (F(m, pair, t_deg) - 1) + lobes + ripple) +
         m.d * t_deg / 360;
}

/// An amplitude of a sequence over the three pairs, by fine sampling of the curves without ripple,
/// drift and noise. Order 0 is of the means.
inline double amplitude(Machine m, int order, bool negative) {
  constexpr int kSamples = 72;
  m.c = 0;
  m.d = 0;
  std::complex<double> sum;
  double mean = 0;
  for (int pair = 0; pair < 3; ++pair) {
    const auto weight = negative ? std::polar(1.0, -2 * kPi * pair / 3) : std::complex<double>(1);
    for (int i = 0; i < kSamples; ++i) {
      const double L = reading(m, pair, 360.0 * i / kSamples);
      mean += L;
      sum += weight * L * std::polar(1.0, -2 * kPi * order * i / kSamples);
    }
  }
  return 2 * std::abs(sum) / mean;
}

inline std::vector<ohmglow::SweepReading> sweep(const Machine& m, const std::vector<double>& angles,
                                                std::mt19937_64& random) {
  constexpr double kMean_h = 0.02;
  std::normal_distribution<double> scatter(0, 1);
  std::vector<ohmglow::SweepReading> rows;
  for (const double angle : angles) {
    ohmglow::SweepReading row;
    row.motor = "M";
    row.sweep = "s";
    row.angle_deg = angle;
    for (int pair = 0; pair < 3; ++pair) {
      row.inductance.at(static_cast<std::size_t>(pair)) =
          ohmglow::Henry{kMean_h * (reading(m, pair, angle) + m.noise * scatter(random))};
    }
    rows.push_back(row);
  }
  return rows;
}

inline std::vector<double> steps(int a_turn, int count) {
  std::vector<double> angles;
  for (int i = 0; i < count; ++i) angles.push_back(360.0 * i / a_turn);
  return angles;
}

}  // namespace forward
