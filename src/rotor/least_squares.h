#pragma once
/// Straight least squares, by OpenCV.

#include <opencv2/core.hpp>
#include <optional>

namespace ohmglow::rotor {

struct Fit {
  cv::Mat parameters;   ///< a column
  cv::Mat cofactors;    ///< (XᵀX)⁻¹: covariance = σ² × this
  cv::Mat residuals;    ///< a column
  double variance = 0;  ///< of a reading, from the residuals
  int freedom = 0;      ///< readings less parameters
};
/// Parameters p that make |X p − y|² least. Absent where the columns of X do not tell them apart.
[[nodiscard]] std::optional<Fit> least_squares(const cv::Mat& design, const cv::Mat& values);

}  // namespace ohmglow::rotor
