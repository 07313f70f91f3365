#pragma once
/// The lines of the list, each from the latest measurement of each place.

#include "limits.h"

namespace ohmglow::acceptance {

struct Bench {
  const diagnosis::Assessment& survey;
  const Limits& limits;
  const Motor& motor;
  const rotor::Rotors& rotors;
};

/// A check's lines, one a place; empty: it was not done.
[[nodiscard]] std::vector<Item> lines_of(const Bench& bench, Check check);

}  // namespace ohmglow::acceptance
