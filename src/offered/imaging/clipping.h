#pragma once
/// Whether a camera's range cut off what it saw.

#include <cstdint>
#include <opencv2/core/mat.hpp>
#include <optional>

namespace ohmglow::imaging {

/// Pixels that stand at one end of the stored numbers.
struct Clipped {
  double stored = 0;
  std::int64_t pixels = 0;
};
struct Clipping {
  std::optional<Clipped> at_most;
  std::optional<Clipped> at_least;
};

/// An end is clipped where its pixels are many (20, and one in 5000) and far more than those at the
/// next number inside, which noise and a smooth scene would fill as well: house rule.
[[nodiscard]] Clipping clipping(const cv::Mat& stored);

}  // namespace ohmglow::imaging
