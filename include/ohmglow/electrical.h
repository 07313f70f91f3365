#pragma once
/// What three numbers from a meter say: unbalance, the phase that stands out, by how many ohms and
/// watts. Values in, values out.

#include "ohmglow/phase.h"
#include "ohmglow/quantity.h"
#include "ohmglow/result.h"
#include "ohmglow/sentence.h"
#include "ohmglow/survey.h"

#include <array>
#include <optional>
#include <string>

namespace ohmglow::electrical {

/// 100 × max|x_i − mean| / mean (NEMA MG 1, 12.45 / 14.36 definition; clause numbers from memory),
/// used for all three tests. Absent where the mean is not a finite number above zero.
[[nodiscard]] std::optional<Percent> unbalance(const std::array<double, 3>& values);

/// Negative-sequence factor in percent from three line-to-line magnitudes (IEC 61000-4-30, 5.7):
/// β = ΣU⁴/(ΣU²)², u2 = 100 √((1−√(3−6β))/(1+√(3−6β))). Absent where they close no triangle; a flat
/// triangle gives 100 %.
[[nodiscard]] std::optional<Percent> negative_sequence(const PerPair<Volt>& voltages);

/// Derating factor for a voltage unbalance (read off the curve of NEMA MG 1 fig. 14-1 / 20-2,
/// ±0.01, linear between the points; the read-off has no point at 1 %, where 0.99 stands). Absent
/// above 5 %: do not run.
[[nodiscard]] std::optional<double> derating_factor(Percent voltage_unbalance);

using ohmglow::ConductorMaterial;
/// Resistance referred to another temperature: R (k + to)/(k + at), k = 234.5 copper, 225 aluminium
/// (IEEE 112 / IEEE 118, clauses from memory). `at` must lie above −k °C.
[[nodiscard]] Ohm refer_resistance(Ohm r, Celsius at, Celsius to,
                                   ConductorMaterial material = ConductorMaterial::copper);

/// The temperature to which trends refer resistances.
inline constexpr Celsius kReference{25};

/// The equivalent wye seen from the terminals: R1 = (R12 + R31 − R23)/2 and cyclic. Exact for wye
/// and delta alike; a leg may come out negative, which means that the readings contradict each
/// other.
[[nodiscard]] PerPhase<Ohm> legs(const PerPair<Ohm>& pairs);

/// The windings 1-2, 2-3, 3-1 of a delta by the exact inverse: with P = r1 r2 + r2 r3 + r3 r1 over
/// the legs, R12 = P/r3, R23 = P/r1, R31 = P/r2. Absent where a leg is not above zero.
[[nodiscard]] std::optional<PerPair<Ohm>> delta_windings(const PerPair<Ohm>& pairs);

/// What a reading is worth. Its standard uncertainty joins a share of the reading and the least
/// count δ, a rectangular distribution: u² = (pct·x/100)² + δ²/12 (JCGM 100, F.2.2.1). The three
/// readings of a test count as independent: a gain error that they share would cancel, so this errs
/// to the safe side.
struct Meter {
  Percent u{0};                            ///< of the reading
  std::optional<double> least_count = {};  ///< in the reading's unit; absent: of four digits
  double lead_u = 0;  ///< of a two-wire meter's leads and clips, in the reading's unit
};
/// Where the survey gives none (house rules): a resistance bridge, a clamp, a voltmeter, and a
/// micro-ohmmeter or millivoltmeter at a joint, where the place of the tips counts.
inline constexpr Percent kResistanceMeterU{0.2};
inline constexpr Percent kCurrentMeterU{2};
inline constexpr Percent kVoltageMeterU{0.5};
inline constexpr Percent kJointMeterU{1};
[[nodiscard]] Meter default_meter(Test test);
/// The least count of a four-digit display that holds `largest` (house rule): 0.412 → 0.0001.
[[nodiscard]] double four_digit_least_count(double largest);
/// Standard uncertainty of one of the values, in their unit.
[[nodiscard]] double reading_u(double value, double largest, const Meter& meter);
/// Standard uncertainty of unbalance(values) by linear propagation (JCGM 100, 5.1.2) at the value
/// that is farthest from the mean. Zero where there is no unbalance to speak of.
[[nodiscard]] Percent unbalance_u(const std::array<double, 3>& values, const Meter& meter);

/// Where the anomaly of a delta motor points.
/// By the middle one of the three pairs: near the lowest, one pair alone is high; near the highest,
/// two are; in the middle third, or where all three are the same, it is unclear.
enum class PointsTo { lead, winding, unclear };

struct Resolution {
  PerPhase<Ohm> legs;
  std::optional<PerPair<Ohm>> windings;  ///< for delta
  Percent pair_unbalance;                ///< of the three pairs, as measured
  Percent leg_unbalance;                 ///< of the three legs
  Phase phase;                           ///< the highest leg: common to the two high pairs
  Ohm excess;                            ///< that leg less the mean of the two others
  /// In a delta one pair alone high: a winding; two: their common lead. In a wye always the lead.
  PointsTo points_to = PointsTo::lead;
  Sentence note;  ///< the same in one sentence
  // What the meter leaves open.
  Percent pair_unbalance_u{0};
  Ohm excess_u{0};
  /// That this leg truly is the highest of the three, all three levels being equally likely before.
  double phase_probability = 1;
  /// False where the connection is not known and wye and delta do not name the same lead: then
  /// either lead of the highest pair may be meant.
  bool phase_agreed = true;

  /// Whether the readings may mean this phase.
  [[nodiscard]] bool may_mean(Phase candidate) const;
};
/// Errors (invalid_value): a value not above zero; a triple whose legs are not all above zero:
/// contradicting readings are never averaged.
[[nodiscard]] Result<Resolution> resolve(const PerPair<Ohm>& pairs, Connection connection,
                                         const Meter& meter = {kResistanceMeterU, {}});

/// Of like joints, the highest beside the others.
struct JointExcess {
  Phase phase = Phase::one;  ///< the highest
  Ohm excess{0};             ///< that joint less the mean of the two others
  Ohm excess_u{0};
  Percent over_lowest{0};  ///< by how much it exceeds the lowest
  Percent over_lowest_u{0};
};
/// Resistances across one joint of each phase. `meter` in the unit of `joints`. Errors
/// (invalid_value): a joint not above zero.
[[nodiscard]] Result<JointExcess> compare_joints(const PerPhase<Ohm>& joints, const Meter& meter);
/// Above this a joint deviates from its likes (ANSI/NETA ATS/MTS: investigate values that deviate
/// from those of similar connections by more than 50 % of the lowest value; from memory).
inline constexpr Percent kNormalJointDeviation{50};

/// I²R of the excess.
[[nodiscard]] Watt excess_heat(Ohm excess, Ampere current);
/// Standard uncertainty of it: u² = (I² u_R)² + (2 R I u_I)² (JCGM 100, 5.1.2).
[[nodiscard]] Watt excess_heat_u(Ohm excess, Ohm excess_u, Ampere current,
                                 Percent current_u = kCurrentMeterU);

/// The unbalance of the pairs that an excess in one leg of a balanced motor would make, where
/// `leg` is the resistance of a sound leg (above zero): what a meter would have to see.
/// 100·x/(3·leg + x), from the definitions of the pairs and of the unbalance.
[[nodiscard]] Percent pair_unbalance_from(Ohm excess, Ohm leg);

/// Limits on the pair unbalance (common practice, no source): at most 1 % normal, from 10 % severe.
inline constexpr Percent kNormalPairUnbalance{1};
/// Above this voltage unbalance the supply is blamed and the motor derated (NEMA MG 1).
inline constexpr Percent kNormalVoltageUnbalance{1};

}  // namespace ohmglow::electrical
