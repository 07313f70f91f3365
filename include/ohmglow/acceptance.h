#pragma once
/// The check of a motor that was bought, repaired or installed, against limits that are data.
/// Values in, values out.

#include "ohmglow/diagnosis.h"
#include "ohmglow/rotor.h"

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::acceptance {

/// What has happened to the motor: each stage asks for its own checks.
enum class Stage { bought, repaired, installed };
[[nodiscard]] std::string_view id_of(Stage stage);

/// In the order in which they stand on the list.
enum class Check {
  nameplate,  ///< against what was ordered
  insulation_resistance,
  polarization_index,
  winding_resistance,
  impedance,
  sweep,
  air_gap,
  runout,
  vibration,
  no_load_current,
  connection_rise,
};
inline constexpr std::size_t kChecks = 11;
[[nodiscard]] std::string_view id_of(Check check);
[[nodiscard]] std::optional<Check> check_named(std::string_view id);
[[nodiscard]] std::optional<Stage> stage_named(std::string_view id);
/// What it is called: "vibration".
[[nodiscard]] Sentence title_of(Check check);

using rotor::Conformity;

/// Of a number of motors.csv: at least `from`, more than `above`, less than `below`, at most `to`.
struct Span {
  std::optional<double> from;
  std::optional<double> above;
  std::optional<double> below;
  std::optional<double> to;
  [[nodiscard]] bool holds(double value) const;
};

/// For which motors a limit is meant, by columns of motors.csv: every one that is named must hold.
struct Applies {
  std::map<std::string, Span> numbers;  ///< rated_v, built, poles, rated_rpm, shaft_mm
  /// The words that will do: winding, insulation_class, frame_standard, mounting.
  std::map<std::string, std::vector<std::string>> words;
};
/// The columns that conditions may name.
[[nodiscard]] const std::vector<std::string>& number_columns();
[[nodiscard]] const std::vector<std::string>& word_columns();

/// A row of a limits file.
struct LimitRow {
  Check check = Check::vibration;
  Applies when;
  bool at_least = false;     ///< else at most
  double limit = 0;          ///< in `unit`
  double per_kv = 0;         ///< added for each kilovolt of the rated voltage
  std::string unit;          ///< one that the check can be held against: limit_units()
  bool fails_beyond = true;  ///< else beyond it nothing is said: the machine's build may explain it
  std::string source;
  std::string flag;  ///< how well the source is known: V, V2, M, C, or the user's own word
};
/// What limits of a check may be written in; empty: it takes none.
[[nodiscard]] std::vector<std::string> limit_units(Check check);

/// Limits, and which checks a stage asks for; the first row that fits a motor counts.
struct Limits {
  std::string id;
  std::string title;
  std::vector<LimitRow> rows;
  std::map<Stage, std::vector<Check>> asked;
};

/// One line of the list.
struct Item {
  Check check = Check::vibration;
  std::string place;       ///< empty: the motor, or the worst of several places, which follow it
  bool has_parts = false;  ///< it is the worst of several places
  std::optional<double> value;
  std::string unit;
  std::optional<double> u;      ///< standard, in the same unit; absent: nobody stated it
  std::optional<double> limit;  ///< in the same unit
  bool at_least = false;
  Conformity result = Conformity::not_done;
  bool is_recorded_only = false;  ///< no limit exists: it neither passes nor fails
  Sentence why;                   ///< what was found, or why nothing can be said
  std::string source;
  std::string flag;
  std::optional<Moment> taken_at;
  std::optional<double> cost;  ///< to put it right, where it failed: the user's figure
  /// Beyond the limit by that much, in the unit; absent where it is not, or cannot be told.
  [[nodiscard]] std::optional<double> beyond() const;
  /// "vibration", "vibration:drive end".
  [[nodiscard]] std::string id() const;
};

enum class Conclusion { accept, conditions, reject };
[[nodiscard]] std::string_view id_of(Conclusion conclusion);

struct Acceptance {
  std::string motor;
  Stage stage = Stage::bought;
  std::vector<Item> items;  ///< in the order of Check, a check's places after it
  Conclusion conclusion = Conclusion::conditions;
  std::string currency;
  std::optional<double> cost;  ///< of what failed, as far as figures were given
  rotor::Rotors rotors;        ///< its sweeps and air gaps

  [[nodiscard]] std::size_t count(Conformity result) const;
};

struct Request {
  std::string motor;
  Stage stage = Stage::bought;
  std::map<Check, double> costs;  ///< to put right what fails
};

/// Of the motor's rows, readings, images and sweeps the latest of each place is held against the
/// limits, at 95 % confidence by its uncertainty where one is known (JCGM 106:2012, 8.3.2 and
/// 8.3.3). Any fail rejects; anything open leaves conditions. Errors: missing where the survey has
/// no such motor.
[[nodiscard]] Result<Acceptance> accept(const diagnosis::Assessment& survey, const Limits& limits,
                                        const Request& request);

// --- insulation resistance

/// The factor that brings an insulation resistance at a temperature to 40 °C (IEEE 43, from memory;
/// for thermosetting insulation the exponents' sign as reason demands it). Thermoplastic and older:
/// halved for every 10 K. Absent where the formula does not hold: thermosetting below 10 or above
/// 85 °C.
[[nodiscard]] std::optional<double> to_40_c(Insulation insulation, double temperature_c);

/// An index means nothing above this resistance at 40 °C (IEEE 43, restated).
inline constexpr double kIndexMeaninglessAboveOhm = 5e9;

// --- two checks of one motor

struct ItemChange {
  std::string id;
  std::optional<Item> before;
  std::optional<Item> after;
};
/// Line by line, in the order of the list; what neither has is left out.
[[nodiscard]] std::vector<ItemChange> compare(const Acceptance& before, const Acceptance& after);

/// One motor before and after the shop, as after a repair.
struct Compared {
  Acceptance before;
  Acceptance after;
};
/// Of every motor that both surveys have on the bench: with a test of the shop, a sweep or an air
/// gap.
[[nodiscard]] std::vector<Compared> compare_shops(const diagnosis::Assessment& before,
                                                  const diagnosis::Assessment& after,
                                                  const Limits& limits);

}  // namespace ohmglow::acceptance
