#pragma once
/// The adaptive Monte Carlo procedure of JCGM 101:2008, 7.9, for any model.

#include "ohmglow/diagnosis.h"

#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

namespace ohmglow::assessment {

/// One trial: fills one value an output, NaN where it has none. `trial` counts from 0.
using Trial = std::function<void(std::uint64_t trial, std::span<double> outputs)>;

struct Sampled {
  std::vector<diagnosis::Spread> spreads;   ///< one an output; zeros where no trial had a value
  std::vector<std::vector<double>> values;  ///< of each output, trial by trial
  std::uint64_t trials = 0;
  bool is_stable = false;
};

/// Blocks of kTrialsOfBlock trials until mean, u and both ends of the 95 % interval of every output
/// are stable: twice the standard deviation of their mean over the blocks at most kTrialTolerance ×
/// u. At least two blocks, at most kMostTrials trials.
[[nodiscard]] Sampled sample(std::size_t outputs, const Trial& trial);

}  // namespace ohmglow::assessment
