#pragma once
// Journals come with surveys from anywhere, and right hashes prove nothing of what was hashed.

#include "ohmglow/diagnosis.h"

namespace ohmglow::records {

/// Whether every number in a motor's results that stands for another part of them, for a band of
/// its policy (where it has one), a phase or a verdict stands for one that is there.
[[nodiscard]] bool refers_to_what_is_there(const diagnosis::Assessment& motor);

}  // namespace ohmglow::records
