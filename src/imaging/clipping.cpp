#include "offered/imaging/clipping.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/core.hpp>

namespace ohmglow::imaging {
namespace {

constexpr std::int64_t kLeastPixels = 20;
constexpr double kLeastShare = 1.0 / 5000;
constexpr std::int64_t kTimesTheNext = 5;

/// How many pixels have the largest number, and how many the next below it.
struct Top {
  double value = -std::numeric_limits<double>::infinity();
  std::int64_t count = 0;
  double next_value = -std::numeric_limits<double>::infinity();
  std::int64_t next_count = 0;

  void add(double v) {
    if (v < next_value) return;
    if (v > value) {
      next_value = value;
      next_count = count;
      value = v;
      count = 1;
    } else if (v == value) {
      ++count;
    } else if (v > next_value) {
      next_value = v;
      next_count = 1;
    } else {
      ++next_count;
    }
  }
  [[nodiscard]] bool is_clipped(std::int64_t finite) const {
    const auto least = std::max(
        kLeastPixels, static_cast<std::int64_t>(kLeastShare * static_cast<double>(finite)));
    return next_count > 0 && count >= least && count > kTimesTheNext * next_count;
  }
};

template <class Number>
Clipping ends_of(const cv::Mat& stored) {
  Top high;
  Top low;
  std::int64_t finite = 0;
  for (int y = 0; y < stored.rows; ++y) {
    const auto* row = stored.ptr<Number>(y);
    for (int x = 0; x < stored.cols; ++x) {
      const auto value = static_cast<double>(row[x]);
      if (!std::isfinite(value)) continue;
      ++finite;
      high.add(value);
      low.add(-value);
    }
  }
  Clipping ends;
  if (high.is_clipped(finite)) ends.at_most = {high.value, high.count};
  if (low.is_clipped(finite)) ends.at_least = {-low.value, low.count};
  return ends;
}

}  // namespace

Clipping clipping(const cv::Mat& stored) {
  switch (stored.depth()) {
    case CV_8U:
      return ends_of<std::uint8_t>(stored);
    case CV_16U:
      return ends_of<std::uint16_t>(stored);
    case CV_16S:
      return ends_of<std::int16_t>(stored);
    case CV_32S:
      return ends_of<std::int32_t>(stored);
    case CV_32F:
      return ends_of<float>(stored);
    default:
      return ends_of<double>(stored);
  }
}

}  // namespace ohmglow::imaging
