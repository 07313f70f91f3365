#pragma once
/// Numbers as people read them, in one place for every sentence and table.

#include "ohmglow/quantity.h"
#include "ohmglow/reader.h"

#include <string>

namespace ohmglow {

/// A number with a fixed count of decimals, never in exponent form, with "−" (U+2212) as its sign;
/// a value that rounds to zero carries none; its decimal mark is the reader's. Infinities and NaN
/// read "inf" and "nan".
[[nodiscard]] std::string decimals(double value, int places, const Reader& its = reader());

/// Ohms in the unit that reads best, about three digits: "12.4 Ω", "520 mΩ", "0.52 mΩ", "48.0 µΩ".
[[nodiscard]] std::string ohms(Ohm value, const Reader& its = reader());

}  // namespace ohmglow
