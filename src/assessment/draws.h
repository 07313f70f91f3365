#pragma once
/// Random numbers by counter: what an input draws in a trial depends on the seed, the input and the
/// trial alone, so neither on threads nor on the order of work, and inputs that are shared really
/// are.

#include "ohmglow/radiometry.h"

#include <array>
#include <cstdint>

namespace ohmglow::assessment {

using PhiloxCounter = std::array<std::uint32_t, 4>;
using PhiloxKey = std::array<std::uint32_t, 2>;

/// Philox4x32-10 (Salmon, Moraes, Dror & Shaw, Parallel random numbers: as easy as 1, 2, 3, SC11).
[[nodiscard]] PhiloxCounter philox4x32_10(PhiloxCounter counter, PhiloxKey key);

class Draws {
 public:
  explicit Draws(std::uint64_t seed);

  /// Uniform in the open interval (0, 1).
  [[nodiscard]] double uniform(const radiometry::Input& input, std::uint64_t trial) const;
  /// Normal with mean 0 and the given standard deviation.
  [[nodiscard]] double normal(const radiometry::Input& input, std::uint64_t trial, double u) const;
  /// Normal about `mean`, truncated to low … high, which hold the mean.
  [[nodiscard]] double truncated(const radiometry::Input& input, std::uint64_t trial, double mean,
                                 double u, double low, double high) const;

 private:
  PhiloxKey key_;
};

}  // namespace ohmglow::assessment
