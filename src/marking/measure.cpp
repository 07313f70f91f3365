#include "offered/marking/marking.h"

#include <algorithm>
#include <cfloat>
#include <cmath>
#include <cstddef>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

namespace ohmglow::marking {
namespace {

/// Side of the smallest area that a camera measures truly, in pixels (common practice, no source).
constexpr int kBlock_px = 3;
constexpr double kPercentile = 0.95;
constexpr double kMillimetrePerCentimetre = 10;

Error too_little(std::int64_t pixels, std::int64_t no_data) {
  return Error{ErrorKind::not_measurable, "too many of the mark's pixels hold no data",
               std::to_string(no_data) + " of " + std::to_string(pixels),
               "at most " + std::to_string(std::lround(100 * kMostNoData)) +
                   " % and at least one pixel with a temperature",
               "move the mark off the gap in the image"};
}

/// The quantile between order statistics by linear interpolation; `sample` is reordered.
double quantile(std::vector<float>& sample, double share) {
  const double at = share * static_cast<double>(sample.size() - 1);
  const auto below = static_cast<std::ptrdiff_t>(at);
  const auto nth = sample.begin() + below;
  std::nth_element(sample.begin(), nth, sample.end());
  if (nth + 1 == sample.end()) return *nth;
  const double next = *std::min_element(nth + 1, sample.end());
  return *nth + (at - static_cast<double>(below)) * (next - *nth);
}

std::vector<float> sample_of(const cv::Mat& values, const cv::Mat& counted, std::int64_t count) {
  std::vector<float> sample;
  sample.reserve(static_cast<std::size_t>(count));
  for (int y = 0; y < values.rows; ++y) {
    const auto* const value = values.ptr<float>(y);
    const auto* const counts = counted.ptr<unsigned char>(y);
    for (int x = 0; x < values.cols; ++x) {
      if (counts[x]) sample.push_back(value[x]);
    }
  }
  return sample;
}

struct Peak {
  double value = 0;
  cv::Point at;
};

Peak peak_of(const cv::Mat& values, const cv::Mat& among) {
  Peak peak;
  cv::minMaxLoc(values, nullptr, &peak.value, nullptr, &peak.at, among);
  return peak;
}

/// The hottest mean of 3×3 counted pixels, the first in row order of equals.
std::optional<Peak> hottest_block(const cv::Mat& values, const cv::Mat& counted) {
  cv::Mat centres;
  cv::erode(counted, centres, cv::Mat::ones(kBlock_px, kBlock_px, CV_8U), {-1, -1}, 1,
            cv::BORDER_CONSTANT, cv::Scalar::all(0));
  if (cv::countNonZero(centres) == 0) return std::nullopt;
  // No-data pixels would spoil the filter's running sums, so they go in as zeros.
  cv::Mat filled = cv::Mat::zeros(values.size(), CV_32F);
  values.copyTo(filled, counted);
  cv::Mat means;
  cv::boxFilter(filled, means, CV_64F, {kBlock_px, kBlock_px}, {-1, -1}, true, cv::BORDER_CONSTANT);
  return peak_of(means, centres);
}

Result<RegionMeasure> measured(const cv::Mat& values, const Region& region) {
  cv::Mat counted;  // finite pixels of the mark; inRange leaves NaN and infinities out
  cv::inRange(values, cv::Scalar(-double{FLT_MAX}), cv::Scalar(double{FLT_MAX}), counted);
  counted &= region.mask;
  const std::int64_t pixels = region.pixels();
  const std::int64_t used = cv::countNonZero(counted);
  const std::int64_t no_data = pixels - used;
  if (used == 0 || static_cast<double>(no_data) > kMostNoData * static_cast<double>(pixels))
    return fail(too_little(pixels, no_data));

  const Peak pixel = peak_of(values, counted);
  const auto block = hottest_block(values, counted);
  cv::Scalar mean;
  cv::Scalar deviation;
  cv::meanStdDev(values, mean, deviation, counted);
  std::vector<float> sample = sample_of(values, counted, used);
  const Peak& hottest = block ? *block : pixel;
  const cv::Point at = hottest.at + region.box.tl();
  return RegionMeasure{.hottest_block = hottest.value,
                       .has_block = block.has_value(),
                       .max = pixel.value,
                       .p95 = quantile(sample, kPercentile),
                       .mean = mean[0],
                       .deviation = deviation[0],
                       .pixels = pixels,
                       .no_data = no_data,
                       .hottest = {static_cast<double>(at.x), static_cast<double>(at.y)}};
}

}  // namespace

Result<RegionMeasure> measure(const cv::Mat& values, const Region& region) {
  CV_Assert(values.type() == CV_32F && values.size() == region.mask.size());
  try {
    return measured(values, region);
  } catch (const cv::Exception&) {
    return fail(Error{ErrorKind::system, "there is not enough memory to measure a mark", "", "",
                      "draw a smaller mark or close other programs"});
  }
}

std::optional<bool> smaller_than_spot(std::optional<SquareCentimetre> lug_area,
                                      std::optional<Milliradian> ifov,
                                      std::optional<Metre> distance) {
  if (!lug_area || !ifov || !distance) return std::nullopt;
  const double lug_mm = kMillimetrePerCentimetre * std::sqrt(lug_area->value());
  const double spot_mm = kBlock_px * ifov->value() * distance->value();  // mrad × m = mm
  return lug_mm < spot_mm;
}

std::optional<Phase> phase_of(const Mark& mark, const PhaseNames& declared) {
  return mark.phase ? mark.phase : phase_from_name(mark.name, declared);
}

}  // namespace ohmglow::marking
