#pragma once
/// Points of a camera's calibration against a blackbody.

#include "offered/radiometry/calibration.h"
#include "ohmglow/result.h"

#include <filesystem>
#include <vector>

namespace ohmglow::records {

/// A table with the columns temperature_c, signal and, if known, u_signal. Every row must be good:
/// errors name the first that is not.
[[nodiscard]] Result<std::vector<radiometry::CalibrationPoint>> read_calibration_points(
    const std::filesystem::path& file);

}  // namespace ohmglow::records
