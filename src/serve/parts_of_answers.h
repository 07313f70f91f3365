#pragma once
/// Pieces that several answers share.

#include "offered/assessment/workbench.h"
#include "serve/answer.h"
#include "serve/json_text.h"
#include "serve/open_survey.h"

#include <optional>
#include <string>

namespace ohmglow::serve {

/// The image that a request names by `file` (and `page`, where a file holds several).
struct NamedImage {
  std::size_t place = 0;  ///< in the survey
  ImageEntry entry;
};
/// Errors: missing.
[[nodiscard]] Result<NamedImage> named_image(OpenSurvey& served, const std::string& file,
                                             const std::string& page);
[[nodiscard]] Result<NamedImage> named_image(OpenSurvey& served, const Request& request);

/// The survey that a request looks into: the one that is served, or the older one that it names by
/// `survey`. Errors: missing.
struct Source {
  std::filesystem::path folder;
  assessment::Workbench* bench = nullptr;
};
[[nodiscard]] Result<Source> source_of(OpenSurvey& served, const Request& request);
[[nodiscard]] Result<NamedImage> named_image(assessment::Workbench& bench, const Request& request);

[[nodiscard]] Error no_such_motor(const std::string& motor);

/// The bands of the policy, from mild to severe.
[[nodiscard]] Json bands_json(const severity::Policy& policy);

/// An item of `images` of findings.json, by its place in the motor.
[[nodiscard]] std::string result_text(const diagnosis::MotorState& motor, std::size_t index);
/// A component as findings.json has it, with its meaning, its ladder and its lugs.
[[nodiscard]] std::string component_view(const diagnosis::Assessment& assessment,
                                         const diagnosis::ComponentResult& component);
/// That of the component which an image belongs to; "null" where no lug was measured.
[[nodiscard]] std::string component_view_of(const diagnosis::Assessment& assessment,
                                            std::string_view file);

/// Everything of a motor but its history.
[[nodiscard]] Result<ObjectText> motor_view(OpenSurvey& served, const diagnosis::MotorState& motor);

/// The band of a motor's most severe finding; "none".
[[nodiscard]] std::string_view band_of(const diagnosis::Assessment& motor);

}  // namespace ohmglow::serve
