#pragma once
/// Numbers as people read them, in one place for every sentence and table.

#include "ohmglow/quantity.h"
#include "ohmglow/reader.h"

#include <optional>
#include <string>
#include <string_view>

namespace ohmglow {

/// A number with a fixed count of decimals, never in exponent form, with "−" (U+2212) as its sign;
/// a value that rounds to zero carries none; its decimal mark is the reader's. Infinities and NaN
/// read "inf" and "nan".
[[nodiscard]] std::string decimals(double value, int places, const Reader& its = reader());

/// Ohms in the unit that reads best, about three digits: "12.4 Ω", "520 mΩ", "0.52 mΩ", "48.0 µΩ".
[[nodiscard]] std::string ohms(Ohm value, const Reader& its = reader());

// --- a value and its standard uncertainty, in one unit and with the same decimals

/// The decimals that show an uncertainty to two significant digits, to one where the first is 4 or
/// more (JCGM 100, 7.2.6: at most two): 2 for 0.35, 1 for 0.42, 0 for 11, -1 for 40. Absent where
/// it is zero or no number.
[[nodiscard]] std::optional<int> places_of_u(double u);

/// "12.4 ± 0.4 K", "120 ± 40 K"; "12.4 K" with `places_without` decimals where there is no
/// uncertainty to show. An empty unit leaves the two numbers alone.
[[nodiscard]] std::string with_u(double value, double u, std::string_view unit, int places_without,
                                 const Reader& its = reader());

/// "2.19 ± 0.05 mΩ", "0.03 ± 0.15 mΩ": in the unit of the larger of the two.
[[nodiscard]] std::string ohms_with_u(Ohm value, Ohm u, const Reader& its = reader());

/// A probability: "94 %", "> 99 %", "< 1 %". Nothing estimated is certain.
[[nodiscard]] std::string percent_of(double probability);

}  // namespace ohmglow
