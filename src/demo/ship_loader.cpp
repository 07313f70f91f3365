#include "story.h"

namespace ohmglow::demo {
namespace {

MotorStory blown_fuse() {
  return {
      .id = "SL-01",
      .description = "Boom conveyor",
      .area = "berth",
      .lockout = "ship loader panel, breaker 2",
      .crew = 1,
      .parts = "one set of fuses",
      .rated_kw = 18.5,
      .rated_a = 38,
      .conductor_mm2 = 10,
      .cable_m = 35,
      .leg_mohm = 120,
      // The two lines that are left carry the load alone.
      .current_a = {0, 46.2, 46.2},
      .causes = {{CircuitPlace::starter_load_side, "open_phase"}},
      .places = {{.place = CircuitPlace::terminal_box,
                  .not_inspected = "out on the boom, with a ship at the berth"}},
      .criticality = 4,
      .downtime_cost_per_h = 2600,
      .repair_h = 1,
      .replacement_cost = 3600,
      .shots = {{.file_stem = "sl01_starter",
                 .place = CircuitPlace::starter_load_side,
                 .taken_at = "2026-03-04T15:30",
                 .encoding = EncodingId::tiff_counts_lzw,
                 .distance_m = 0.7,
                 .air_c = 24.0,
                 .reflected_c = 23.5,
                 .note = "hums, and starts only by hand"}},
      .readings = {{Test::winding_resistance, "2025-11-25", CircuitPlace::starter_load_side, "mohm",
                    16.0}},
  };
}

MotorStory two_faults_of_one_phase() {
  return {
      .id = "SL-02",
      .description = "Feed conveyor to the boom",
      .area = "berth",
      .lockout = "ship loader panel, breaker 3",
      .crew = 2,
      .torque_nm = 15,
      .parts = "three 25 mm2 lugs, splice kit 25 mm2",
      .rated_kw = 30,
      .rated_a = 56,
      .conductor_mm2 = 25,
      .cable_m = 30,
      .leg_mohm = 60,
      .current_a = {48.0, 48.1, 47.9},
      // The lug is the small one of the two: mending it leaves the splice.
      .faults = {{CircuitPlace::terminal_box, Phase::one, 0.8},
                 {CircuitPlace::cable_splice, Phase::one, 6.0}},
      .electrical_phase = Phase::one,
      .causes = {{CircuitPlace::terminal_box, "phase_agrees"}},
      .places = {{.place = CircuitPlace::starter_load_side,
                  .not_inspected = "panel left shut for rain"}},
      .criticality = 4,
      .downtime_cost_per_h = 2600,
      .repair_h = 3,
      .replacement_cost = 4700,
      .shots = {{.file_stem = "sl02_terminal_box",
                 .place = CircuitPlace::terminal_box,
                 .taken_at = "2026-03-04T15:42",
                 .encoding = EncodingId::tiff_counts_lzw,
                 .distance_m = 0.7,
                 .air_c = 14.0,
                 .reflected_c = 13.5,
                 .note = "the cable was spliced after the storm"}},
      .readings = {{Test::winding_resistance, "2026-02-20", CircuitPlace::starter_load_side, "mohm",
                    11.0, true, "locked out, cable included"}},
  };
}

MotorStory joint_that_its_own_meter_proves() {
  return {
      .id = "SL-03",
      .description = "Dust return fan of the boom",
      .area = "berth",
      .lockout = "ship loader panel, breaker 4",
      .crew = 2,
      .rated_kw = 18.5,
      .rated_a = 34,
      .conductor_mm2 = 10,
      .cable_m = 40,
      .leg_mohm = 125,
      .current_a = {30.0, 30.1, 29.9},
      // Upstream of the starter, where the pairs were measured: only a meter across the joints
      // of the disconnect sees it.
      .faults = {{CircuitPlace::disconnect, Phase::two, 0.75}},
      .electrical_phase = Phase::two,
      .causes = {{CircuitPlace::disconnect, "confirmed"}},
      .places = {{.place = CircuitPlace::starter_load_side,
                  .not_inspected = "behind the door of the disconnect, interlocked"},
                 {.place = CircuitPlace::disconnect,
                  .lockout = "ship loader panel, main breaker",
                  .torque_nm = 6,
                  .parts = "blade kit for the disconnect, contact grease"}},
      .criticality = 3,
      .downtime_cost_per_h = 1400,
      .repair_h = 1,
      .replacement_cost = 3400,
      .shots = {{.file_stem = "sl03_disconnect",
                 .place = CircuitPlace::disconnect,
                 .taken_at = "2026-03-04T15:55",
                 .encoding = EncodingId::tiff_counts_big_endian,
                 .distance_m = 0.6,
                 .air_c = 18.0,
                 .reflected_c = 17.5,
                 .lug_names = {"L1", "L2", "L3"}}},
      .readings = {{Test::winding_resistance, "2025-12-15", CircuitPlace::starter_load_side, "mohm",
                    12.0},
                   {Test::joint_resistance,
                    "2026-03-03",
                    CircuitPlace::disconnect,
                    "uohm",
                    {},
                    true,
                    "four-wire, from the cable to the blade"}},
  };
}

}  // namespace

std::vector<MotorStory> ship_loader() {
  return {blown_fuse(), two_faults_of_one_phase(), joint_that_its_own_meter_proves()};
}

}  // namespace ohmglow::demo
