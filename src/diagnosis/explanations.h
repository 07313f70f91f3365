#pragma once
// The tables of explanations, observations and tests; how to extend them stands in the .cpp.

#include "reasoning.h"

#include <array>
#include <cstddef>
#include <span>
#include <string_view>

namespace ohmglow::diagnosis {

enum class Cause {
  sound,
  lug_joint,
  double_conductor,
  switch_contact,
  upstream_joint,
  downstream_joint,
  swapped_marking,
  winding,
  meter_lead,
  unequal_load,
  unequal_supply,
  drive,
  unlike_emissivity,
  reflection,
  sun,
  open_phase,
};
inline constexpr std::size_t kCauses = 16;
// One number a cause, in that order.
using PerCause = std::array<double, kCauses>;

[[nodiscard]] const std::array<CauseRow, kCauses>& cause_rows();

// What was seen of a component, one fact of each kind.
enum class Fact {
  heat_even,
  heat_one_lug,
  heat_uneven,
  heat_two_lugs,
  heat_follows_currents,
  heat_slight,
  heat_strong,
  spot_whole,
  spot_part,
  resistance_in_balance,
  resistance_one_size,
  resistance_other_size,
  resistance_names_other,
  resistance_without_heat,
  resistance_one_pair,
  stretch_sound,
  stretch_bad,
  joint_bad,
  joint_alike,
  voltage_balanced,
  voltage_unbalanced,
  current_even,
  current_unequal,
  current_none,
  surface_alike,
  surface_differs,
  surface_bare,
  place_switch,
  place_connection,
  feed_line,
  feed_drive,
  others_even,
  others_same_phase,
  others_other_phase,
  note_none,
  note_sun,
  note_reflection,
  rotor_even,
  rotor_uneven,
  rotor_pairs_differ,
};
inline constexpr std::size_t kFacts = 40;
struct FactRow {
  std::string_view id;
  std::string_view text;
  PerCause likelihood;  // of this fact, given each cause; the facts of one kind sum to 1
};
[[nodiscard]] const FactRow& row_of(Fact fact);
// First fact of each kind, and one past the last: for the check that a kind's facts sum to 1.
[[nodiscard]] std::span<const Fact> fact_kinds();

struct OutcomeRow {
  std::string_view text;
  PerCause likelihood;
};
// What must be there, or not yet, for a test to be worth offering: none that was made already.
enum class TestNeeds {
  nothing,
  reading,
  no_reading,
  drive,
  no_joint_reading,
  no_voltage,
  low_load,  // under the load that the test asks for
};
// Whether the motor runs while the test is made.
enum class WhileMotor { runs, is_locked_out };
struct TestRow {
  std::string_view id;
  std::string_view title;
  std::string_view how;
  double effort_min;
  TestNeeds needs;
  WhileMotor motor;
  std::span<const OutcomeRow> outcomes;
};
[[nodiscard]] std::span<const TestRow> test_rows();

}  // namespace ohmglow::diagnosis
