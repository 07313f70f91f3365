#pragma once
/// Commands that are given an image find the survey that it belongs to.

#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <filesystem>
#include <string>

namespace ohmglow::cli {

struct ImageInSurvey {
  std::filesystem::path image;   ///< absolute
  std::filesystem::path folder;  ///< of the survey, absolute
  std::string relative;          ///< the image from there, with forward slashes
};

/// By the folder given, or the nearest one above the image with a survey's tables or marks; the
/// image's own folder where there is none. Errors: outside_survey.
[[nodiscard]] Result<ImageInSurvey> locate_image(const std::string& image,
                                                 const std::string& survey);

}  // namespace ohmglow::cli
