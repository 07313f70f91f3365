#pragma once
/// Temperature images made fit for finding things in them.

#include <opencv2/core/mat.hpp>

namespace ohmglow::marking {

/// The same image with the pixels without data filled from what is around them; empty where more
/// than a half of them are missing.
[[nodiscard]] cv::Mat filled(const cv::Mat& celsius);

/// Standard deviation of the pixels' own noise, from differences of neighbours (robust).
[[nodiscard]] double pixel_noise_k(const cv::Mat& filled);

/// Each pixel against its surroundings, over their deviation: how warm things are drops out, what
/// they look like stays. Noise alone stays small.
[[nodiscard]] cv::Mat local_contrast(const cv::Mat& filled);

}  // namespace ohmglow::marking
