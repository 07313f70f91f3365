#include "bayes.h"

#include <cmath>
#include <numeric>

namespace ohmglow::diagnosis {

double mean(std::span<const double> probability, std::span<const double> likelihood) {
  return std::inner_product(probability.begin(), probability.end(), likelihood.begin(), 0.0);
}

std::vector<double> posterior(std::span<const double> prior, std::span<const double> likelihood) {
  const double total = mean(prior, likelihood);
  std::vector<double> result(prior.begin(), prior.end());
  if (!(total > 0)) return result;
  for (std::size_t i = 0; i < result.size(); ++i) result[i] *= likelihood[i] / total;
  return result;
}

double entropy_bits(std::span<const double> probability) {
  double bits = 0;
  for (const double p : probability) {
    if (p > 0) bits -= p * std::log2(p);
  }
  return bits;
}

double expected_gain_bits(std::span<const double> prior,
                          const std::vector<std::vector<double>>& outcomes) {
  double left = 0;
  for (const auto& likelihood : outcomes) {
    left += mean(prior, likelihood) * entropy_bits(posterior(prior, likelihood));
  }
  // Rounding may leave a hair below zero where a test tells nothing.
  return std::max(0.0, entropy_bits(prior) - left);
}

}  // namespace ohmglow::diagnosis
