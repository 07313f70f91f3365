#include "contrast.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace ohmglow::marking {
namespace {

double median_of(std::vector<float>& values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace

cv::Mat filled(const cv::Mat& celsius) {
  cv::Mat known;
  cv::compare(celsius, celsius, known, cv::CMP_EQ);  // NaN differs from itself
  const int count = cv::countNonZero(known);
  const auto total = static_cast<int>(celsius.total());
  if (2 * count < total || total == 0) return {};
  cv::Mat image = celsius.clone();
  if (count == total) return image;
  image.setTo(0, ~known);
  cv::Mat weight;
  known.convertTo(weight, CV_32F, 1.0 / 255);
  // From near by, then from farther away where nothing near by is known.
  for (double reach = 1; reach < 2 * std::max(image.cols, image.rows); reach *= 3) {
    cv::Mat sum;
    cv::Mat weights;
    cv::GaussianBlur(image.mul(weight), sum, {}, reach);
    cv::GaussianBlur(weight, weights, {}, reach);
    const cv::Mat mend = (weights > 0.05F) & ~known;
    cv::Mat mean;
    cv::divide(sum, cv::max(weights, 1e-6F), mean);
    mean.copyTo(image, mend);
    known |= mend;
    weight.setTo(1, mend);
    if (cv::countNonZero(known) == total) break;
  }
  return image;
}

double pixel_noise_k(const cv::Mat& filled) {
  // Differences across the corners of 2×2 blocks: slopes and vertical or horizontal edges cancel.
  std::vector<float> differences;
  for (int y = 0; y + 1 < filled.rows; y += 2) {
    for (int x = 0; x + 1 < filled.cols; x += 2) {
      differences.push_back(std::abs(filled.at<float>(y, x) - filled.at<float>(y, x + 1) -
                                     filled.at<float>(y + 1, x) + filled.at<float>(y + 1, x + 1)));
    }
  }
  if (differences.empty()) return 0;
  constexpr double kMedianToDeviation = 1.4826;  // of a normal distribution
  return kMedianToDeviation * median_of(differences) / 2;
}

cv::Mat local_contrast(const cv::Mat& filled) {
  const double reach = std::max(3.0, std::min(filled.cols, filled.rows) / 12.0);
  cv::Mat smooth;
  cv::Mat mean;
  cv::Mat spread;
  cv::GaussianBlur(filled, smooth, {}, 1.0);
  cv::GaussianBlur(smooth, mean, {}, reach);
  const cv::Mat above = smooth - mean;
  cv::GaussianBlur(above.mul(above), spread, {}, reach);
  cv::sqrt(spread, spread);
  // Plain parts are not blown up: the whole picture's contrast and the noise stand below.
  const double floor_k =
      0.25 * std::sqrt(cv::mean(above.mul(above))[0]) + 2 * pixel_noise_k(filled) + 1e-6;
  return above / (spread + floor_k);
}

}  // namespace ohmglow::marking
