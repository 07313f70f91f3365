#pragma once
/// What a phase ladder shows, gathered from an assessment, before it is drawn.

#include "offered/report/drawing.h"
#include "ohmglow/diagnosis.h"

#include <optional>
#include <string>
#include <vector>

namespace ohmglow::report {

struct LadderLug {
  std::string name;
  Phase phase = Phase::one;
  std::optional<double> temperature_c;  ///< absent: not measurable
  double u_c = 0;
  std::string band;
  std::string decided_by = {};                ///< where a limit that no zone shows decided the band
  std::optional<double> at_full_load_c = {};  ///< where that is what passes the conductor's limit
  std::optional<std::size_t> image = {};      ///< in Ladder::images
};

/// A band of the policy on the ladder's own scale (°C above the line, ohm below); the most severe
/// one has no end.
struct LadderZone {
  std::string title;
  std::string limit;  ///< in words: "more than 15 K over the reference lug"
  double from = 0;
  std::optional<double> to;
  int level = 1;
};

/// A limit that decided a band and that no zone shows: the conductor's, or one over the air where
/// the zones stand on the reference lug.
struct LadderLimit {
  std::string title;
  std::string limit;  ///< in words
  double at_c = 0;
  int level = 1;
};

struct LadderResistance {
  PerPhase<double> over_lowest_ohm{};
  double pair_unbalance_pct = 0;
  std::string place;
  std::vector<LadderZone> zones;  ///< where one leg alone raised so far would reach a band
};

/// What a ladder's scales must reach to.
struct LadderReach {
  std::optional<double> low_c;
  std::optional<double> high_c;
  double ohm = 0;
};

struct Ladder {
  std::string subject;  ///< "motor, component"
  PhaseNames phase_names;
  bool has_upper_half = false;
  std::vector<LadderLug> lugs;
  std::vector<std::string> images = {};  ///< that the lugs are of, where there are several
  std::vector<LadderZone> zones;
  std::vector<LadderLimit> limits;
  std::optional<double> air_c;
  std::optional<LadderResistance> resistance;
  PerPhase<std::optional<double>> load_a;
  LadderReach also = {};  ///< beside its own, where it stands beside another one
};

/// What a ladder's own values need.
[[nodiscard]] LadderReach reach_of(const Ladder& ladder);
[[nodiscard]] LadderReach joined(const LadderReach& a, const LadderReach& b);

[[nodiscard]] Ladder gather_ladder(const diagnosis::Assessment& assessment,
                                   const diagnosis::ComponentResult& component,
                                   const diagnosis::MotorResult* motor);
[[nodiscard]] Ladder gather_ladder(const diagnosis::Assessment& assessment,
                                   const diagnosis::MotorResult& motor);

/// Everything that the drawing shows, in sentences.
[[nodiscard]] std::string describe(const Ladder& ladder);

[[nodiscard]] Drawing lay_out(const Ladder& ladder);

}  // namespace ohmglow::report
