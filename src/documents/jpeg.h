#pragma once
/// JPEG in and out, by TurboJPEG.

#include "ohmglow/result.h"

#include <cstddef>
#include <opencv2/core/mat.hpp>
#include <span>
#include <vector>

namespace ohmglow::documents {

struct JpegSize {
  int width = 0;
  int height = 0;
};
/// Errors: damaged, or no JPEG.
[[nodiscard]] Result<JpegSize> jpeg_size(std::span<const std::byte> bytes);

/// An 8-bit BGR image, without thinning its colours.
[[nodiscard]] Result<std::vector<std::byte>> encode_jpeg(const cv::Mat& bgr, int quality);

/// Halved until its longer side is at most `longest`; unchanged where it is.
[[nodiscard]] Result<std::vector<std::byte>> reduced_jpeg(std::span<const std::byte> bytes,
                                                          int longest);

/// Turned upright by its Exif orientation (CIPA DC-008, tag 0x0112) without a loss, and without any
/// of the markers a camera adds.
[[nodiscard]] Result<std::vector<std::byte>> upright_jpeg(std::span<const std::byte> bytes,
                                                          int orientation);

/// 1 to 8; 1 where none is told.
[[nodiscard]] int exif_orientation(std::span<const std::byte> bytes);

}  // namespace ohmglow::documents
