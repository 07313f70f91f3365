#pragma once
/// Did the repair work: two assessed surveys of the same motors, one before the repair and one
/// after, held against each other lug by lug and reading by reading. Values in, values out.

#include "ohmglow/diagnosis.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::diagnosis {

/// What became of a lug, a reading or a motor, from the worst to the best.
enum class Change {
  worse,           ///< the rise or the unbalance has grown by more than 2 u
  moved,           ///< a fault is where the first survey showed none, and the first one went
  unchanged,       ///< still a fault, and no change beyond 2 u
  not_comparable,  ///< not measured both times, or not under conditions that can be compared
  unproven,        ///< seen again under too little load to prove anything
  improved,        ///< less by more than 2 u, but not proven sound
  repaired,        ///< a fault before; now sound, and the change is beyond 2 u
  even,            ///< no fault either time
};
[[nodiscard]] std::string_view id_of(Change change);

struct VerifyOptions {
  /// How many times smaller the load after may be for a rise to be projected up to the load before
  /// (house rule). A larger load after proves all the more.
  double load_ratio = 1.5;
  /// Used emissivities that differ by more than this are not compared: the change could be the
  /// surface's (house rule).
  double emissivity_change = 0.05;
  // Money: what is not given is not counted. In the currency of motors.csv.
  std::optional<double> price_per_kwh;
  std::optional<double> hours_per_year;
  std::optional<double> repair_cost;  ///< of one motor
  double period_years = 1;            ///< over which a failure counts as avoided
  // The user's own figures, in place of the policy's assumed ones.
  std::optional<double> failure_probability;    ///< within a year, had nobody repaired
  std::optional<severity::Assumed> downtime_h;  ///< of one failure in service
};

/// One lug in one of the two surveys.
struct LugSide {
  std::string image;
  double temperature_c = 0;
  double rise_k = 0;  ///< over like; over air where the lug has no like
  double rise_u_k = 0;
  std::optional<Ampere> load;  ///< of the lug's own phase where known, else the mean
};

/// A rise at the load at which two surveys are compared.
struct RiseThere {
  double rise_k = 0;
  double u_k = 0;    ///< as measured; the exponent's part is in the ends
  double low_k = 0;  ///< with the exponent at either end
  double high_k = 0;
};
/// The rise of the survey with the lower load, brought to the load of the other one.
struct AtOneLoad {
  Ampere load{0};
  RiseThere before;
  RiseThere after;
  double change_k = 0;
  double change_u_k = 0;  ///< the two surveys share no inputs
  double change_low_k = 0;
  double change_high_k = 0;
  bool is_less = false;  ///< by more than 2 u, wherever the exponent lies
  bool is_more = false;
};

struct LugChange {
  std::string motor;
  std::string component;
  std::string lug;
  Phase phase = Phase::one;
  Change change = Change::not_comparable;
  Sentence reason;  ///< one sentence
  bool fault_before = false;
  bool fault_after = false;  ///< at the larger of the two loads
  bool over_air = false;     ///< the rise is over air: the lug has no like
  std::optional<LugSide> before;
  std::optional<LugSide> after;
  std::optional<AtOneLoad> compared;
  Sentence
      like_lugs;  ///< that the lugs beside it have grown warmer themselves; empty: they have not
  std::string component_after;  ///< where the second survey writes it in another way
};

/// One reading in one of the two surveys.
struct ReadingSide {
  std::optional<Moment> taken_at;
  double unbalance_pct = 0;
  double unbalance_u_pct = 0;
  /// winding_resistance: excess of the leg that stood out before the repair.
  std::optional<Ohm> excess;
  std::optional<Ohm> excess_u;
  std::optional<Phase> phase;     ///< that stands out in this survey
  std::optional<Watt> circuit_w;  ///< that all three phases burn above the lowest one
};

struct ReadingChange {
  std::string motor;
  Test test = Test::winding_resistance;
  std::string place;
  Change change = Change::not_comparable;
  Sentence reason;
  bool fault_before = false;
  bool fault_after = false;
  std::optional<Phase> phase;  ///< whose excess is compared
  std::optional<ReadingSide> before;
  std::optional<ReadingSide> after;
  std::optional<double> change_pct;
  std::optional<double> change_u_pct;
  /// Heat that the three phases no longer make, at the currents before; `at_a` is their mean. Not
  /// for a winding's excess, which is no connection.
  std::optional<Watt> saved_w;
  std::optional<Watt> saved_u_w;
  std::optional<Ampere> at_a;
};

/// An amount that is not certain.
struct Expected {
  double value = 0;
  double low = 0;
  double high = 0;
};
/// What a repair was worth; absent = not known, never zero. The risk is apart from what is certain.
struct Money {
  std::optional<double> energy_per_year;
  std::optional<double> repair_cost;
  std::optional<Expected> risk_avoided;  ///< in the period of the options
  /// A year's energy less the repair, as far as they are known.
  [[nodiscard]] std::optional<double> certain_first_year() const;
  [[nodiscard]] bool is_known() const;
};

/// A fault of the second survey that the first one did not show.
struct NewFault {
  std::string motor;
  std::string component;  ///< or the place of a reading
  std::optional<std::string> lug;
  std::optional<Phase> phase;
  std::string band;  ///< id; empty where the policy has none for it
  Sentence what;
};

/// A case of the first survey of which the second one did not look at a finding again: the
/// gravest of those.
struct OpenFinding {
  int case_number = 0;  ///< in the first survey, as the rank
  int rank = 0;
  std::string motor;
  std::string component;
  std::optional<std::string> lug;
  std::optional<Phase> phase;
  std::string band;
  Sentence why;
};

struct MotorChange {
  std::string motor;
  Change change = Change::even;            ///< the worst of what was or is a fault
  Sentence headline;                       ///< what happened, with its numbers
  std::vector<std::size_t> lugs;           ///< indices into Verification::lugs
  std::vector<std::size_t> readings;       ///< indices into Verification::readings
  std::vector<std::size_t> new_faults;     ///< indices into Verification::new_faults
  std::optional<std::size_t> band_before;  ///< of its worst finding in the first survey
  std::optional<Watt> saved_w;
  std::optional<Watt> saved_u_w;
  std::string currency;
  Money money;
  std::vector<Evidence> assumptions;  ///< one for each amount, and for what could not be counted
};

struct CurrencyTotal {
  std::string currency;
  Money money;
};

struct Verification {
  VerifyOptions options;
  std::vector<LugChange> lugs;  ///< in the order of the first survey, new lugs last
  std::vector<ReadingChange> readings;
  std::vector<MotorChange> motors;  ///< those that the second survey visited
  std::vector<std::string> not_revisited;
  std::vector<NewFault> new_faults;
  std::vector<OpenFinding> open;  ///< one a case, by rank
  /// Components that only one survey has beside one that only the other has: perhaps the same.
  std::vector<Sentence> renamed;
  std::vector<CurrencyTotal> totals;  ///< one for each currency, in order of first use

  [[nodiscard]] std::size_t count(Change change) const;  ///< of the motors
  /// Whether any motor, or any lug or reading with a fault, has this change.
  [[nodiscard]] bool any_fault(Change change) const;
  /// Whether anything at all could be compared.
  [[nodiscard]] bool anything_compared() const;
};

/// Both assessments under one policy; the second one's limits decide.
[[nodiscard]] Verification verify(const Assessment& before, const Assessment& after,
                                  const VerifyOptions& options);

}  // namespace ohmglow::diagnosis
