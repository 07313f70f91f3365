#pragma once
/// The invented Bexley Creek grain terminal: what is wrong with which motor, and who looked at it
/// when. Data only; what follows from it is computed by physics.h, scene.h and truth.h.

#include "encoding.h"
#include "ohmglow/phase.h"
#include "ohmglow/quantity.h"
#include "ohmglow/survey.h"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace ohmglow::demo {

/// Where along the circuit, from the supply to the winding.
enum class CircuitPlace {
  disconnect,
  starter_load_side,
  drive_output,
  cable_splice,
  terminal_box,
  motor_lead,
};
[[nodiscard]] std::string_view name_of(CircuitPlace place);
/// A meter at one place sees what lies at its own or a higher position.
[[nodiscard]] int position_of(CircuitPlace place);

/// Resistance that should not be there, in a conductor of the circuit.
struct Fault {
  CircuitPlace place{};
  Phase phase{};
  double excess_mohm = 0;
};

/// What the picture's status in the truth will be.
enum class Outcome { measured, unmarked, rejected };
[[nodiscard]] std::string_view name_of(Outcome outcome);

enum class Patch { none, ambient, reflector };

struct Frame {
  int width = 320;
  int height = 240;
  double ifov_mrad = 1.36;
};

struct Window {
  double transmittance = 1;
  double reflectance = 0;
  double window_c = 0;
  double reflected_c = 0;
};

struct Saved {
  double emissivity = 1;
  double reflected_c = 0;
};

/// One lug that differs from its neighbours.
struct OddLug {
  std::size_t index = 0;
  double emissivity = 1;
};

/// One image of the route.
struct Shot {
  std::string file_stem;
  CircuitPlace place{};
  std::string taken_at;
  EncodingId encoding{};
  double distance_m = 0.8;
  double air_c = 25;
  double reflected_c = 25;
  std::array<std::string, 3> lug_names{"T1", "T2", "T3"};  ///< empty = out of the picture
  Frame frame = {};
  double emissivity = 0.95;
  std::optional<double> atmosphere_transmittance = {};
  std::optional<Window> window = {};
  std::optional<Saved> saved = {};
  std::optional<double> wind_m_s = {};
  double film_w_m2_k = 12;  ///< convection and radiation together; outdoors more
  Patch patch = Patch::none;
  bool reflected_is_given = true;  ///< else the air's stands in for it, and is right
  bool loads_are_given = true;
  int no_data_pixels = 0;
  std::optional<OddLug> bare_lug = {};
  std::optional<std::size_t> tiny_mark = {};  ///< the lug whose mark is smaller than 3×3 pixels
  Outcome outcome = Outcome::measured;
  std::string note = {};
};

/// One row of readings.csv; its numbers follow from the circuit.
struct MeterReading {
  Test test{};
  std::string taken_at;
  CircuitPlace place{};
  std::string unit;
  std::optional<double> winding_c = {};
  bool with_faults = true;  ///< whether the faults were there already
  std::string note = {};
};

/// What circuit.csv says of a place for those who go there.
struct PlaceNote {
  CircuitPlace place{};
  std::string area = {};
  std::string lockout = {};
  std::optional<double> torque_nm = {};
  std::string parts = {};
  std::string not_inspected = {};
};

/// What the two witnesses ought to say of a component, known because the causes are.
struct Cause {
  CircuitPlace place{};
  std::string verdict;
};

struct MotorStory {
  std::string id;
  std::string description;
  std::string area;
  std::string lockout = {};
  std::optional<int> crew = {};
  std::optional<double> torque_nm = {};
  std::string parts = {};
  std::optional<double> rated_kw = {};
  std::optional<double> rated_hp = {};
  double rated_v = 460;
  double rated_a = 0;
  Connection connection = Connection::wye;
  Feed fed_by = Feed::line;
  int poles = 4;
  double conductor_limit_c = 90;
  double conductor_mm2 = 0;
  double cable_m = 0;   ///< from the starter to the motor
  double leg_mohm = 0;  ///< of the winding, per phase of the equivalent wye, 25 °C
  /// Windings against leg_mohm (wye: phases 1, 2, 3; delta: 1-2, 2-3, 3-1).
  std::array<double, 3> winding_factor{1.0, 1.001, 0.9985};
  std::array<double, 3> joint_factor{1.0, 1.08, 0.95};  ///< sound joints are not all alike
  std::array<double, 3> current_a{};
  std::array<double, 3> voltage_v{460.4, 461.2, 459.8};
  std::array<Phase, 3> marked_as = kPhases;  ///< the phase that the motor's lead marking claims
  std::vector<Fault> faults = {};
  std::optional<Phase> electrical_phase = {};  ///< that a meter would name
  std::vector<Cause> causes = {};
  std::vector<PlaceNote> places = {};
  int criticality = 3;
  double downtime_cost_per_h = 0;
  double repair_h = 2;
  double replacement_cost = 0;
  bool in_sample = false;  ///< part of the small survey
  std::vector<Shot> shots = {};
  std::vector<MeterReading> readings = {};

  [[nodiscard]] const std::string& verdict_at(CircuitPlace place) const;
};

inline constexpr std::string_view kSite = "Bexley Creek grain terminal";
inline constexpr std::string_view kSurveyedOn = "2026-03-04";

[[nodiscard]] std::vector<MotorStory> bucket_elevators();
[[nodiscard]] std::vector<MotorStory> conveyors();
[[nodiscard]] std::vector<MotorStory> dust_fans();
[[nodiscard]] std::vector<MotorStory> ship_loader();

/// All motors of the full survey, or those of the small one with its small frames.
[[nodiscard]] std::vector<MotorStory> story(bool small);

/// What the repair of one motor came to, known because the causes are.
struct Repair {
  std::string motor;
  std::string change;   ///< as verify calls it
  std::string because;  ///< what was done, and what that leads to
};

/// The motors that were seen again two weeks later, as they are then.
inline constexpr std::string_view kSurveyedAfter = "2026-03-18";
[[nodiscard]] std::vector<MotorStory> story_after(bool small);
[[nodiscard]] std::vector<Repair> repairs(bool small);

}  // namespace ohmglow::demo
