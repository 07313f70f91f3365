#pragma once
// What the steps of judge() share. Each step is a file of its own; judge.cpp calls them in order.

#include "offered/diagnosis/ranking.h"
#include "offered/electrical/heat_balance.h"
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

// A difference counts from this many of its standard uncertainties on (JCGM 100, 6.3: about 95 %).
inline constexpr double kCoverage = 2;

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

// Keeps the later of two; where a day is not known, that which its table has last.
template <class Dated>
void keep_later(const Dated*& latest, const Dated& next) {
  const bool is_older =
      latest && latest->taken_at && next.taken_at && next.taken_at->time < latest->taken_at->time;
  if (!is_older) latest = &next;
}

// "2026-03-04"
[[nodiscard]] std::string day_text(std::chrono::sys_days day);
// Lower case, ASCII letters only: places and components are compared this way.
[[nodiscard]] std::string folded(std::string_view name);

// --- the case of a component
// -----------------------------------------------------------------------------------

// What the winding resistance says of one component's joints: of the whole path behind a place, or,
// with a reading on either side, of the stretch that the component lies in.
struct OhmWitness {
  std::size_t reading = 0;            // index into the motor's electrical
  std::optional<std::size_t> beyond;  // the next reading towards the motor, taken off
  Phase phase = Phase::one;           // its highest
  Ohm excess{0};                      // that phase less the mean of the others
  Ohm excess_u{0};
  bool abnormal = false;
  std::optional<std::size_t> explained_by;  // the component whose heat accounts for the excess
};

// Whether heat and ohms are about one joint.
enum class Size { unknown, agrees, heat_too_small, heat_too_large };
struct SizeCheck {
  Size size = Size::unknown;
  electrical::Interval ohm{};  // that the heat implies
};

// Stands at the same index as its ComponentResult in Assessment::components.
struct ComponentCase {
  std::chrono::sys_days day;
  std::vector<LugIndex> lugs;  // the measured ones
  LugIndex hottest;            // the largest rise over like; a lone lug: itself
  bool hot = false;
  std::vector<std::size_t> counted;  // resistance readings: the latest per place within the age
  std::optional<std::size_t> voltage;
  std::optional<OhmWitness> ohms;
  SizeCheck size;
  // The lugs' rises over air with the currents' part divided out: their spread, by the exponent
  // that leaves least, and from where on it is more than chance.
  std::optional<KelvinDifference> balanced_spread;
  std::optional<double> unexplained_from_k;
  bool currents_unequal = false;
  std::optional<Phase> open_phase;  // the line that carries no current
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
  // The resistance reading that speaks for a component, and the one across its joints.
  [[nodiscard]] const ElectricalResult* reading_of(std::size_t component) const;
  [[nodiscard]] const JointResult* joint_of(std::size_t component) const;
};

// --- the electrical side (electrical_side.cpp)
// ----------------------------------------------------

// The meter as the row tells it, else as the house rules have it.
[[nodiscard]] electrical::Meter meter_of(const Reading& reading);
// The image's own loads, else those of the latest line_current reading of its day, if that says
// anything of the image's place.
[[nodiscard]] Loads loads_at(const Judging& judging, const ImageResult& image);
// The latest resistance reading per place within the reading age of a day; those that could not be
// worked out do not count. Indices into the motor's electrical results, ascending.
[[nodiscard]] std::vector<std::size_t> counted_readings(const Judging& judging,
                                                        std::chrono::sys_days day);
// Of these the one with the largest pair unbalance; of equal ones the later row.
[[nodiscard]] std::optional<std::size_t> worst_of(const std::vector<ElectricalResult>& electrical,
                                                  const std::vector<std::size_t>& counted);
// The latest reading across the joints of a component within the reading age.
[[nodiscard]] std::optional<std::size_t> joint_reading_for(const Judging& judging,
                                                           std::size_t component);
// The latest reading of the supply's voltages within the reading age of a day.
[[nodiscard]] std::optional<std::size_t> voltage_for(const Judging& judging,
                                                     std::chrono::sys_days day);

// --- places along the circuit (circuit_path.cpp)
// -----------------------------------------------------------------------------------

// Where a place lies, counted from the supply: as circuit.csv has it, else by the words of the
// trade (disconnect, starter, drive, terminal box). Absent where neither tells.
[[nodiscard]] std::optional<double> order_of(const Judging& judging, std::string_view place);
// Whether a resistance reading at one place looks through the joints of a component towards the
// motor. Where the order is not known it may.
[[nodiscard]] bool may_see(const Judging& judging, std::string_view reading_place,
                           std::string_view component);
// Whether a place lies on the motor's side of its drive, or on the supply's; absent where the motor
// has no drive or the place does not tell.
enum class DriveSide { input, output };
[[nodiscard]] std::optional<DriveSide> drive_side(const Judging& judging, std::string_view place);
// The resistance reading that speaks for a component, with the reading beyond it taken off.
[[nodiscard]] std::optional<OhmWitness> ohm_witness(const Judging& judging, std::size_t component);

// --- what could be seen at all (visibility.cpp)
// -----------------------------------------------------------------------------------

// The line that carries no current while the two others run.
[[nodiscard]] std::optional<Phase> open_phase_of(const Loads& loads, const Motor* motor);
// Fills visible_at_rated_k, why_not_judged and image_again_from of a component that is not hot.
void fill_visibility(Judging& judging, std::size_t component);

// segments.cpp: the stretches of each motor's circuit, where it was read at two places or more.
void find_segments(Judging& judging);

// --- the heat (rises.cpp)
// -------------------------------------------------------------------------

// The lug's temperature at rated load: air + rise over air × (rated / load)^1.8.
[[nodiscard]] std::optional<Celsius> projected_temperature(const LugResult& lug,
                                                           std::optional<Ampere> load,
                                                           const Motor* motor);
[[nodiscard]] bool is_low_load(std::optional<Ampere> load, const Motor* motor);
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

// lug_setting.cpp: what is known of a lug's cooling; absent without a conductor's section.
[[nodiscard]] std::optional<electrical::LugSetting> lug_setting(const Judging& judging,
                                                                std::size_t component, LugIndex at);
// The same at rated current, for a reading that no image goes with.
[[nodiscard]] std::optional<electrical::LugSetting> lug_setting(const Motor* motor);
// The hottest lug's rise as it counts: over like, a lone lug's over air.
[[nodiscard]] const std::optional<radiometry::Estimate>& counting_rise(const LugResult& lug);
// The ohms that the hottest lug's heat implies, held against the excess of the witness.
[[nodiscard]] SizeCheck check_size(const Judging& judging, std::size_t component);

// What the order of decision looks at.
struct Witnesses {
  bool open_phase = false;
  bool could_show = true;
  bool hot = false;
  bool currents_explain_it = false;
  bool currents_unequal = false;
  bool voltage_abnormal = false;
  bool has_reading = false;
  bool reading_abnormal = false;
  bool same_phase = false;
  bool same_size = false;
  // Across the joint itself.
  bool joint_bad = false;
  bool joint_same_phase = false;
  bool joint_sound = false;
};

// verdicts.cpp
[[nodiscard]] Verdict verdict_from(const Witnesses& witnesses);
[[nodiscard]] Witnesses witnesses_of(const Judging& judging, std::size_t component);
[[nodiscard]] bool points_into_winding(const Judging& judging, std::size_t component);
[[nodiscard]] bool currents_explain(const Judging& judging, const ComponentCase& component);
// hot_spots.cpp: the rises and grades of the spots outside the marks, and what they find.
void grade_outside(Judging& judging);
[[nodiscard]] std::vector<Finding> hot_spot_findings(const Judging& judging);
// findings.cpp: what the band asks for, its cautions and what is at stake.
void add_action(Finding& finding, const severity::Policy& policy, const Motor* motor);
// rises.cpp: the rise over like that one of equal lugs reaches by chance where each has that u.
[[nodiscard]] double reached_by_chance(const Judging& judging, const ComponentCase& component,
                                       LugIndex at, double u_of_one_k);
// rises.cpp: the spread by the exponent from 1 to 2 that leaves least of it.
[[nodiscard]] std::optional<KelvinDifference> least_balanced_spread(
    const std::vector<severity::LoadedRise>& lugs, Ampere mean_load);

// verdict_table.cpp; for reading_only with the places that were not imaged.
[[nodiscard]] Sentence next_step_of(Verdict verdict, const std::vector<std::string>& not_imaged);

// Whether that step already asks for a next test, by its id.
[[nodiscard]] bool holds_test(Verdict verdict, std::string_view test);

// At what load a component that was not judged can be.
[[nodiscard]] Sentence image_again(const ComponentResult& component);

// evidence_heat.cpp: what one lug shows.
[[nodiscard]] std::vector<Evidence> heat_evidence(const Judging& judging, std::size_t component,
                                                  LugIndex lug);
// evidence_electrical.cpp: what the readings show.
[[nodiscard]] std::vector<Evidence> reading_evidence(const Judging& judging,
                                                     const ElectricalResult& reading,
                                                     const std::vector<std::size_t>& counted,
                                                     const Loads& loads);
[[nodiscard]] std::vector<Evidence> supply_evidence(const Judging& judging, std::size_t component);
[[nodiscard]] Evidence open_phase_evidence(const Judging& judging, const Loads& loads, Phase phase);
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
// The next step of a verdict with the test that tells most: before it where the test wants the
// motor running and the step begins with a lock-out, else after it.
[[nodiscard]] Sentence with_telling_test(Sentence step, Verdict verdict,
                                         const Explained& explained);
// segments.cpp: the stretch that has most of the excess which a component's heat was held against,
// where it is not the component's own; null: none.
[[nodiscard]] const SegmentResult* larger_part_elsewhere(const MotorResult& motor,
                                                         const ComponentResult& component,
                                                         Phase phase);

// evidence_plausibility.cpp: whether heat and ohms fit each other, in watts.
[[nodiscard]] std::vector<Evidence> plausibility_evidence(const Judging& judging,
                                                          std::size_t component);

// findings.cpp
[[nodiscard]] std::vector<Finding> findings_of(const Judging& judging);
// asides.cpp
void list_asides(Judging& judging);
}  // namespace ohmglow::diagnosis
