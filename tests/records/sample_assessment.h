#pragma once
/// An assessment made by hand in which every member that findings.json shows has a value of its
/// own, so that two swapped members cannot go unseen.

#include "ohmglow/diagnosis.h"

namespace test {

[[nodiscard]] ohmglow::diagnosis::Assessment sample_assessment();
/// Nothing measured, nothing read: every optional member absent.
[[nodiscard]] ohmglow::diagnosis::Assessment bare_assessment();

}  // namespace test
