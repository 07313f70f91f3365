#pragma once
/// The demo survey of the invented Bexley Creek grain terminal: a forward model of lugs that heat
/// up and of meters that read them, with the truth written beside.

#include "ohmglow/result.h"

#include <cstdint>
#include <filesystem>

namespace ohmglow::demo {

struct Options {
  std::uint64_t seed = 20260304;
  bool small = false;  ///< the few motors and small frames of samples/
  bool after = false;  ///< the survey two weeks later, after the repairs, in place of the first
};

/// Writes survey.json, the tables, marks, images of several encodings and truth.json into a folder
/// that is empty or not there yet. Errors: conflict for a folder with something in it, system.
[[nodiscard]] Result<void> write_survey(const std::filesystem::path& folder,
                                        const Options& options = {});

}  // namespace ohmglow::demo
