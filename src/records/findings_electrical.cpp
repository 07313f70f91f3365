#include "records/findings_parts.h"
#include "records/json_values.h"
#include "records/tables.h"

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

OrderedJson reading_json(const diagnosis::Assessment& assessment, const ElectricalResult& reading) {
  const auto& resolution = reading.resolution;
  const auto resolved = [&resolution](auto Resolution::*member) {
    return resolution ? plain((*resolution).*member) : OrderedJson();
  };
  const auto phase =
      resolution && resolution->phase_agreed ? std::optional(resolution->phase) : std::nullopt;
  const bool is_resistance = reading.test == Test::winding_resistance;
  return {
      {"test", name_of(reading.test)},
      {"place", text_or_null(reading.place)},
      {"taken_at", or_null(reading.taken_at)},
      {"values", three(reading.values)},
      {"unit", base_unit_of(reading.test)},
      {"meter_u_pct", plain(reading.meter.u)},
      {"resolution", or_null(reading.meter.least_count)},
      {"unbalance_pct", or_null(reading.unbalance)},
      {"unbalance_u_pct", or_null(reading.unbalance_u)},
      {"phase", or_null(phase)},
      {"phase_name", phase_name_json(assessment, phase)},
      {"phase_probability", resolved(&Resolution::phase_probability)},
      {"phase_agreed", resolution ? OrderedJson(resolution->phase_agreed) : OrderedJson()},
      {"excess_ohm", resolved(&Resolution::excess)},
      {"excess_u_ohm", resolved(&Resolution::excess_u)},
      {"excess_w", or_null(reading.excess_w)},
      {"excess_u_w", or_null(reading.excess_u_w)},
      {"excess_at_a", or_null(reading.excess_at_a)},
      {"legs_ohm", resolution ? three(resolution->legs) : OrderedJson()},
      {"leg_unbalance_pct", resolved(&Resolution::leg_unbalance)},
      {"windings_ohm", resolution ? three_or_null(resolution->windings) : OrderedJson()},
      {"points_to", resolution ? OrderedJson(word_for(resolution->points_to)) : OrderedJson()},
      {"note", resolution ? text_or_null(resolution->note) : OrderedJson()},
      {"referred_25c_ohm", three_or_null(reading.referred_25c)},
      {"band", is_resistance ? OrderedJson(assessment.band_id(reading.grade)) : OrderedJson()},
      {"negative_sequence_pct", or_null(reading.negative_sequence)},
      {"derating", or_null(reading.derating)},
      {"farthest", or_null(reading.farthest)},
      {"problem", text_or_null(reading.problem)},
  };
}

}  // namespace

OrderedJson electrical_json(const diagnosis::Assessment& assessment,
                            const diagnosis::MotorResult& motor) {
  return list_of(motor.electrical, [&assessment](const ElectricalResult& reading) {
    return reading_json(assessment, reading);
  });
}

OrderedJson segments_json(const diagnosis::Assessment& assessment,
                          const diagnosis::MotorResult& motor) {
  return list_of(motor.segments, [&assessment](const diagnosis::SegmentResult& s) -> OrderedJson {
    return {{"from", text_or_null(s.from)},
            {"to", text_or_null(s.to)},
            {"resistance_ohm", three(s.resistance)},
            {"phase", plain(s.phase)},
            {"phase_name", phase_name_json(assessment, s.phase)},
            {"excess_ohm", plain(s.excess)},
            {"excess_u_ohm", plain(s.excess_u)},
            {"probability", s.probability},
            {"expected_cable_ohm", or_null(s.expected_cable)},
            {"imaged", s.imaged},
            {"not_imaged", s.not_imaged}};
  });
}

}  // namespace ohmglow::records
