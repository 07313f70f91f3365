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
  const bool is_resistance = reading.test == Test::winding_resistance;
  return {
      {"test", name_of(reading.test)},
      {"place", text_or_null(reading.place)},
      {"taken_at", or_null(reading.taken_at)},
      {"values", three(reading.values)},
      {"unit", base_unit_of(reading.test)},
      {"unbalance_pct", or_null(reading.unbalance)},
      {"phase", resolved(&Resolution::phase)},
      {"phase_name", resolution ? phase_name_json(assessment, resolution->phase) : OrderedJson()},
      {"excess_ohm", resolved(&Resolution::excess)},
      {"excess_w", or_null(reading.excess_w)},
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

}  // namespace ohmglow::records
