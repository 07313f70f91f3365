#pragma once
/// The harmonics of a sweep by least squares, all three pairs at once.

#include "ohmglow/rotor.h"
#include "rotor/least_squares.h"

#include <complex>
#include <optional>
#include <span>
#include <vector>

namespace ohmglow::rotor {

/// Of one sequence a harmonic as a phasor: amplitude and direction, with the standard uncertainty
/// of either part.
struct Phasor {
  std::complex<double> value;
  double u = 0;
};

struct SweepFit {
  Fit fit;
  std::vector<int> orders;      ///< beside the means
  PerPair<double> means{};      ///< H
  double common_mean = 0;       ///< H
  std::optional<double> drift;  ///< share of the mean a turn, where it was fitted
  double drift_u = 0;
  double scatter = 0;  ///< share of the mean

  [[nodiscard]] bool has(int order) const;
  /// Share of the mean. Order 0 has a negative sequence alone.
  [[nodiscard]] Phasor phasor(int order, Sequence sequence) const;
};
/// Absent where the angles do not tell the orders apart.
[[nodiscard]] std::optional<SweepFit> fit_sweep(std::span<const SweepReading> readings,
                                                const std::vector<int>& orders, bool with_drift);

}  // namespace ohmglow::rotor
