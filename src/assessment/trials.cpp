#include "assessment/trials.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmglow::assessment {
namespace {

using diagnosis::Spread;

constexpr double kLowTail = 0.025;

/// The value below which a share of the values lies; the order of the values is lost.
double quantile(std::vector<double>& values, double share) {
  const auto rank = static_cast<std::ptrdiff_t>(
      std::min(share * static_cast<double>(values.size()), static_cast<double>(values.size() - 1)));
  std::nth_element(values.begin(), values.begin() + rank, values.end());
  return values[static_cast<std::size_t>(rank)];
}

Spread spread_of(std::span<const double> all) {
  std::vector<double> values;
  values.reserve(all.size());
  std::copy_if(all.begin(), all.end(), std::back_inserter(values),
               [](double x) { return std::isfinite(x); });
  if (values.empty()) return {};
  const auto n = static_cast<double>(values.size());
  double sum = 0;
  for (const double x : values) sum += x;
  Spread spread;
  spread.mean = sum / n;
  double squares = 0;
  for (const double x : values) squares += (x - spread.mean) * (x - spread.mean);
  spread.u = n > 1 ? std::sqrt(squares / (n - 1)) : 0;
  spread.low = quantile(values, kLowTail);
  spread.high = quantile(values, 1 - kLowTail);
  return spread;
}

/// What must be stable of a block.
constexpr std::array<double Spread::*, 4> kWatched{&Spread::mean, &Spread::u, &Spread::low,
                                                   &Spread::high};

/// Twice the standard deviation of the blocks' mean.
double wandering(const std::vector<Spread>& blocks, double Spread::*watched) {
  const auto h = static_cast<double>(blocks.size());
  double mean = 0;
  for (const Spread& block : blocks) mean += block.*watched / h;
  double squares = 0;
  for (const Spread& block : blocks) squares += (block.*watched - mean) * (block.*watched - mean);
  return 2 * std::sqrt(squares / (h * (h - 1)));
}

bool is_stable(const std::vector<Spread>& blocks) {
  if (blocks.size() < 2) return false;
  double u = 0;
  for (const Spread& block : blocks) u += block.u / static_cast<double>(blocks.size());
  return std::all_of(kWatched.begin(), kWatched.end(), [&](double Spread::*watched) {
    return wandering(blocks, watched) <= diagnosis::kTrialTolerance * u;
  });
}

}  // namespace

Sampled sample(std::size_t outputs, const Trial& trial) {
  Sampled result;
  result.values.resize(outputs);
  std::vector<std::vector<Spread>> blocks(outputs);
  std::vector<double> row(outputs);
  while (!result.is_stable && result.trials < diagnosis::kMostTrials) {
    const std::uint64_t before = result.trials;
    for (; result.trials < before + diagnosis::kTrialsOfBlock; ++result.trials) {
      trial(result.trials, row);
      for (std::size_t i = 0; i < outputs; ++i) result.values[i].push_back(row[i]);
    }
    for (std::size_t i = 0; i < outputs; ++i)
      blocks[i].push_back(spread_of(std::span(result.values[i]).subspan(before)));
    result.is_stable = std::all_of(blocks.begin(), blocks.end(), is_stable);
  }
  for (const std::vector<double>& values : result.values)
    result.spreads.push_back(spread_of(values));
  return result;
}

}  // namespace ohmglow::assessment
