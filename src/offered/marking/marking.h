#pragma once
/// Regions on an image: which pixels belong to a shape, and what they measure.

#include "ohmglow/quantity.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <cstdint>
#include <opencv2/core/mat.hpp>
#include <optional>
#include <string>

namespace ohmglow::marking {

/// The pixels of a shape: a mask (CV_8U, 255 inside) and where its top-left pixel lies on the
/// image.
struct Region {
  cv::Rect box;  ///< clipped to the image
  cv::Mat mask;  ///< of box's size
  [[nodiscard]] std::int64_t pixels() const;
};

/// The pixels whose centres lie inside the shape or on its edge.
/// Errors: invalid_value for a shape that is not finite, has no area, holds no pixel's centre, or
/// lies wholly or partly outside the image (a shape lies inside if each of its extreme points is
/// within half a pixel of it); too_large for a polygon of more than 10 000 points; system without
/// memory.
[[nodiscard]] Result<Region> region_of(const Shape& shape, cv::Size image);

/// Share of no-data pixels above which a mark is not measured.
inline constexpr double kMostNoData = 0.05;

/// What the pixels of a region say. Temperatures in the unit of the matrix handed in.
struct RegionMeasure {
  double hottest_block;  ///< mean of the hottest 3×3 block of finite pixels inside the mark, or max
  bool has_block = false;  ///< whether there was such a block
  double max;
  double p95;  ///< linear interpolation between order statistics
  double mean;
  double deviation;         ///< standard deviation of the pixels (of the population, divided by n)
  std::int64_t pixels = 0;  ///< in the mark
  std::int64_t no_data = 0;
  PixelPoint hottest;  ///< centre of the block, or the hottest pixel
};

/// `values` is CV_32F of the region's box size, NaN = no data.
/// Errors: not_measurable where more than kMostNoData of the pixels are no data, or none is left.
[[nodiscard]] Result<RegionMeasure> measure(const cv::Mat& values, const Region& region);

/// Whether the smallest area that the camera measures truly, 3 × IFOV × distance (common practice,
/// no source), is larger than the lug's own size sqrt(area). Absent where one of the three is.
[[nodiscard]] std::optional<bool> smaller_than_spot(std::optional<SquareCentimetre> lug_area,
                                                    std::optional<Milliradian> ifov,
                                                    std::optional<Metre> distance);

/// The phase of a lug mark: as given, else from its name.
[[nodiscard]] std::optional<Phase> phase_of(const Mark& mark, const PhaseNames& declared);

}  // namespace ohmglow::marking
