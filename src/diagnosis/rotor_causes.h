#pragma once
// What may lie behind a motor's sweep, air gap, vibration and currents: the tables, and what of a
// motor's rotor was seen.

#include "ohmglow/rotor.h"
#include "reasoning.h"

#include <array>
#include <optional>
#include <span>
#include <string_view>

namespace ohmglow::diagnosis {

inline constexpr std::size_t kRotorCauses = 6;
using PerRotorCause = std::array<double, kRotorCauses>;
[[nodiscard]] std::span<const CauseRow> rotor_cause_rows();

struct RotorFactRow {
  std::string_view id;
  std::string_view text;
  PerRotorCause likelihood;  // the facts of one kind sum to 1 for each cause
};
// Kinds one behind the other. Of the first two an air gap is one of them: taken at one angle of the
// rotor, or at several. Of the next two a sweep: of a two-pole motor, or of any other.
enum class RotorFact {
  gap_within,
  gap_out,
  turned_gap_within,
  turned_gap_fixed,
  turned_gap_turning,
  two_pole_even,
  two_pole_once,
  two_pole_poles,
  two_pole_pairs,
  sweep_even,
  sweep_once,
  sweep_poles,
  sweep_pairs,
  vibration_within,
  vibration_above,
  currents_even,
  currents_unequal,
  pairs_alike,
  pairs_differ,
};
inline constexpr std::size_t kRotorFacts = 19;
[[nodiscard]] const RotorFactRow& row_of(RotorFact fact);
// First of each kind.
[[nodiscard]] std::span<const RotorFact> rotor_fact_kinds();

struct RotorOutcome {
  std::string_view text;
  PerRotorCause likelihood;
};
struct RotorTestRow {
  std::string_view id;
  std::string_view title;
  std::string_view how;
  double effort_min;
  std::span<const RotorOutcome> outcomes;
};
[[nodiscard]] std::span<const RotorTestRow> rotor_test_rows();

// The latest sweep and the latest air gap of a motor, as far as they tell anything.
struct RotorSeen {
  std::optional<rotor::Pattern> sweep;   // none of: drifting, too noisy, aliased
  std::optional<rotor::Conformity> gap;  // pass: at every end; fail: at one
  bool gap_turned = false;               // at several angles of the rotor
  bool mostly_turning = false;           // the larger part of what is out turns with the rotor
};
[[nodiscard]] RotorSeen seen_of(const rotor::Rotors& rotors, std::string_view motor);

}  // namespace ohmglow::diagnosis
