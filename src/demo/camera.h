#pragma once
/// From surfaces to the temperatures that the camera stores.

#include "noise.h"
#include "ohmglow/radiometry.h"
#include "scene.h"

#include <opencv2/core/mat.hpp>

namespace ohmglow::demo {

/// Noise-equivalent temperature difference of an uncooled camera, and what is left of its columns'
/// fixed pattern; standard deviations.
inline constexpr double kNetd_k = 0.045;
inline constexpr double kColumnPattern_k = 0.006;
/// Optical blur, standard deviation.
inline constexpr double kBlur_px = 0.8;

/// The shot's parameters as the radiation balance takes them; the emissivity is each pixel's own.
[[nodiscard]] radiometry::Scene balance_of(const Shot& shot);

/// Band radiance that arrives at each pixel, W/(m² sr), sharp and free of noise (CV_64F).
[[nodiscard]] cv::Mat received(const Surfaces& surfaces, const Shot& shot);

/// What the camera stores, °C (CV_64F): blurred, noisy, re-expressed for the saved emissivity;
/// NaN where a pixel is dead.
[[nodiscard]] cv::Mat stored_celsius(const cv::Mat& radiance, const Picture& picture,
                                     const Shot& shot, Noise& noise);

}  // namespace ohmglow::demo
