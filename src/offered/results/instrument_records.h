#pragma once
/// Fits of a camera, materials and measured emissivities as JSON.

#include "offered/radiometry/calibration.h"
#include "offered/radiometry/surfaces.h"

#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

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
