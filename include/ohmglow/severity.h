#pragma once
/// How bad is a rise: band policies (data), load projection, probabilities of the bands.

#include "ohmglow/quantity.h"
#include "ohmglow/radiometry.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::severity {

/// Where a band begins. A `from` limit is reached by its own value, an `above` limit is not. Both
/// are compared as decimal numbers (exceeds()).
struct Limit {
  double value = 0;
  bool inclusive = true;
  [[nodiscard]] bool reached_by(double x) const;
};

/// How a temperature rise or an unbalance counts that is within its uncertainty of a limit.
[[nodiscard]] bool is_too_close(double x, double u, const Limit& limit);

struct Band {
  std::string id;     ///< "watch"
  std::string title;  ///< for people
  std::optional<Limit> over_like_k;
  std::optional<Limit> over_air_k;
  std::optional<Limit> pair_unbalance_pct;  ///< what a winding resistance reading alone says
  std::string action;                       ///< in our own words
  std::string source;
  /// That a motor left so fails within a year; absent: no expected loss is worked out.
  std::optional<double> failure_probability = {};
};

/// By how much the temperatures of sound lugs differ at one component: the standard deviation of
/// one lug is the larger of a share of the rise over air and a least value.
struct SoundScatter {
  double share_of_rise = 0.09;
  double least_k = 0.3;
  std::string source = "common practice, no source";
  friend bool operator==(const SoundScatter&, const SoundScatter&) = default;

  [[nodiscard]] double of(std::optional<double> rise_over_air_k) const;
};

/// A figure that nobody has counted: what it is taken to be, and how far it may lie off.
struct Assumed {
  double low = 0;
  double likely = 0;
  double high = 0;
  friend bool operator==(const Assumed&, const Assumed&) = default;
};

/// What a failure in service costs, as a policy assumes it.
struct FailureCost {
  Assumed probability_factor;  ///< on the bands' failure probabilities
  Assumed motor_lost;          ///< share of failures that take the motor along
  Assumed downtime_factor;     ///< on the hours that a planned repair takes
  std::string source;
  friend bool operator==(const FailureCost&, const FailureCost&) = default;
};

/// Bands from mild to severe, and what a judgement takes beside them.
struct Policy {
  std::string id;
  std::string title;
  std::string source;
  std::string rule;  ///< how gaps and unrounded values are treated, for the report
  std::vector<Band> bands;
  SoundScatter sound_scatter = {};
  double confidence = 0.95;  ///< at which a lug is called hot, or a reading out of balance
  /// The mildest band that a rise over air makes a finding in where like lugs are as warm; absent:
  /// none does. A lug without likes is always judged by its rise over air.
  std::optional<std::size_t> air_alone_from = {};
  std::string air_alone_action = {};             ///< what to do about lugs that are warm alike
  std::string failure_source = {};               ///< of the bands' failure probabilities
  std::optional<FailureCost> failure_cost = {};  ///< absent: no avoided failure is counted
  /// Prior probabilities of the explanations that a policy gives, by their ids.
  std::map<std::string, double> priors = {};
  std::string priors_source = {};

  /// Names the first broken rule: no bands, empty or repeated ids (or "none", which stands for no
  /// band), limits that are not finite or do not rise, no limit at all.
  [[nodiscard]] std::optional<Error> broken_rule() const;
  [[nodiscard]] std::optional<std::size_t> index_of(std::string_view band_id) const;
};

enum class DecidedBy { none, like, air, limit, reading };
[[nodiscard]] std::string_view name_of(DecidedBy by);

/// A band of a policy (absent = none) and what decided it.
struct Grade {
  std::optional<std::size_t> band;
  DecidedBy by = DecidedBy::none;
  friend bool operator==(const Grade&, const Grade&) = default;
};

/// The more severe column wins; like wins a tie. Values are compared unrounded.
[[nodiscard]] Grade grade(const Policy& policy, std::optional<double> over_like_k,
                          std::optional<double> over_air_k);

/// How a value with an uncertainty is held against a limit (JCGM 106:2012, 8.2 and 8.3, from
/// memory). Simple acceptance: by the value itself. Guarded: the limits lowered by the guard band
/// kGuardFactor × u, so that a value is left in a milder band only where it lies below the limit
/// with 95 % probability (one-sided, normal).
enum class Decision { simple, guarded };
inline constexpr double kGuardFactor = 1.64;

/// What the pair unbalance of a winding resistance reading says alone.
[[nodiscard]] Grade grade_reading(const Policy& policy, Percent pair_unbalance);

/// The more severe of two; the first wins a tie.
[[nodiscard]] Grade worse(const Grade& a, const Grade& b);

/// The value that the range of `count` independent standard normal values stays below with that
/// probability: the upper percentage points of the studentized range with infinite degrees of
/// freedom (Pearson & Hartley, Biometrika Tables I, table 29). 0 for fewer than two.
[[nodiscard]] double range_quantile(double confidence, std::size_t count);
/// The same of the distance from the largest to the next: P(gap > g) = n ∫ φ(z) Φ(z − g)ⁿ⁻¹ dz.
[[nodiscard]] double gap_quantile(double confidence, std::size_t count);

/// The lower limit of the mildest band in the over-like column; absent if it has none.
[[nodiscard]] std::optional<Limit> first_like_limit(const Policy& policy);
/// The same of the over-air column.
[[nodiscard]] std::optional<Limit> first_air_limit(const Policy& policy);

/// Probability of each of the policy's bands (same order), from the two rises as jointly normal
/// quantities with their covariance; what is missing from 1 is "no band".
[[nodiscard]] std::vector<double> band_probabilities(
    const Policy& policy, const std::optional<radiometry::Estimate>& over_like,
    const std::optional<radiometry::Estimate>& over_air);

// --- load ----------------------------------------------------------------------------------------

/// Exponent of (rated/load) in projecting a rise to rated load, and the ends reported beside it. A
/// lug in still air with radiation, its conductors attached and a metallic contact gives 1.70 to
/// 2.18 (computed, docs/method.md); IEEE C37.010 takes 1.8 for whole apparatus (from memory).
inline constexpr double kLoadExponent = 1.9;
inline constexpr double kLoadExponentLow = 1.7;
inline constexpr double kLoadExponentHigh = 2.1;
/// Below this share of rated current a rise is not extrapolated with confidence (NFPA 70B:2023
/// 7.4.5/7.4.6, from memory).
inline constexpr double kLowLoad = 0.40;
/// Above this wind outdoors a rise is flagged (DL/T 664-2016, from memory).
inline constexpr double kWindLimit_m_s = 5.0;

struct Projection {
  KelvinDifference rise;  ///< at rated load, exponent kLoadExponent
  KelvinDifference low;   ///< the smaller of the two ends
  KelvinDifference high;
  double u_k = 0;  ///< standard uncertainty of `rise`
};
/// Absent where the load is not above zero, or so small that the projection is no number.
[[nodiscard]] std::optional<Projection> project_rise(KelvinDifference rise, Ampere load,
                                                     Ampere rated);

/// The exponent's standard uncertainty: a rectangular distribution between its two ends (JCGM 100,
/// 4.3.8, where the estimate need not be the middle).
[[nodiscard]] double load_exponent_u();

/// The rise at rated load with the linear form of the rise, the current and the exponent. `scope`
/// is the image's, whose current it is. Absent as above.
[[nodiscard]] std::optional<radiometry::Estimate> projected_estimate(
    const radiometry::Estimate& rise, Ampere load, Percent load_u, Ampere rated,
    std::uint32_t scope);

/// (T_hot − T_like) / (T_hot − T_air): barely depends on load (DL/T 664-2016, from memory). Absent
/// unless the hot lug is above the air.
[[nodiscard]] std::optional<double> relative_difference(KelvinDifference over_like,
                                                        KelvinDifference over_air);

/// Spread (largest − smallest) of the rises over air after each is divided by (I_k / I_mean)ⁿ.
/// Absent where fewer than two lugs or a current is missing or not above zero. Heat goes with the
/// square; the air of an enclosure, which all three warm, with less.
struct LoadedRise {
  KelvinDifference over_air;
  Ampere load;
};
[[nodiscard]] std::optional<KelvinDifference> balanced_spread(const std::vector<LoadedRise>& lugs,
                                                              Ampere mean_load,
                                                              double exponent = 2);

}  // namespace ohmglow::severity
