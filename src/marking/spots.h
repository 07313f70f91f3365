#pragma once
/// Compact things of a picture: places that are alike on opposite sides, with a rim around them.

#include "ohmglow/survey.h"

#include <algorithm>
#include <array>
#include <opencv2/core/mat.hpp>
#include <vector>

namespace ohmglow::marking {

inline constexpr std::size_t kRadii = 26;

struct SpotSeen {
  PixelPoint center;
  double radius = 0;      ///< pixels
  double contrast_k = 0;  ///< of its inside over what is around it; below zero where it is colder
  double rim = 0;         ///< share of the directions in which an edge is seen, 0 … 1
  /// The same for circles of other radii about the middle, by their places in radius_at(): a lug
  /// has a rim, and so has its nut.
  std::array<float, kRadii> rims{};
  /// As `rims`, over the half of the directions in which least of it is seen.
  std::array<float, kRadii> open{};
};

/// Radii at which rims are held against each other, pixels of the working picture.
[[nodiscard]] double radius_at(std::size_t place);

/// The working picture at one size, blurred by a pixel, and the directions of its slopes. Their
/// lengths are 1 on clear edges, whatever the step across them, and fall to 0 in the noise: a cold
/// lug's rim is worth as much as a hot one's.
struct Level {
  cv::Mat image;  ///< CV_32F °C
  cv::Mat slope_x;
  cv::Mat slope_y;
  double times = 1;  ///< pixels of the working picture a pixel
  [[nodiscard]] PixelPoint to_working(double x, double y) const;
  [[nodiscard]] PixelPoint from_working(const PixelPoint& at) const;
};

/// A picture brought to one size, in which lugs are looked for: what is found does not depend on
/// how many pixels the camera has.
struct Working {
  std::vector<Level> levels;  ///< each half the size of the one before
  cv::Size size;
  double times = 1;  ///< pixels of the original a pixel

  /// The level on which things of a radius (in pixels of the working picture) are looked at.
  [[nodiscard]] const Level& level_for(double radius) const;
  [[nodiscard]] PixelPoint to_original(const PixelPoint& at) const;
};

/// Between pixels; `image` is CV_32F. The edge stands for what is beyond it.
[[nodiscard]] inline float sample(const cv::Mat& image, double x, double y) {
  x = std::clamp(x, 0.0, image.cols - 1.001);
  y = std::clamp(y, 0.0, image.rows - 1.001);
  const int left = static_cast<int>(x);
  const int top = static_cast<int>(y);
  const auto u = static_cast<float>(x - left);
  const auto v = static_cast<float>(y - top);
  const auto* a = image.ptr<float>(top) + left;
  const auto* b = image.ptr<float>(top + 1) + left;
  return (1 - v) * ((1 - u) * a[0] + u * a[1]) + v * ((1 - u) * b[0] + u * b[1]);
}

[[nodiscard]] Working working_picture(const cv::Mat& filled);

/// Spots in pixels of the working picture, the best rims first, at most kMostSpots.
[[nodiscard]] std::vector<SpotSeen> spots(const Working& picture);

inline constexpr std::size_t kMostSpots = 50;

}  // namespace ohmglow::marking
