#include "records/intake/tables.h"
#include "records/results/findings_parts.h"

#include <string_view>

namespace ohmglow::records {
namespace {

using diagnosis::ElectricalResult;
using electrical::Resolution;

std::string_view word_for(electrical::PointsTo points_to) {
  switch (points_to) {
    case electrical::PointsTo::lead:
      return "lead";
    case electrical::PointsTo::winding:
      return "winding";
    case electrical::PointsTo::unclear:
      break;
  }
  return "unclear";
}

void put_joint(JsonWriter& json, const diagnosis::Assessment& assessment,
               const diagnosis::JointResult& joint) {
  JsonObject object(json);
  object("phase", joint.phase);
  object("phase_name", phase_name(assessment, joint.phase));
  object("joints_ohm", joint.joints);
  object("excess_ohm", joint.excess);
  object("excess_u_ohm", joint.excess_u);
  object("over_lowest_pct", joint.over_lowest_pct);
  object("bad", joint.bad);
}

void put_reading(JsonWriter& json, const diagnosis::Assessment& assessment,
                 const ElectricalResult& reading) {
  const auto& resolution = reading.resolution;
  const auto phase =
      resolution && resolution->phase_agreed ? std::optional(resolution->phase) : std::nullopt;
  const bool is_resistance = reading.test == Test::winding_resistance;
  JsonObject object(json);
  object("test", name_of(reading.test));
  object("place", unless_empty(reading.place));
  object("taken_at", reading.taken_at);
  object("values", reading.values);
  object("unit", base_unit_of(reading.test));
  object("meter_u_pct", reading.meter.u);
  object("resolution", reading.meter.least_count);
  object("unbalance_pct", reading.unbalance);
  object("unbalance_u_pct", reading.unbalance_u);
  object("phase", phase);
  object("phase_name", phase_name(assessment, phase));
  object("phase_probability", if_known(resolution, &Resolution::phase_probability));
  object("phase_agreed", if_known(resolution, &Resolution::phase_agreed));
  object("excess_ohm", if_known(resolution, &Resolution::excess));
  object("excess_u_ohm", if_known(resolution, &Resolution::excess_u));
  object("excess_w", reading.excess_w);
  object("excess_u_w", reading.excess_u_w);
  object("excess_at_a", reading.excess_at_a);
  object("legs_ohm", if_known(resolution, &Resolution::legs));
  object("leg_unbalance_pct", if_known(resolution, &Resolution::leg_unbalance));
  object("windings_ohm", resolution ? resolution->windings : std::nullopt);
  object("points_to", resolution ? std::optional(word_for(resolution->points_to)) : std::nullopt);
  object("note", resolution ? unless_empty(resolution->note) : std::nullopt);
  object("referred_25c_ohm", reading.referred_25c);
  object("first_pair_drift_pct", reading.first_pair_drift);
  object("drift_taken_off", reading.drift_taken_off);
  object("band", is_resistance ? std::optional(assessment.band_id(reading.grade)) : std::nullopt);
  object("negative_sequence_pct", reading.negative_sequence);
  object("derating", reading.derating);
  object("abnormal", reading.abnormal);
  object("farthest", reading.farthest);
  if (reading.joint) {
    object("joint", by(put_joint, assessment, *reading.joint));
  } else {
    object("joint", nullptr);
  }
  object("problem", unless_empty(reading.problem));
}

void put_segment(JsonWriter& json, const diagnosis::Assessment& assessment,
                 const diagnosis::SegmentResult& s) {
  JsonObject object(json);
  object("from", unless_empty(s.from));
  object("to", unless_empty(s.to));
  object("resistance_ohm", s.resistance);
  object("phase", s.phase);
  object("phase_name", phase_name(assessment, s.phase));
  object("excess_ohm", s.excess);
  object("excess_u_ohm", s.excess_u);
  object("probability", s.probability);
  object("expected_cable_ohm", s.expected_cable);
  object("imaged", s.imaged);
  object("not_imaged", s.not_imaged);
}

}  // namespace

void put_electrical(JsonWriter& json, const diagnosis::Assessment& assessment,
                    const diagnosis::MotorResult& motor) {
  put(json, each(motor.electrical, [&assessment](const ElectricalResult& reading) {
        return by(put_reading, assessment, reading);
      }));
}

void put_segments(JsonWriter& json, const diagnosis::Assessment& assessment,
                  const diagnosis::MotorResult& motor) {
  put(json, each(motor.segments, [&assessment](const diagnosis::SegmentResult& segment) {
        return by(put_segment, assessment, segment);
      }));
}

}  // namespace ohmglow::records
