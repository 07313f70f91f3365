#pragma once
/// What a sweep of the inductance over one turn of the shaft, and an air gap taken by feeler gauge,
/// say of a rotor, and what they cannot say. Values in, values out.

#include "ohmglow/phase.h"
#include "ohmglow/quantity.h"
#include "ohmglow/result.h"
#include "ohmglow/sentence.h"
#include "ohmglow/survey.h"

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::rotor {

// --- an eccentric gap

/// The permeance of a gap of eccentricity e: 1/(1 − e cos x) = l0 [1 + 2 Σ bⁿ cos n x], with
/// l0 = 1/√(1 − e²) and b = (1 − √(1 − e²))/e (standard expansion, from memory; checked by
/// quadrature).
struct Permeance {
  double l0 = 1;
  double b = 0;
};
/// 0 ≤ e < 1.
[[nodiscard]] Permeance permeance(double eccentricity);

/// How far the rotor's axis is off, as shares of the mean gap: in the stator's frame, and turning
/// with the rotor. Angles are mechanical.
struct Offsets {
  double fixed = 0;
  double fixed_at_deg = 0;
  double turning = 0;
  double turning_at_deg = 0;
};
/// The main inductance of a sinusoidal winding of `pole_pairs` p whose axis is at `axis_deg`
/// (mechanical), over that of an even gap, with the rotor at `rotor_deg`:
/// F = l0 [1 − k b²ᵖ + (1 − k) b²ᵖ cos 2p(α − f)], e and α the size and direction of the offset at
/// that angle, k the shaft return: 0 free, 1 none (modified winding function, Al-Nuaim and Toliyat
/// 1998, from memory; closed form checked by quadrature).
[[nodiscard]] double inductance_factor(const Offsets& offsets, int pole_pairs, double shaft_return,
                                       double axis_deg, double rotor_deg);
/// The axis of a pair of a wye, mechanical: −30, 90 and 210 electrical degrees over p.
[[nodiscard]] double pair_axis_deg(std::size_t pair, int pole_pairs);

/// What a standing cage leaves of the gap in a reading of the inductance: d ln L_eff / d ln L_main
/// at a frequency, as a share of the rated one, of a machine with main reactance 3, leakage
/// reactances 0.1 and cage resistance 0.02 per unit (T circuit, from memory). Below zero where the
/// reading falls as the main inductance grows.
[[nodiscard]] double standstill_sensitivity(double frequency_share);

// --- a value against a limit

enum class Conformity { pass, fail, not_done, too_close };
/// "pass", "fail", "not_done", "too_close".
[[nodiscard]] std::string_view id_of(Conformity conformity);
/// Whether a value is at most the limit, with 95 % confidence either way, the error taken as normal
/// (JCGM 106:2012, 8.3.3 and 8.3.2: guarded acceptance and rejection); too_close between. With u =
/// 0 a value at the limit passes.
[[nodiscard]] Conformity at_most(double value, double u, double limit);

// --- the air gap by feeler gauge

/// A sine round the bore, by least squares, so that places need not be at equal steps.
struct GapHarmonic {
  double mean_mm = 0;
  double eccentricity = 0;     ///< share of the mean
  double smallest_at_deg = 0;  ///< 0 to 360
  double u = 0;                ///< standard uncertainty of the eccentricity, from the gauge's step
};
struct GapPlace {
  double position_deg = 0;
  double gap_mm = 0;
};
/// Absent for fewer than three different places.
[[nodiscard]] std::optional<GapHarmonic> gap_harmonic(std::span<const GapPlace> places,
                                                      double gap_u_mm = 0);

struct Direction {
  Percent size{0};
  double at_deg = 0;  ///< of the smallest gap, 0 to 360
};
/// One end of a motor, as it was taken last.
struct AirGap {
  std::string motor;
  MotorEnd end = MotorEnd::unknown;
  std::optional<Moment> taken_at;
  std::size_t places = 0;        ///< different ones round the bore
  std::size_t rotor_angles = 0;  ///< of the shaft
  Millimetre mean{0};
  Millimetre smallest{0};
  Percent max_deviation{0};         ///< largest |gap − mean| / mean over all gaps of the end
  Percent max_deviation_u{0};       ///< standard uncertainty, a step of the gauge being rectangular
  Percent spread{0};                ///< (largest − smallest) / mean
  std::optional<Direction> offset;  ///< at the rotor angle where it is largest
  double rotor_deg = 0;             ///< that angle
  std::optional<Direction> fixed, turning;  ///< static and dynamic; from several rotor angles
  std::optional<Percent> limit;             ///< of the deviation; absent: poles not known
  Conformity result = Conformity::not_done;
  std::vector<Sentence> notes;
  std::vector<AirGapReading> readings;  ///< those that were used
};
/// Deviation from the average gap: 5 % for two-pole, 10 % for other machines, or as the maker has
/// it (ANSI/EASA AR100-2020, 2.12; read).
inline constexpr Percent kTwoPoleGapLimit{5};
inline constexpr Percent kGapLimit{10};
inline constexpr std::string_view kGapSource = "ANSI/EASA AR100-2020, 2.12";
/// The usual mean gap of a motor: 0.2 + 0.01 P^0.4 mm of two poles, 0.18 + 0.006 P^0.4 mm of more,
/// P in W (Pyrhonen, Jokinen, Hrabovcova, Design of Rotating Electrical Machines; from memory).
[[nodiscard]] Millimetre usual_gap(double rated_kw, int poles);
/// Of one motor's rows, an end each: drive, opposite, not known. A mean gap far from the usual one
/// of `rated_kw` is questioned.
[[nodiscard]] std::vector<AirGap> air_gaps(std::span<const AirGapReading> readings,
                                           std::optional<int> poles,
                                           std::optional<double> rated_kw = std::nullopt);

// --- the sweep

enum class Pattern {
  sweep_even,    ///< nothing stands above the scatter
  once_a_turn,   ///< one cycle a turn, in phase in all pairs
  pole_pattern,  ///< as many cycles a turn as poles, shifted from pair to pair
  pairs_differ,  ///< unequal means
  drifting,      ///< a second turn does not repeat the first
  too_noisy,
  aliased,  ///< the bars' ripple falls onto an order that is looked for
};
/// "sweep_even".
[[nodiscard]] std::string_view id_of(Pattern pattern);
/// What it is, in a few words.
[[nodiscard]] Sentence title_of(Pattern pattern);

enum class Sequence { zero, negative };

/// A harmonic over the three pairs, as share of their common mean. Zero sequence: in phase in all
/// of them. Negative: shifted as a pattern that turns with the rotor is from pair to pair.
struct Harmonic {
  int order = 0;  ///< cycles a turn; 0: what the pairs' means have of that sequence
  Sequence sequence = Sequence::zero;
  Percent amplitude{0};
  Percent u{0};  ///< standard uncertainty of either of its two parts, from the scatter
};

struct Peak {
  double angle_deg = 0;
  Henry inductance{0};
};
struct PairSweep {
  Henry mean{0};
  Percent peak_to_peak{0};            ///< of the readings, over the mean
  std::optional<Percent> peak_drift;  ///< highest less lowest peak of a turn, over the mean
  std::vector<Peak> peaks;            ///< of each cycle of the poles' pattern the highest reading
};

struct SweepEccentricity {
  Percent value{0};
  Percent low{0}, high{0};  ///< 95 %
  Sentence model;
};

/// A sweep, judged. Shares are of the common mean.
struct Sweep {
  std::string motor;
  std::string name;
  std::optional<Moment> taken_at;
  Pattern pattern = Pattern::sweep_even;  ///< what counts most
  std::vector<Pattern> also;
  std::vector<Sentence> cannot_tell;  ///< what this sweep leaves open
  PerPair<PairSweep> pairs;
  std::vector<Harmonic> harmonics;
  Percent scatter{0};              ///< standard deviation about the harmonics
  std::optional<Percent> closing;  ///< what a turn later reads more; absent without an overlap
  std::optional<SweepEccentricity> eccentricity;
  Sentence next_test;
  std::vector<SweepReading> readings;  ///< by angle

  [[nodiscard]] bool shows(Pattern wanted) const;
  [[nodiscard]] const Harmonic* find(int order, Sequence sequence) const;
};

/// Below this nothing can be told from the scatter (house rule).
inline constexpr std::size_t kLeastAngles = 8;
/// Scatter from which a sweep is too noisy (house rule).
inline constexpr Percent kNoisyFrom{0.6};

/// Judges the readings of one sweep, in any order. `motor` may be null: poles and bars are not
/// known then. Errors: missing for fewer than eight different angles.
[[nodiscard]] Result<Sweep> judge(std::span<const SweepReading> readings, const Motor* motor);

// --- all of a survey

struct Rotors {
  std::vector<Sweep> sweeps;  ///< by motor as the survey lists them, then as they begin
  std::vector<AirGap> air_gaps;
  [[nodiscard]] bool empty() const { return sweeps.empty() && air_gaps.empty(); }
  /// Their motors, each once.
  [[nodiscard]] std::vector<std::string> motors() const;
};
/// Of all motors, or of one alone.
[[nodiscard]] Rotors rotors(const Survey& survey,
                            std::optional<std::string_view> motor = std::nullopt);

}  // namespace ohmglow::rotor
