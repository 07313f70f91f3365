#pragma once
// What the meter's uncertainty leaves open about a resolved triple.

#include "ohmglow/electrical.h"

namespace ohmglow::electrical {

// Standard uncertainties of the three pairs, ohm.
[[nodiscard]] PerPair<double> pair_us(const PerPair<Ohm>& pairs, const Meter& meter);

// Of a phase's leg less the mean of the two others, which is (R_a + R_b)/2 − R_c with a and b the
// pairs that touch the phase.
[[nodiscard]] Ohm excess_u(const PerPair<Ohm>& pairs, Phase phase, const Meter& meter);

// That this phase's leg is the highest, from the normal distributions of the three readings.
[[nodiscard]] double probability_of_highest(const PerPair<Ohm>& pairs, Phase phase,
                                            const Meter& meter);

}  // namespace ohmglow::electrical
