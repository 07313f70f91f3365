#pragma once
/// When a picture was taken, by what its file says of itself.

#include "ohmglow/survey.h"

#include <cstddef>
#include <optional>
#include <span>

namespace ohmglow::imaging {

/// DateTime of a TIFF, DATE-OBS of a FITS file, DateTimeOriginal (else DateTime) in the Exif part
/// of a JPEG. Absent where the file says nothing, or nothing that is a moment.
[[nodiscard]] std::optional<Moment> taken_at(std::span<const std::byte> file);

}  // namespace ohmglow::imaging
