#pragma once
// The tables of explanations, observations and tests; how to extend them stands in the .cpp.

#include <array>
#include <cstddef>
#include <span>
#include <string_view>

namespace ohmglow::diagnosis {

enum class Cause {
  sound,
  lug_joint,
  upstream_joint,
  downstream_joint,
  switch_contact,
  winding,
  unequal_load,
  unequal_supply,
  surface,
  swapped_marking,
};
inline constexpr std::size_t kCauses = 10;
// One number a cause, in that order.
using PerCause = std::array<double, kCauses>;

struct CauseRow {
  std::string_view id;
  std::string_view title;
  double prior;
};
[[nodiscard]] const std::array<CauseRow, kCauses>& cause_rows();

// What was seen of a component, one fact of each kind.
enum class Fact {
  heat_even,
  heat_one_lug,
  heat_follows_currents,
  resistance_in_balance,
  resistance_names_hot_lug,
  resistance_names_other,
  resistance_one_pair,
  voltage_balanced,
  voltage_unbalanced,
  current_even,
  current_unequal,
  surface_alike,
  surface_differs,
  place_switch,
  place_connection,
};
inline constexpr std::size_t kFacts = 15;
struct FactRow {
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
struct TestRow {
  std::string_view id;
  std::string_view title;
  std::string_view how;
  double effort_min;
  bool needs_no_reading;  // only where there is no winding resistance reading yet
  std::span<const OutcomeRow> outcomes;
};
[[nodiscard]] std::span<const TestRow> test_rows();

}  // namespace ohmglow::diagnosis
