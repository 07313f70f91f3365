#pragma once
/// Files about the camera and the surfaces it sees: calibration points in; fits, materials and
/// measured emissivities out as JSON.

#include "ohmglow/calibration.h"
#include "ohmglow/result.h"
#include "ohmglow/surfaces.h"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// A table with the columns temperature_c, signal and, if known, u_signal. Every row must be good:
/// errors name the first that is not.
[[nodiscard]] Result<std::vector<radiometry::CalibrationPoint>> read_calibration_points(
    const std::filesystem::path& file);

/// {"version":1,"calibration":{…} as survey.json takes it,"u":…,"covariance":…,"points":[…], …}
[[nodiscard]] std::string calibration_json(std::string_view file,
                                           const std::vector<radiometry::CalibrationPoint>& points,
                                           const radiometry::CalibrationFit& fit);

/// {"version":1,"materials":[{"name","title","low","high","emissivity","emissivity_u","source"}]}
[[nodiscard]] std::string materials_json();

/// {"version":1,"file","mark","emissivity","emissivity_u","budget":{…},"contact_c", …}
[[nodiscard]] std::string emissivity_json(std::string_view file, std::string_view mark,
                                          const radiometry::MeasuredEmissivity& measured);

}  // namespace ohmglow::records
