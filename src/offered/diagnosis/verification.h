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
  unchanged,       ///< still a fault, and no change beyond 2 u
  not_comparable,  ///< not measured both times, or not under conditions that can be compared
  improved,        ///< less by more than 2 u, but not proven sound
  repaired,        ///< a fault before; now sound, and the change is beyond 2 u
  even,            ///< no fault either time
};
[[nodiscard]] std::string_view id_of(Change change);

struct VerifyOptions {
  /// The larger load over the smaller beyond which two rises are not compared (house rule).
  double load_ratio = 1.5;
  /// Used emissivities that differ by more than this are not compared: the change could be the
  /// surface's (house rule).
  double emissivity_change = 0.05;
  // Money: what is not given is not counted. In the currency of motors.csv.
  std::optional<double> price_per_kwh;
  std::optional<double> hours_per_year;
  std::optional<double> repair_cost;  ///< of one motor
};

/// One lug in one of the two surveys.
struct LugSide {
  std::string image;
  double temperature_c = 0;
  double rise_k = 0;  ///< over like; over air where the lug has no like
  double rise_u_k = 0;
  std::optional<Ampere> load;  ///< of the lug's own phase where known, else the mean
};

struct LugChange {
  std::string motor;
  std::string component;
  std::string lug;
  Phase phase = Phase::one;
  Change change = Change::not_comparable;
  Sentence reason;  ///< one sentence
  bool fault_before = false;
  bool fault_after = false;  ///< at the load of the first survey
  bool over_air = false;     ///< the rise is over air: the lug has no like
  std::optional<LugSide> before;
  std::optional<LugSide> after;
  /// The rise after the repair, at the load at which the lug was seen before.
  std::optional<double> projected_k;
  std::optional<double> projected_u_k;  ///< with the exponent's spread, uniform over 1.5 to 2.0
  std::optional<double> change_k;       ///< projected less before
  std::optional<double> change_u_k;     ///< the two surveys share no inputs
};

/// One reading in one of the two surveys.
struct ReadingSide {
  std::optional<Moment> taken_at;
  double unbalance_pct = 0;
  double unbalance_u_pct = 0;
  /// winding_resistance: excess of the leg that stood out before the repair.
  std::optional<Ohm> excess;
  std::optional<Ohm> excess_u;
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
  /// Heat that the excess no longer makes, at the current of `at_a`; only for a lead's excess.
  std::optional<Watt> saved_w;
  std::optional<Watt> saved_u_w;
  std::optional<Ampere> at_a;
};

/// What a repair was worth; absent = not known, never zero.
struct Money {
  std::optional<double> replacement_avoided;
  std::optional<double> downtime_avoided;
  std::optional<double> energy_per_year;
  std::optional<double> repair_cost;
  /// The parts that are known: avoided, and a year's energy, less the repair.
  [[nodiscard]] std::optional<double> net_first_year() const;
};

struct MotorChange {
  std::string motor;
  Change change = Change::even;       ///< the worst of what was or is a fault
  std::vector<std::size_t> lugs;      ///< indices into Verification::lugs
  std::vector<std::size_t> readings;  ///< indices into Verification::readings
  std::optional<Watt> saved_w;
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
  std::vector<CurrencyTotal> totals;  ///< one for each currency, in order of first use

  [[nodiscard]] std::size_t count(Change change) const;  ///< of the motors
  /// Whether any lug or reading with a fault has this change.
  [[nodiscard]] bool any_fault(Change change) const;
  /// Whether anything at all could be compared.
  [[nodiscard]] bool anything_compared() const;
};

/// Both assessments under one policy; the second one's limits decide.
[[nodiscard]] Verification verify(const Assessment& before, const Assessment& after,
                                  const VerifyOptions& options);

}  // namespace ohmglow::diagnosis
