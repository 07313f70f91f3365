#pragma once
/// What stands in front of the camera: where the lugs are in the picture and how warm every
/// surface is.

#include "noise.h"
#include "ohmglow/survey.h"
#include "physics.h"

#include <opencv2/core/mat.hpp>
#include <string>
#include <vector>

namespace ohmglow::demo {

/// A lug as it really is and where the picture shows it.
struct Lug {
  std::string name;
  Phase phase{};  ///< as the motor's marking claims
  PixelPoint center;
  double half_side_px = 0;
  double temperature_c = 0;
  double cable_c = 0;  ///< of its conductors far away
  double emissivity = 1;
};

struct Picture {
  cv::Size size;
  double metre_per_px = 0;
  double cable_px = 0;  ///< outer diameter
  double fin_length_px = 0;
  std::vector<Lug> lugs;
  std::optional<cv::Rect> patch;
};

[[nodiscard]] Picture compose(const MotorStory& motor, const Shot& shot, Noise& noise);

/// Temperatures in °C and emissivities, one of each a pixel (CV_64F).
struct Surfaces {
  cv::Mat celsius;
  cv::Mat emissivity;
};

/// `warmed` is how far the lugs and cables have warmed up, 0 = at the air's temperature, 1 =
/// steady.
[[nodiscard]] Surfaces paint(const Picture& picture, const Shot& shot, double warmed = 1);

/// The marks that a careful person would set on the picture.
[[nodiscard]] MarkFile mark(const Picture& picture, const Shot& shot, const std::string& image);

/// A lug's own temperature falls from its middle to its rim by this much.
inline constexpr double kCrown_k = 0.4;

}  // namespace ohmglow::demo
