#pragma once
/// A policy's columns as data, so that one piece of code serves all of them.

#include "ohmglow/severity.h"

#include <cstddef>
#include <optional>

namespace ohmglow::severity {

using Column = std::optional<Limit> Band::*;

/// The limit of a column that is met first in the bands from index `from` on, the lowest of them
/// since limits rise; absent if there is none.
[[nodiscard]] std::optional<Limit> first_limit(const Policy& policy, Column column,
                                               std::size_t from);

}  // namespace ohmglow::severity
