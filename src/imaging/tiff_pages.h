#pragma once
/// Where the pages of a TIFF or BigTIFF lie, and what stands in their directories.

#include "readers.h"

namespace ohmglow::imaging {

/// Offsets of the image file directories in order. Walked here and not by libtiff, whose check for
/// loops takes quadratic time. Errors: damaged (cut short, running in a circle), too_large.
[[nodiscard]] Result<std::vector<std::uint64_t>> tiff_pages(Bytes file);

/// The first `most` whole numbers (SHORT, LONG or LONG8) of a tag as the file has them, where
/// libtiff would put its own estimate in place of what it does not believe. Nothing where there is
/// no such tag, or its values do not lie inside the file.
[[nodiscard]] std::optional<std::vector<std::uint64_t>> tiff_values(Bytes file,
                                                                    std::uint64_t directory,
                                                                    std::uint32_t tag,
                                                                    std::uint64_t most);

}  // namespace ohmglow::imaging
