#pragma once
/// The main job: a survey folder measured over all cores, then judged.

#include "ohmglow/diagnosis.h"
#include "ohmglow/imaging.h"
#include "ohmglow/result.h"
#include "ohmglow/severity.h"
#include "ohmglow/survey.h"

#include <cstddef>
#include <filesystem>
#include <functional>
#include <string>
#include <string_view>

namespace ohmglow::assessment {

struct Options {
  diagnosis::Options judging;
  unsigned jobs = 0;  ///< threads; 0 = all cores. The result does not depend on it.
  imaging::ReadLimits limits = {};
  /// Called after each image with (done, total), from one thread at a time.
  std::function<void(std::size_t, std::size_t)> progress = {};
};

/// The main job. Reads a survey folder, measures every image over all cores, judges every motor
/// and ranks what was found, by the policy of that name or file (empty: the survey's own, else the
/// default). What could not be measured is in the result's problems. Errors: a folder that is not
/// there, a broken survey.json or policy.
[[nodiscard]] Result<diagnosis::Assessment> assess(const std::filesystem::path& survey,
                                                   const Options& options = {},
                                                   std::string_view policy = {});
/// The same by a policy that is at hand.
[[nodiscard]] Result<diagnosis::Assessment> assess(const std::filesystem::path& survey,
                                                   const Options& options,
                                                   const severity::Policy& policy);

}  // namespace ohmglow::assessment
