#include "ohmglow/acceptance.h"

#include <cmath>

namespace ohmglow::acceptance {
namespace {

constexpr double kReferenceC = 40;
constexpr double kKelvinAtZero = 273;
constexpr double kHalvedEvery = 10;
// Thermosetting: IEEE 43-2013, from memory.
constexpr double kWarmExponent = -4230;
constexpr double kCoolExponent = -1245;
constexpr double kCoolest = 10;
constexpr double kWarmest = 85;

std::optional<double> of_thermosetting(double temperature_c) {
  if (temperature_c <= kCoolest || temperature_c >= kWarmest) return std::nullopt;
  const double exponent = temperature_c > kReferenceC ? kWarmExponent : kCoolExponent;
  return std::exp(exponent *
                  (1 / (temperature_c + kKelvinAtZero) - 1 / (kReferenceC + kKelvinAtZero)));
}

double of_thermoplastic(double temperature_c) {
  return std::pow(0.5, (kReferenceC - temperature_c) / kHalvedEvery);
}

}  // namespace

std::optional<double> to_40_c(Insulation insulation, double temperature_c) {
  const auto thermosetting = of_thermosetting(temperature_c);
  if (insulation == Insulation::thermosetting) return thermosetting;
  const double thermoplastic = of_thermoplastic(temperature_c);
  if (insulation == Insulation::thermoplastic) return thermoplastic;
  // Not known: the one that leaves less.
  if (temperature_c <= kReferenceC) return thermoplastic;
  return thermosetting;
}

}  // namespace ohmglow::acceptance
