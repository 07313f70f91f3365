#pragma once
/// The job as anyone would write it down: three circles of a frame, corrected for emissivity by the
/// grey body's fourth power, their hottest pixel, mean and 95th percentile. plain_job.py is its
/// twin.

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace bench {

constexpr int kRadiusPx = 12;
constexpr double kEmissivity = 0.95;
constexpr double kReflectedK = 295.15;
constexpr double kZeroCelsiusK = 273.15;
constexpr double kKelvinPerCount = 0.01;
constexpr std::array<std::array<double, 2>, 3> kPlaces{{{0.25, 0.3}, {0.5, 0.5}, {0.75, 0.7}}};

inline float object_c(double apparent_k) {
  const double power =
      (std::pow(apparent_k, 4) - (1 - kEmissivity) * std::pow(kReflectedK, 4)) / kEmissivity;
  return static_cast<float>(std::sqrt(std::sqrt(std::max(power, 0.0))) - kZeroCelsiusK);
}

/// 95th percentile, linear between ranks as numpy.percentile has it; reorders `values`.
inline double percentile_95(std::vector<float>& values) {
  const double rank = 0.95 * static_cast<double>(values.size() - 1);
  const auto lower = static_cast<std::ptrdiff_t>(rank);
  const auto at = values.begin() + lower;
  std::nth_element(values.begin(), at, values.end());
  const float above = *std::min_element(at + 1, values.end());
  return *at + (above - *at) * (rank - static_cast<double>(lower));
}

/// `pixel_c(x, y)` is the corrected temperature of a pixel; `region` is a buffer to reuse.
template <class PixelC>
double three_regions(int width, int height, PixelC pixel_c, std::vector<float>& region) {
  double sum = 0;
  for (const auto& place : kPlaces) {
    const int cx = static_cast<int>(place[0] * width);
    const int cy = static_cast<int>(place[1] * height);
    region.clear();
    double total = 0;
    for (int y = -kRadiusPx; y <= kRadiusPx; ++y) {
      for (int x = -kRadiusPx; x <= kRadiusPx; ++x) {
        if (x * x + y * y > kRadiusPx * kRadiusPx) continue;
        region.push_back(pixel_c(cx + x, cy + y));
        total += region.back();
      }
    }
    sum += *std::max_element(region.begin(), region.end()) +
           total / static_cast<double>(region.size());
    sum += percentile_95(region);
  }
  return sum;
}

}  // namespace bench
