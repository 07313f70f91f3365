#pragma once
/// Repeatable randomness: the same numbers from every standard library.

#include <cstdint>
#include <random>

namespace ohmglow::demo {

class Noise {
 public:
  /// Streams of one seed are independent for practical purposes.
  Noise(std::uint64_t seed, std::uint64_t stream);

  [[nodiscard]] double uniform();  ///< in (0, 1)
  [[nodiscard]] double normal();   ///< mean 0, standard deviation 1

 private:
  std::mt19937_64 engine_;  // its output is fixed by the standard, that of distributions is not
};

}  // namespace ohmglow::demo
