#pragma once
/// Compact spots of a picture: places that are warmer, or colder, than what is around them on all
/// sides.

#include "ohmglow/survey.h"

#include <opencv2/core/mat.hpp>
#include <vector>

namespace ohmglow::marking {

struct SpotSeen {
  PixelPoint center;
  double radius = 0;      ///< pixels
  double contrast_k = 0;  ///< how much it stands out; below zero where it is colder
};

/// Spots that stand out of the noise, the strongest first, at most kMostSpots. `filled` has no NaN.
[[nodiscard]] std::vector<SpotSeen> spots(const cv::Mat& filled);

inline constexpr std::size_t kMostSpots = 40;

}  // namespace ohmglow::marking
