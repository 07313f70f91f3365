#pragma once
/// Stored numbers to object temperatures, each distinct 16-bit number once per parameter set.

#include "ohmglow/imaging.h"
#include "ohmglow/radiometry.h"

#include <cstddef>
#include <cstdint>
#include <opencv2/core.hpp>
#include <vector>

namespace ohmglow::assessment {

/// All that the way from a stored number to an object temperature depends on.
struct PixelParameters {
  const radiometry::BandRadiance* band;  ///< outlives the tables
  Declaration declaration;
  radiometry::SavedAs saved;
  radiometry::Scene scene;
};

/// Object temperatures of a part of an image. Numbers of 16-bit images are remembered per parameter
/// set, so that a route with equal parameters pays for each once. One per thread.
class PixelTables {
 public:
  /// CV_32F °C of `part`'s size; NaN where the pixel holds no data or leaves the radiance table.
  [[nodiscard]] cv::Mat object_celsius(const imaging::ThermalImage& image, const cv::Rect& part,
                                       const PixelParameters& parameters);

 private:
  struct Table {
    PixelParameters parameters;
    std::vector<float> celsius;
  };
  Table& table_for(const PixelParameters& parameters);

  std::vector<Table> tables_;
  std::size_t next_ = 0;
};

/// One temperature through saved-as and scene; NaN outside the table.
[[nodiscard]] float object_celsius(Celsius stored, const PixelParameters& parameters);

}  // namespace ohmglow::assessment
