#pragma once
/// How sharp an image is, by its own edges.

#include <opencv2/core/mat.hpp>
#include <optional>

namespace ohmglow::imaging {

/// Blur of the edges in an image.
struct EdgeBlur {
  /// Standard deviation, in pixels, of the Gaussian that would blur a sharp edge that much: lens,
  /// focus, motion and the pixels' own extent together. Median over the edges.
  double sigma_px = 0;
  int edges = 0;  ///< that it was told from
};

/// Fits an error function across the strongest isolated edges of a temperature image (CV_32F, NaN =
/// no data), along their gradients, over all pixels near each edge: since an edge runs at a slant
/// to the rows, they sample it more finely than a pixel (the idea of ISO 12233, from memory).
/// Absent where fewer than five edges are straight, single and well above the noise, or the blur
/// lies outside 0.3 to 4 pixels.
[[nodiscard]] std::optional<EdgeBlur> edge_blur(const cv::Mat& celsius);

}  // namespace ohmglow::imaging
