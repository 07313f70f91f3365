#pragma once
/// Decoding the strips or tiles of a TIFF page into pixels.

#include "tiff_file.h"

namespace ohmglow::imaging {

/// Fills `pixels` (of the page's size and type). Errors: damaged, where a part is missing, too
/// short or decodes to more than it may hold.
[[nodiscard]] Result<void> decode_parts(TiffFile& file, const TiffLayout& layout, cv::Mat& pixels);

}  // namespace ohmglow::imaging
