#include "noise.h"

#include <cmath>
#include <numbers>

namespace ohmglow::demo {
namespace {

// Weyl step of the golden ratio: neighbouring streams start far apart.
constexpr std::uint64_t kGoldenStep = 0x9E3779B97F4A7C15;

}  // namespace

Noise::Noise(std::uint64_t seed, std::uint64_t stream) : engine_(seed ^ (stream * kGoldenStep)) {}

double Noise::uniform() {
  // The 53 high bits, at the middle of their cell so that the logarithm below stays finite.
  return (static_cast<double>(engine_() >> 11) + 0.5) * 0x1p-53;
}

double Noise::normal() {
  // Box & Muller (1958).
  const double radius = std::sqrt(-2 * std::log(uniform()));
  return radius * std::cos(2 * std::numbers::pi * uniform());
}

}  // namespace ohmglow::demo
