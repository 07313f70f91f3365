#include "ohmglow/imaging.h"

#include <limits>
#include <opencv2/core.hpp>

namespace ohmglow::imaging {
namespace {

double offset_to_celsius(const Declaration& declaration) {
  return declaration.unit == TemperatureUnit::kelvin ? declaration.offset - kCelsiusZeroInKelvin
                                                     : declaration.offset;
}

/// Infinities are no data either.
void blank_infinities(cv::Mat& values) {
  constexpr float kNoData = std::numeric_limits<float>::quiet_NaN();
  for (int y = 0; y < values.rows; ++y) {
    float* const row = values.ptr<float>(y);
    for (int x = 0; x < values.cols; ++x) row[x] = std::isfinite(row[x]) ? row[x] : kNoData;
  }
}

/// Of a floating-point matrix: 255 where the pixel is finite.
cv::Mat finite_mask(const cv::Mat& pixels) {
  const double largest = pixels.depth() == CV_32F
                             ? static_cast<double>(std::numeric_limits<float>::max())
                             : std::numeric_limits<double>::max();
  return cv::abs(pixels) <= largest;
}

}  // namespace

ThermalImage::ThermalImage(StoredImage stored, Declaration declaration)
    : stored_(std::move(stored)), declaration_(std::move(declaration)) {}

cv::Mat ThermalImage::celsius(const cv::Rect& part) const {
  const cv::Mat pixels = stored_.pixels(part);
  const double offset = offset_to_celsius(declaration_);
  cv::Mat result;
  if (declaration_.scale == 1 && offset == 0) {
    pixels.convertTo(result, CV_32F);
  } else {
    // In double precision: the product of a 16-bit number and a rounded scale would lose 0.03 mK,
    // differently on machines with and without fused multiplication.
    cv::Mat exact;
    pixels.convertTo(exact, CV_64F, declaration_.scale, offset);
    exact.convertTo(result, CV_32F);
  }
  if (!stored_.is_integer()) blank_infinities(result);
  return result;
}

cv::Mat ThermalImage::celsius() const {
  return celsius({0, 0, width(), height()});
}

Celsius stored_to_celsius(double stored, const Declaration& declaration) {
  return Celsius{declaration.scale * stored + offset_to_celsius(declaration)};
}

Statistics statistics(const cv::Mat& pixels) {
  Statistics result;
  if (pixels.empty()) return result;
  const auto total = static_cast<std::int64_t>(pixels.total());
  cv::Mat mask;
  // checkRange sees NaN and infinities alike.
  if (pixels.depth() >= CV_32F && !cv::checkRange(pixels)) mask = finite_mask(pixels);
  result.finite = mask.empty() ? total : cv::countNonZero(mask);
  result.no_data = total - result.finite;
  if (result.finite == 0) return result;
  cv::minMaxLoc(pixels, &result.min, &result.max, nullptr, nullptr, mask);
  result.mean = cv::mean(pixels, mask)[0];
  return result;
}

}  // namespace ohmglow::imaging
