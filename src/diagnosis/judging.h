#pragma once
// What the steps of judge() share. Each step is a file of its own; judge.cpp calls them in order.

#include "offered/diagnosis/ranking.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/sentence.h"

#include <chrono>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace ohmglow::diagnosis {

using Loads = PerPhase<std::optional<Ampere>>;

// --- currents and days (electrical_side.cpp)
// ------------------------------------------------------

[[nodiscard]] bool any_given(const Loads& loads);
// The mean of those that are given.
[[nodiscard]] std::optional<Ampere> mean_of(const Loads& loads);
// The phase's own current where given, else the mean.
[[nodiscard]] std::optional<Ampere> current_in(const Loads& loads, Phase phase);

// The days from which ages count: an entry's own, else the survey's, else the day of the run.
struct Days {
  std::optional<Moment> surveyed_on;
  std::chrono::sys_days as_of;

  [[nodiscard]] std::chrono::sys_days day_of(const std::optional<Moment>& own) const;
  [[nodiscard]] std::chrono::sys_seconds time_of(const std::optional<Moment>& own) const;
};

// "2026-03-04"
[[nodiscard]] std::string day_text(std::chrono::sys_days day);
// Lower case, ASCII letters only: places and components are compared this way.
[[nodiscard]] std::string folded(std::string_view name);

// --- the case of a component
// -----------------------------------------------------------------------------------

// Stands at the same index as its ComponentResult in Assessment::components.
struct ComponentCase {
  std::chrono::sys_days day;
  std::vector<LugIndex> lugs;  // the measured ones
  LugIndex hottest;            // the largest rise over like; a lone lug: itself
  bool hot = false;
  std::vector<std::size_t> counted;  // resistance readings: the latest per place within the age
  std::optional<std::size_t> voltage;
  std::optional<KelvinDifference> balanced_spread;
};

struct Judging {
  Assessment result;
  Days days;
  const Motor* row = nullptr;  // null: not in motors.csv
  std::vector<const Reading*> readings;
  std::vector<const CircuitStop*> circuit;  // from the supply on
  std::vector<ComponentCase> components;
  std::vector<Loads> image_loads;  // by image: its own, else of a line_current reading of its day

  [[nodiscard]] const LugResult& lug(LugIndex at) const {
    return result.images[at.image].lugs[at.lug];
  }
  [[nodiscard]] LugResult& lug(LugIndex at) { return result.images[at.image].lugs[at.lug]; }
  [[nodiscard]] std::optional<Ampere> load_of(LugIndex at) const {
    return current_in(image_loads[at.image], lug(at).phase);
  }
  [[nodiscard]] const MotorResult& motor_result() const { return result.motors.front(); }
  [[nodiscard]] MotorResult& motor_result() { return result.motors.front(); }
  // The resistance reading that speaks for a component.
  [[nodiscard]] const ElectricalResult* reading_of(std::size_t component) const;
};

// --- the electrical side (electrical_side.cpp)
// ----------------------------------------------------

// The image's own loads, else those of the latest line_current reading of its day.
[[nodiscard]] Loads loads_at(const Judging& judging, const ImageResult& image);
// The latest resistance reading per place within the reading age of a day; those that could not be
// worked out do not count. Indices into the motor's electrical results, ascending.
[[nodiscard]] std::vector<std::size_t> counted_readings(const Judging& judging,
                                                        std::chrono::sys_days day);
// Of these the one whose place is the component, else the one with the largest pair unbalance; of
// equal ones the later row.
[[nodiscard]] std::optional<std::size_t> reading_for(
    const std::vector<ElectricalResult>& electrical, const std::vector<std::size_t>& counted,
    std::string_view component);
// The latest voltage reading within the reading age of a day.
[[nodiscard]] std::optional<std::size_t> voltage_for(const Judging& judging,
                                                     std::chrono::sys_days day);
[[nodiscard]] bool is_abnormal(const ElectricalResult& resistance_reading);
// segments.cpp: the stretches of each motor's circuit, where it was read at two places or more.
void find_segments(Judging& judging);

// --- the heat (rises.cpp)
// -------------------------------------------------------------------------

// The lug's temperature at rated load: air + rise over air × (rated / load)^1.8.
[[nodiscard]] std::optional<Celsius> projected_temperature(const LugResult& lug,
                                                           std::optional<Ampere> load,
                                                           const Motor* motor);
[[nodiscard]] bool is_low_load(std::optional<Ampere> load, const Motor* motor);
[[nodiscard]] bool is_hot(const severity::Policy& policy, const LugResult& lug);
// Fills the rises of a component's lugs.
void fill_rises(Judging& judging, std::size_t component);
// Fills the projections, flags, grades and probabilities of a component's lugs, and what the heat
// of the component says.
void fill_grades(Judging& judging, std::size_t component);
// The rise over like at rated load; absent without load or rating.
[[nodiscard]] std::optional<radiometry::Estimate> projected_rise(const Judging& judging,
                                                                 LugIndex at, const Motor* motor);

// --- verdict, evidence, findings
// ------------------------------------------------------------------

// What the order of decision looks at.
struct Witnesses {
  bool hot = false;
  bool currents_explain_it = false;
  bool voltage_abnormal = false;
  bool has_reading = false;
  bool reading_abnormal = false;
  bool same_phase = false;
};

// verdicts.cpp
[[nodiscard]] Verdict verdict_from(const Witnesses& witnesses);
[[nodiscard]] Verdict decide(const Judging& judging, std::size_t component);
[[nodiscard]] bool currents_explain(const Judging& judging, const ComponentCase& component);

// verdict_table.cpp; for reading_only with the places that were not imaged.
[[nodiscard]] Sentence next_step_of(Verdict verdict, const std::vector<std::string>& not_imaged);

// evidence_heat.cpp: what one lug shows.
[[nodiscard]] std::vector<Evidence> heat_evidence(const Judging& judging, std::size_t component,
                                                  LugIndex lug);
// evidence_electrical.cpp: what the readings show.
[[nodiscard]] std::vector<Evidence> reading_evidence(const Judging& judging,
                                                     const ElectricalResult& reading,
                                                     const std::vector<std::size_t>& counted,
                                                     const Loads& loads);
[[nodiscard]] std::vector<Evidence> supply_evidence(const Judging& judging, std::size_t component);
// evidence.cpp: everything that the component's findings share beyond the lug's own lines.
[[nodiscard]] std::vector<Evidence> shared_evidence(const Judging& judging, std::size_t component);
// verdict_probability.cpp: standard normal draws, one column for each input of a component; every
// component draws from the same columns, so that like components get like probabilities.
class NormalDraws {
 public:
  // Good until the next column is asked for.
  [[nodiscard]] const std::vector<double>& column(std::size_t number);

 private:
  std::vector<std::vector<double>> columns_;
};
[[nodiscard]] std::vector<double> verdict_probability(const Judging& judging, std::size_t component,
                                                      NormalDraws& draws);
// explain.cpp
[[nodiscard]] Explained explain(const Judging& judging, std::size_t component);
// "The test that would tell most …", for the end of a next step; empty where there is none.
[[nodiscard]] Sentence telling_test(const Explained& explained);

// evidence_plausibility.cpp: whether heat and ohms fit each other, in watts.
[[nodiscard]] std::vector<Evidence> plausibility_evidence(const Judging& judging,
                                                          std::size_t component);

// findings.cpp
[[nodiscard]] std::vector<Finding> findings_of(const Judging& judging);
}  // namespace ohmglow::diagnosis
