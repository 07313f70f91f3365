#include "story.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::demo {
namespace {

/// One motor two weeks later: what was done to it, and what was looked at again.
struct Visit {
  Repair repair;
  std::vector<Fault> faults;                   ///< what is left
  std::vector<Cause> causes;                   ///< of the components that were looked at again
  std::optional<Phase> electrical_phase = {};  ///< that a meter would name now
  double load_factor = 1;                      ///< on the currents of the first survey
  std::vector<MeterReading> tests = {};        ///< resistance, after the work
};

// The day on which everything was mended, and tested after the work.
constexpr const char* kTestedOn = "2026-03-17";

MeterReading tested(CircuitPlace place, const std::string& unit, double winding_c) {
  return {Test::winding_resistance, kTestedOn, place, unit, winding_c, true, "after the work"};
}

// Ten days of work orders: what a plant would have done with the first survey's list.
const std::vector<Visit>& visits() {
  static const std::vector<Visit> all{
      {.repair = {"BE-01", "repaired", "lug cut off, new one crimped and torqued"},
       .faults = {},
       .causes = {{CircuitPlace::terminal_box, "even"}},
       .load_factor = 1.06,
       .tests = {tested(CircuitPlace::starter_load_side, "mohm", 14.0)}},
      {.repair = {"BE-02", "repaired", "starter lug renewed, motor lead connected anew"},
       .faults = {},
       .causes = {{CircuitPlace::starter_load_side, "even"}},
       .load_factor = 0.97,
       .tests = {tested(CircuitPlace::starter_load_side, "mohm", 15.0),
                 tested(CircuitPlace::terminal_box, "mohm", 15.0)}},
      {.repair = {"BE-03", "repaired",
                  "lug renewed; tested, and imaged at seven times the "
                  "load of the first survey"},
       .faults = {},
       .causes = {{CircuitPlace::terminal_box, "even"}},
       .load_factor = 7,
       .tests = {tested(CircuitPlace::terminal_box, "mohm", 16.0)}},
      {.repair = {"CV-02", "improved", "lug torqued again but not cleaned"},
       .faults = {{CircuitPlace::terminal_box, Phase::two, 1.5}},
       .causes = {{CircuitPlace::terminal_box, "heat_only"}},
       .load_factor = 0.98,
       .tests = {tested(CircuitPlace::starter_load_side, "ohm", 17.0)}},
      {.repair = {"CV-03", "worse", "nobody came; the joint has gone on corroding"},
       .faults = {{CircuitPlace::disconnect, Phase::three, 0.55}},
       .causes = {{CircuitPlace::disconnect, "no_reading"}},
       .load_factor = 0.95},
      {.repair = {"DF-02", "repaired", "splice cut out and made again"},
       .faults = {},
       .causes = {{CircuitPlace::terminal_box, "even"}, {CircuitPlace::starter_load_side, "even"}},
       .load_factor = 1.02,
       .tests = {tested(CircuitPlace::starter_load_side, "mohm", 15.0)}},
  };
  return all;
}

const Visit* visit_to(const std::string& motor) {
  const auto at = std::find_if(visits().begin(), visits().end(),
                               [&](const Visit& visit) { return visit.repair.motor == motor; });
  return at == visits().end() ? nullptr : &*at;
}

bool looked_at_again(const Visit& visit, const Shot& shot) {
  return std::any_of(visit.causes.begin(), visit.causes.end(),
                     [&shot](const Cause& cause) { return cause.place == shot.place; });
}

// "2026-03-04T08:05" → "2026-03-18T08:05"
std::string two_weeks_later(const std::string& taken_at) {
  return std::string(kSurveyedAfter) + taken_at.substr(kSurveyedOn.size());
}

void revisit(MotorStory& motor, const Visit& visit) {
  motor.faults = visit.faults;
  motor.causes = visit.causes;
  motor.electrical_phase = visit.electrical_phase;
  // As a clamp meter shows them.
  for (double& current : motor.current_a) {
    current = std::round(current * visit.load_factor * 10) / 10;
  }
  std::erase_if(motor.shots, [&](const Shot& shot) { return !looked_at_again(visit, shot); });
  for (Shot& shot : motor.shots) {
    shot.taken_at = two_weeks_later(shot.taken_at);
    shot.note = "second survey";
  }
  motor.readings = visit.tests;
  if (!visit.tests.empty()) motor.repaired_on = kTestedOn;
}

}  // namespace

std::vector<MotorStory> story_after(bool small) {
  std::vector<MotorStory> motors = story(small);
  std::erase_if(motors, [](const MotorStory& motor) { return !visit_to(motor.id); });
  for (MotorStory& motor : motors) revisit(motor, *visit_to(motor.id));
  return motors;
}

std::vector<Repair> repairs(bool small) {
  std::vector<Repair> all;
  for (const MotorStory& motor : story(small)) {
    if (const Visit* visit = visit_to(motor.id)) all.push_back(visit->repair);
  }
  return all;
}

}  // namespace ohmglow::demo
