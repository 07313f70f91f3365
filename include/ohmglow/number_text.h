#pragma once
/// Numbers as people read them, in one place for every sentence and table.

#include "ohmglow/quantity.h"

#include <string>

namespace ohmglow {

/// A number with a fixed count of decimals, never in exponent form, with "−" (U+2212) as its sign;
/// a value that rounds to zero carries none; its decimal mark is the reader's. Infinities and NaN
/// read "inf" and "nan".
[[nodiscard]] std::string decimals(double value, int places);

/// Ohms in the unit that reads best, about three digits: "12.4 Ω", "520 mΩ", "0.52 mΩ", "48.0 µΩ".
[[nodiscard]] std::string ohms(Ohm value);

}  // namespace ohmglow
