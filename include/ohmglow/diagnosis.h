#pragma once
/// The two witnesses, heat and resistance, held against each other: rises, bands, verdicts with
/// their evidence, and the ranked list. Values in, values out.

#include "ohmglow/electrical.h"
#include "ohmglow/explanations.h"
#include "ohmglow/phase.h"
#include "ohmglow/quantity.h"
#include "ohmglow/radiometry.h"
#include "ohmglow/sentence.h"
#include "ohmglow/severity.h"
#include "ohmglow/survey.h"

#include <chrono>
#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::diagnosis {

// --- what was measured on the images (filled by the assessment room)
// ------------------------------

enum class Flag {
  low_load,        ///< under 40 % of rated current: may hide a worse fault
  no_load,         ///< the motor was not running: no load current
  too_small,       ///< for the camera and its blur: the temperature is a lower bound
  low_emissivity,  ///< below 0.5
  wind,            ///< above 5 m/s
  no_data_pixels,  ///< some pixels of the mark hold no data
  outside_table,   ///< not measurable: the balance has no solution between -60 and 1500 °C
  assumed_air,     ///< the reflected apparent temperature was not given; the air's stood in for it
  unconfirmed,     ///< no person has looked at the mark since a program made it
};
[[nodiscard]] std::string_view name_of(Flag flag);

struct LugIndex {
  std::size_t image = 0;  ///< in Assessment::images
  std::size_t lug = 0;    ///< in ImageResult::lugs
};

/// What the trials of a Monte Carlo calculation say of one quantity (JCGM 101).
struct Spread {
  double mean = 0;
  double u = 0;
  double low = 0;  ///< ends of the probabilistically symmetric 95 % coverage interval
  double high = 0;
};

/// Propagation of distributions through the radiation balance, for one lug.
struct MonteCarlo {
  Spread temperature_c;
  std::optional<Spread> over_like;
  std::optional<Spread> over_air;
  std::vector<double> band_probability;  ///< by the policy's bands
  std::uint64_t trials = 0;
  bool is_stable = false;  ///< to kTrialTolerance of u within kMostTrials
  /// Share of the trials that left the radiance table; the numbers above are those of the others.
  double outside_share = 0;
};
/// Mean, u and both ends of the interval are stable to this share of u, as JCGM 101, 7.9.4 tests
/// it.
inline constexpr double kTrialTolerance = 0.05;
inline constexpr std::uint64_t kTrialsOfBlock = 10'000;
inline constexpr std::uint64_t kMostTrials = 200'000;

/// One lug on one image. Members below the line are filled by judge().
struct LugResult {
  std::string name;
  Phase phase = Phase::one;
  std::optional<radiometry::Estimate>
      temperature_c;  ///< absent: not measurable, see flags/problems
  double max_c = 0;
  double mean_c = 0;
  double p95_c = 0;
  std::int64_t pixels = 0;
  PixelPoint hottest;
  Emissivity emissivity{1};
  std::vector<Flag> flags;  ///< sorted, each once
  // -----
  std::optional<radiometry::Estimate> rise_over_like;  ///< K; zero for the reference lug itself
  std::optional<radiometry::Estimate> rise_over_air;   ///< K
  std::vector<LugIndex> reference;  ///< the like lugs whose mean it is counted from
  /// By which sound lugs in this place differ, and by how much the choice of the coolest one may
  /// flatter the reference: standard uncertainties, both within that of the rise over like.
  KelvinDifference sound_scatter{0};
  KelvinDifference reference_choice{0};
  std::optional<double> reference_c;
  std::optional<severity::Projection> projected_rise;  ///< of the rise over like
  std::optional<MonteCarlo> monte_carlo;
  severity::Grade grade;                 ///< by the decision rule of the options
  severity::Grade simple_grade;          ///< by simple acceptance
  std::vector<double> band_probability;  ///< by the policy's bands
  /// The rise from which on this lug is called hot: the first limit, or what sound lugs and the
  /// uncertainties reach by chance, whichever is more. Absent: it has no rise that counts.
  std::optional<double> hot_from_k;
  bool hot = false;

  [[nodiscard]] bool has(Flag flag) const;
  void raise(Flag flag);
};

enum class ImageStatus { measured, unmarked, rejected };
[[nodiscard]] std::string_view name_of(ImageStatus status);

/// A hot spot that no mark covers, measured as a lug is, with the image's emissivity; its rise over
/// like is that over the reference of the image's lugs. Its name and phase say nothing.
struct SpotOutside {
  LugResult spot;
  /// It covers more of the image than a connection does: a wall, a motor's frame, the sun on a
  /// cover. Such a spot makes no finding.
  bool is_background = false;
};

/// Parameters as they were used, defaults filled in, for the record.
struct UsedParameters {
  std::optional<radiometry::Estimate> air_c;
  std::optional<double> reflected_c;
  std::string reflected_from;  ///< "reflector mark", "images.csv", "air"
  std::string air_from;        ///< "images.csv", "ambient mark"
  double atmosphere_transmittance = 1;
  double window_transmittance = 1;
  double window_reflectance = 0;
  std::optional<double> window_c;
  std::optional<double> window_reflected_c;
  double saved_emissivity = 1;
  std::optional<double> saved_reflected_c;
  radiometry::InputUncertainties uncertainties;
  std::string declaration;  ///< "0.01 × stored + 0 K, by images.csv"
};

struct ImageResult {
  std::string file;
  std::string sha256;
  std::uint64_t bytes = 0;  ///< of the file, as it was read
  std::string motor;
  std::string component;
  std::optional<Moment> taken_at;
  ImageStatus status = ImageStatus::rejected;
  std::vector<std::string> problems;
  std::optional<UsedParameters> used;
  PerPhase<std::optional<Ampere>> load_a;
  /// Standard deviation of the blur of the edges around the lugs; absent where no edge tells.
  std::optional<double> edge_blur_px;
  std::vector<LugResult> lugs;  ///< in the order of the mark file
  /// The hottest spot that no mark covers, where it stands out; else absent.
  std::optional<SpotOutside> outside;
};

// --- options
// ---------------------------------------------------------------------------------------

enum class Reference { coolest, median };
/// How uncertainties are propagated: JCGM 100, or JCGM 101.
enum class Uncertainty { linear, monte_carlo };
/// What becomes of marks that no person has confirmed.
enum class Unconfirmed { measure, skip };

struct Options {
  Reference reference = Reference::coolest;
  int reading_age_d = 365;      ///< a reading farther from the image than this counts as absent
  std::chrono::sys_days as_of;  ///< the day of the run, for entries without any date
  severity::Decision decision = severity::Decision::simple;
  Uncertainty uncertainty = Uncertainty::linear;
  std::uint64_t seed = 1;        ///< of the Monte Carlo trials
  bool tests_by_effort = false;  ///< next tests by gain per minute in place of gain alone
  Unconfirmed unconfirmed = Unconfirmed::measure;
};

// --- results
// ---------------------------------------------------------------------------------------

/// From the most to the least severe.
enum class Verdict {
  open_phase,    ///< one line without current while the others run
  confirmed,     ///< heat and resistance name one phase, and one size of fault
  phase_agrees,  ///< they name one phase, not one size: part of the excess is elsewhere
  phase_conflict,
  heat_only,
  reading_only,
  no_reading,
  supply_unbalance,
  load_unbalance,
  not_judged,  ///< no fault could have shown: too little current, too short a run, too large a u
  even,
  unmarked_hot_spot,  ///< of a finding alone: something is hot that no mark covers
};
/// Those that a component may have; they come first.
inline constexpr std::size_t kVerdicts = 11;
inline constexpr std::size_t kFindingVerdicts = 12;
[[nodiscard]] std::string_view id_of(Verdict verdict);
/// One sentence for people, the same wherever it is shown.
[[nodiscard]] std::string_view meaning_of(Verdict verdict);

/// One number or fact and the rule it rests on.
struct Evidence {
  Sentence text;
  Sentence source;
};

/// What a reading across one joint of each phase says.
struct JointResult {
  Phase phase = Phase::one;                      ///< the highest
  PerPhase<Ohm> joints{Ohm{0}, Ohm{0}, Ohm{0}};  ///< each joint's resistance
  Ohm excess{0};                                 ///< of the highest over the mean of the others
  Ohm excess_u{0};
  double over_lowest_pct = 0;  ///< the highest over the lowest
  bool bad = false;            ///< it deviates from the lowest beyond the limit and the meter's u
};

/// One reading, worked out.
struct ElectricalResult {
  Test test = Test::winding_resistance;
  std::string place;
  std::optional<Moment> taken_at;
  std::array<double, 3> values{};  ///< ohm, ampere or volt
  std::optional<Percent> unbalance;
  std::optional<Percent> unbalance_u;  ///< from the meter's uncertainty
  electrical::Meter meter;             ///< as used, the least count filled in
  // winding_resistance
  std::optional<electrical::Resolution> resolution;
  std::optional<Watt> excess_w;  ///< at the current of `excess_at_a`
  std::optional<Watt> excess_u_w;
  std::optional<Ampere> excess_at_a;
  std::optional<PerPair<Ohm>>
      referred_25c;  ///< pairs at 25 °C where the winding's temperature is known
  /// What the first pair reads more at the end than at first; absent where it was not repeated.
  std::optional<Percent> first_pair_drift;
  /// The drift is more than the meter's: the winding cooled or warmed meanwhile, and `values` are
  /// brought to the temperature of the first by equal steps (house rule).
  bool drift_taken_off = false;
  severity::Grade grade;  ///< of the pair unbalance
  // line_voltage
  std::optional<Percent> negative_sequence;
  std::optional<double> derating;
  /// Out of balance at the policy's confidence, given the meter's uncertainty.
  bool abnormal = false;
  // voltage and current: the phase (or pair) farthest from the mean
  std::optional<int> farthest;  ///< 1 to 3
  // joint_resistance; joint_drop where the current is known
  std::optional<JointResult> joint;
  std::string problem;  ///< why it could not be worked out
};

/// A stretch of a motor's circuit between two places with resistance readings, or beyond the last.
struct SegmentResult {
  std::string from;
  std::string to;  ///< empty: to the motor and its winding
  PerPhase<Ohm> resistance{Ohm{0}, Ohm{0},
                           Ohm{0}};  ///< of its three conductors; of the winding's legs at the end
  Phase phase = Phase::one;          ///< its highest
  Ohm excess{0};                     ///< that phase above the mean of the two others
  Ohm excess_u{0};
  /// At least this is the probability that the circuit's largest excess is this one.
  double probability = 0;
  std::optional<Ohm> expected_cable;    ///< one conductor at 20 °C, by circuit.csv
  std::vector<std::string> imaged;      ///< its places with an image
  std::vector<std::string> not_imaged;  ///< those not yet looked at
};

/// The lugs of one component at one visit, and the verdict on them.
struct ComponentResult {
  std::string motor;
  std::string component;
  std::optional<std::chrono::sys_days> visit;
  std::vector<std::size_t> images;  ///< indices into Assessment::images
  Verdict verdict = Verdict::no_reading;
  std::optional<std::size_t>
      reading;  ///< the resistance reading used: index into the motor's electrical
  std::optional<std::size_t> joint_reading;  ///< the same of a reading across its joints
  PerPhase<std::optional<Ampere>> load_a;
  std::optional<Ampere> mean_load_a;
  std::vector<Evidence> evidence;
  Sentence next_step;
  /// Of each verdict, in the order of Verdict, given the uncertainties of both witnesses. The
  /// verdict itself is ruled by the values; this says how sure it is.
  std::vector<double> verdict_probability;
  Explained explained;
  /// The smallest rise over like at rated load that would have been called hot here, K. Absent
  /// where the load or the rating is not known.
  std::optional<double> visible_at_rated_k;
  Sentence why_not_judged;                 ///< empty: it was judged
  std::optional<Ampere> image_again_from;  ///< the current from which on it can be judged
};

struct MotorResult {
  std::string motor;
  std::optional<Verdict> verdict;            ///< its worst component's
  std::vector<ElectricalResult> electrical;  ///< in the order of readings.csv
  std::vector<std::string> places_not_imaged;
  std::vector<SegmentResult> segments =
      {};  ///< from the supply; empty without readings at two places
};

/// What an input of the budget is assumed to be distributed as.
enum class Distribution { normal, truncated_normal, rectangular };
[[nodiscard]] std::string_view name_of(Distribution distribution);

/// A row of an uncertainty budget.
struct BudgetInput {
  radiometry::InputKind kind{};
  Sentence of;  ///< what it belongs to: "mark T1 of a.tif", "a.tif", "every image of the visit"
  std::string unit;  ///< empty for a share
  double value = 0;  ///< of an error: 0
  double u = 0;      ///< standard uncertainty, in `unit`
  Distribution distribution = Distribution::normal;
  double sensitivity = 0;  ///< K per unit
  double u_k = 0;          ///< contribution: sensitivity × u, signed
  double share = 0;        ///< of the variance, 0 to 1
};
/// An uncertainty budget (JCGM 100, clause 8): the inputs that are not exact.
struct Budget {
  std::string quantity;  ///< "temperature", "rise_over_like", "rise_over_air", "projected_rise"
  double value = 0;
  double u = 0;
  std::vector<BudgetInput> inputs;
};

/// What a finding asks of whoever runs the motor.
enum class Decision {
  stop_now,     ///< take it off load as soon as the process can be stopped safely
  next_stop,    ///< open it at the next planned stop
  image_again,  ///< nothing to open yet: measure, or take the image again
};
[[nodiscard]] std::string_view id_of(Decision decision);

struct Finding {
  int rank = 0;
  /// Findings of one circuit that have one cause form one case. Its number counts cases in the
  /// order of their most urgent findings; its id is the same in every survey that finds it again.
  int case_number = 0;
  std::string case_id;
  bool leads_case = true;           ///< the most urgent finding of its case
  std::vector<Sentence> also = {};  ///< of the finding that leads: the others of its case
  Decision decision = Decision::image_again;
  bool warm_alike = false;  ///< it has a band by its warmth alone: no lug stands out
  std::string motor;
  std::string component;
  std::optional<std::string> image;
  std::optional<std::size_t> image_index;  ///< in Assessment::images; a file may hold several
  std::optional<Phase> phase;
  std::optional<std::string> lug;
  std::optional<double> temperature_c;
  std::optional<double> temperature_u_c;
  std::optional<double> reference_c;
  std::optional<radiometry::Estimate> rise_over_like;
  std::optional<radiometry::Estimate> rise_over_air;
  std::optional<double> relative_difference;
  severity::Grade grade;         ///< always with a band; by the decision rule of the options
  severity::Grade simple_grade;  ///< by simple acceptance
  std::vector<double> band_probability;
  std::optional<MonteCarlo> monte_carlo;
  std::vector<Budget> budget;
  std::optional<severity::Projection> projected_rise;
  std::optional<radiometry::Estimate> projected;  ///< the same with its linear form
  std::optional<double> load_a;
  std::optional<double> load_pct;
  /// Failure probability of the band × (replacement + downtime × repair hours); absent without
  /// costs.
  std::optional<double> expected_loss;
  Verdict verdict = Verdict::even;
  std::optional<Phase> electrical_phase;
  std::optional<Percent> resistance_unbalance;  ///< of the three pairs
  std::optional<Percent> leg_unbalance;
  std::optional<Ohm> excess_ohm;
  std::optional<Watt> excess_w;
  std::vector<Flag> flags;
  Sentence action;
  Sentence next_step;
  std::vector<Evidence> evidence;
  std::vector<Sentence> cautions;

  [[nodiscard]] bool has(Flag flag) const;
};

/// A component that is listed beside the ranked list: warm and even, or not judged.
struct Aside {
  std::string motor;
  std::string component;
  std::optional<std::string> image;
  std::optional<std::size_t> image_index;  ///< in Assessment::images
  std::optional<Phase> phase;              ///< of the warmest lug
  std::optional<std::string> lug;
  std::optional<double> temperature_c;
  std::optional<radiometry::Estimate> rise_over_like;
  std::optional<radiometry::Estimate> rise_over_air;
  severity::Grade grade;  ///< the table's letter, which is no finding here
  Verdict verdict = Verdict::even;
  std::optional<double> load_a;
  std::optional<double> load_pct;
  std::optional<double> image_again_from_a;
  Sentence why;
  Sentence next_step;
};

/// The whole result.
struct Assessment {
  Survey survey;  ///< as read
  severity::Policy policy;
  Options options;
  std::vector<ImageResult> images;  ///< in survey order
  std::vector<ComponentResult> components;
  std::vector<MotorResult> motors;  ///< in survey order
  std::vector<Finding> findings;    ///< by rank
  std::vector<Aside> warm_even;     ///< bands of the table that no judgement bears out
  std::vector<Aside> not_judged;
  /// Of the survey, the images and the judging, in that order; of one motor, of the judging alone.
  std::vector<Problem> problems;

  /// Where images and motors stand in the lists above, by name. judge() fills them; while they are
  /// empty, as in an assessment put together by hand, the lookups below search the lists.
  std::map<std::string, std::size_t, std::less<>> component_of_image = {};
  std::map<std::string, std::size_t, std::less<>> motor_index = {};

  /// The component result that an image belongs to; absent for images on which no lug was measured.
  [[nodiscard]] const ComponentResult* component_of(std::string_view image) const;
  [[nodiscard]] const MotorResult* find_motor(std::string_view motor) const;
  /// "urgent", or "none".
  [[nodiscard]] std::string_view band_id(const severity::Grade& grade) const;
};

using LoadsByDay = std::map<std::chrono::sys_days, PerPhase<std::optional<Ampere>>>;

/// Every reading of a motor, worked out; `loads` give the watts where a current is known. A drop
/// across a joint needs the current of its own day: of a line_current reading, else of `by_day`.
[[nodiscard]] std::vector<ElectricalResult> work_out(const std::vector<const Reading*>& readings,
                                                     const Motor* motor,
                                                     const severity::Policy& policy,
                                                     const PerPhase<std::optional<Ampere>>& loads,
                                                     const LoadsByDay& by_day = {});

/// What is wrong with an image, as a survey's problems.
[[nodiscard]] std::vector<Problem> problems_of(const ImageResult& image);

/// Asked once, when all rises are known and nothing is graded yet: fills LugResult::monte_carlo.
using Propagate = std::function<void(Assessment&)>;

/// Rises, bands, verdicts, findings and ranks of one motor from what was measured and read.
/// `survey` holds the motor's rows alone, `images` stand beside its images. The result's problems
/// are those of its readings.
[[nodiscard]] Assessment judge(const std::string& motor, Survey survey,
                               std::vector<ImageResult> images, severity::Policy policy,
                               const Options& options, const Propagate& propagate = {});

/// The safety words that every report, page and finding shows.
[[nodiscard]] std::vector<Sentence> cautions();
/// The verdict on a finding in one sentence; with what its own numbers add to the verdict's: that
/// most of the excess lies elsewhere, or that the joint itself measures high.
[[nodiscard]] Sentence meaning_of(const Assessment& assessment, const Finding& finding);

}  // namespace ohmglow::diagnosis
