#pragma once
/// An image enlarged, with its pixels numbered, for those who mark from a shell.

#include "ohmglow/imaging.h"

#include <opencv2/core/mat.hpp>

namespace ohmglow::imaging {

/// A temperature image (CV_32F °C) as 8-bit BGR over its own range, large enough to read, with a
/// grid of lines whose pixel numbers stand above and on the left. A line runs through the centre of
/// its pixel; (0,0) is the centre of the top-left one.
[[nodiscard]] cv::Mat numbered_picture(const cv::Mat& celsius);

}  // namespace ohmglow::imaging
