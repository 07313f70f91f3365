#pragma once
/// What was measured and judged on one motor, as bytes from which it can be had again to the last
/// bit. Read only by the program that wrote them: the journal's header names it.

#include "ohmglow/diagnosis.h"

#include <string>

namespace ohmglow::records {

/// A motor's rows and marks, images, components, findings and problems; not the survey's head, nor
/// policy and options. restore() is its opposite.
[[nodiscard]] std::string archived(const diagnosis::Assessment& motor);

}  // namespace ohmglow::records
