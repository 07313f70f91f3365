#pragma once
/// Where the pages of a TIFF or BigTIFF lie.

#include "readers.h"

namespace ohmglow::imaging {

/// Offsets of the image file directories in order. Walked here and not by libtiff, whose check for
/// loops takes quadratic time. Errors: damaged (cut short, running in a circle), too_large.
[[nodiscard]] Result<std::vector<std::uint64_t>> tiff_pages(Bytes file);

}  // namespace ohmglow::imaging
