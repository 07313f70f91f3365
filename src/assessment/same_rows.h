#pragma once
/// Whether rows of a survey that was read anew still say what they said.

#include "ohmglow/survey.h"

#include <algorithm>

namespace ohmglow::assessment {

/// A row without what no result depends on: its number, its note and its unknown columns.
template <class Row>
[[nodiscard]] Row essence(Row row) {
  row.row.reset();
  row.extra.clear();
  if constexpr (requires { row.note; }) row.note.clear();
  return row;
}

template <class Row>
[[nodiscard]] bool says_the_same(const Row& a, const Row& b) {
  return essence(a) == essence(b);
}

}  // namespace ohmglow::assessment
