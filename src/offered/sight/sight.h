#pragma once
/// Where a small convolutional network sees lugs. tests/scenes/train_lugs.py trained it on painted
/// scenes and wrote its weights; this room runs it. A part of the program: OpenCV's networks and
/// what they bring along would be paid for at every start.

#include "offered/marking/sight.h"

#include <opencv2/core/mat.hpp>
#include <string_view>
#include <vector>

namespace ohmglow::sight {

/// What the network is shown: the picture at one size, twice its half; each pixel against its
/// near and its wide surroundings.
struct Shown {
  cv::Mat contrast;  ///< 1 × 2 × rows × columns
  double times = 1;  ///< pixels of the picture a pixel
};
[[nodiscard]] std::vector<Shown> shown(const cv::Mat& filled, double noise_k);

/// What the room offers; see marking::Sight.
[[nodiscard]] marking::Sight sight();

struct Part {
  std::string_view version;
  marking::Sight sight;
};

}  // namespace ohmglow::sight
