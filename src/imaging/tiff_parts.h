#pragma once
/// The strips or tiles of a TIFF page, and decoding them into pixels.

#include "tiff_file.h"

namespace ohmglow::imaging {

/// The bytes of each strip or tile of the page, by its own tags. Errors: damaged, where one is not
/// declared or does not lie inside the file.
[[nodiscard]] Result<std::vector<Bytes>> tiff_parts(Bytes file, std::uint64_t directory,
                                                    const TiffLayout& layout);

/// Fills `pixels` (of the page's size and type). Errors: damaged, where a part is too short or
/// decodes to more than it may hold.
[[nodiscard]] Result<void> decode_parts(TiffFile& file, const TiffLayout& layout,
                                        const std::vector<Bytes>& parts, cv::Mat& pixels);

/// Whether the parts of an image without compression lie one behind the other, as the pixels of
/// this machine do.
[[nodiscard]] bool lies_in_place(const TiffFile& file, const TiffLayout& layout,
                                 const std::vector<Bytes>& parts);

}  // namespace ohmglow::imaging
