#include "ohmglow/imaging.h"

#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>

namespace ohmglow::imaging {

cv::Mat render(const cv::Mat& celsius, Celsius low, Celsius high, Palette palette) {
  constexpr double kSteps = 255;
  const double span = high.value() - low.value();
  const double scale = span > 0 ? kSteps / span : 0;
  // A NaN would be cast to an undefined level; its pixels are painted afterwards.
  cv::Mat known = celsius.clone();
  cv::patchNaNs(known, low.value());
  cv::Mat levels;
  known.convertTo(levels, CV_8U, scale, -low.value() * scale);

  cv::Mat picture;
  switch (palette) {
    case Palette::inferno:
      cv::applyColorMap(levels, picture, cv::COLORMAP_INFERNO);
      break;
    case Palette::cividis:
      cv::applyColorMap(levels, picture, cv::COLORMAP_CIVIDIS);
      break;
    case Palette::grey:
      cv::cvtColor(levels, picture, cv::COLOR_GRAY2BGR);
      break;
  }
  const cv::Mat no_data = celsius != celsius;
  picture.setTo(cv::Scalar::all(128), no_data);
  return picture;
}

}  // namespace ohmglow::imaging
