#pragma once
/// Where lugs are seen in a picture. What sees them is a part of the program that is opened when
/// the first marks are proposed (src/sight/).

#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <cstddef>
#include <functional>
#include <opencv2/core/mat.hpp>
#include <vector>

namespace ohmglow::marking {

struct LugSeen {
  PixelPoint center;
  double radius = 0;  ///< pixels
  double merit = 0;   ///< logarithm of the odds that a lug's middle is here
  cv::Mat features;   ///< a row: what the network makes of the place
};

inline constexpr std::size_t kMostLugs = 20;

struct Sight {
  /// The surest first, one for each place, at most kMostLugs, in a picture of °C (CV_32F) without
  /// gaps, whose pixels differ by `noise_k` for no reason.
  std::vector<LugSeen> (*lugs)(const cv::Mat& filled, double noise_k) = nullptr;
  /// Of each row, which describes a group of lugs seen, the logarithm of the odds that they are a
  /// component's, against there being none.
  std::vector<double> (*group_merits)(const cv::Mat& rows) = nullptr;
};

/// Errors: the part is not installed.
using OpenSight = std::function<Result<Sight>()>;

}  // namespace ohmglow::marking
