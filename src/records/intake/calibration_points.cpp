#include "offered/intake/calibration_points.h"

#include "records/intake/sheet.h"

namespace ohmglow::records {
namespace {

struct PointRow {
  std::optional<double> temperature_c;
  std::optional<double> signal;
  std::optional<double> u_signal;
};

const std::vector<Column<PointRow>>& point_columns() {
  constexpr Range kTemperatureOfPoint{.low = -kCelsiusZeroInKelvin, .low_open = true};
  static const std::vector<Column<PointRow>> columns{
      number<PointRow>("temperature_c", kTemperatureOfPoint, "°C", &PointRow::temperature_c,
                       Need::required),
      number<PointRow>("signal", kAnyNumber, "", &PointRow::signal, Need::required),
      number<PointRow>("u_signal", kAboveZero, "", &PointRow::u_signal)};
  return columns;
}

}  // namespace

Result<std::vector<radiometry::CalibrationPoint>> read_calibration_points(
    const std::filesystem::path& file) {
  const auto sheet = Sheet::read(file.parent_path(), file.filename().string());
  if (!sheet) return fail(sheet.error());
  const auto rows = read_whole(*sheet, point_columns());
  if (!rows) return fail(rows.error());
  std::vector<radiometry::CalibrationPoint> points;
  points.reserve(rows->size());
  for (const PointRow& row : *rows)
    points.push_back({Celsius{*row.temperature_c}, *row.signal, row.u_signal});
  return points;
}

}  // namespace ohmglow::records
