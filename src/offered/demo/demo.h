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

/// The second story of the terminal: the two-pole motor of its main dust fan before and after the
/// shop, a survey each in before/ and after/, with sweeps, air gaps and tests on the bench. Errors:
/// those of write_survey.
[[nodiscard]] Result<void> write_rotor_story(const std::filesystem::path& folder,
                                             std::uint64_t seed = Options{}.seed);

}  // namespace ohmglow::demo
