#pragma once
/// A thermal image as a drawing for the page: the frame as a PNG data URI, marks and temperature
/// scale as sharp text and lines over it.

#include "offered/report/report.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/imaging.h"
#include "ohmglow/result.h"

#include <cstddef>
#include <span>
#include <string>

namespace ohmglow::report {

[[nodiscard]] std::string base64(std::span<const std::byte> bytes);

/// A complete <svg> element. Errors: the picture cannot be encoded.
[[nodiscard]] Result<std::string> picture_svg(const Picture& picture, const std::string& file);
/// The same of an image. `marks` may be null.
[[nodiscard]] Result<std::string> picture_svg(const imaging::ThermalImage& image,
                                              const diagnosis::ImageResult& result,
                                              const MarkFile* marks);

}  // namespace ohmglow::report
