#include "ohmglow/imaging.h"

#include <cmath>
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

template <class Pixel>
void linear_rows(const cv::Mat& pixels, double scale, double offset, cv::Mat& result) {
  for (int y = 0; y < pixels.rows; ++y) {
    const Pixel* const from = pixels.ptr<Pixel>(y);
    float* const to = result.ptr<float>(y);
    for (int x = 0; x < pixels.cols; ++x) to[x] = static_cast<float>(scale * from[x] + offset);
  }
}

/// scale x pixel + offset in double precision, rounded once. cv::Mat::convertTo would work in
/// single precision, where a 16-bit number times a rounded scale loses 0.03 mK, and with a fused
/// multiplication on some machines only: a recheck elsewhere must find the same numbers.
cv::Mat linear(const cv::Mat& pixels, double scale, double offset) {
  cv::Mat result(pixels.rows, pixels.cols, CV_32F);
  switch (pixels.depth()) {
    case CV_8U:
      linear_rows<std::uint8_t>(pixels, scale, offset, result);
      break;
    case CV_16U:
      linear_rows<std::uint16_t>(pixels, scale, offset, result);
      break;
    case CV_16S:
      linear_rows<std::int16_t>(pixels, scale, offset, result);
      break;
    case CV_32S:
      linear_rows<std::int32_t>(pixels, scale, offset, result);
      break;
    case CV_32F:
      linear_rows<float>(pixels, scale, offset, result);
      break;
    default:
      linear_rows<double>(pixels, scale, offset, result);
      break;
  }
  return result;
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
  cv::Mat result = linear(pixels, declaration_.scale, offset_to_celsius(declaration_));
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
  result.mean = cv::mean(pixels)[0];
  // A single NaN or infinity shows in the mean; integers have none.
  if (!std::isfinite(result.mean)) mask = finite_mask(pixels);
  result.finite = mask.empty() ? total : cv::countNonZero(mask);
  result.no_data = total - result.finite;
  if (result.finite == 0) return {.no_data = total};
  cv::minMaxLoc(pixels, &result.min, &result.max, nullptr, nullptr, mask);
  if (!mask.empty()) result.mean = cv::mean(pixels, mask)[0];
  return result;
}

}  // namespace ohmglow::imaging
