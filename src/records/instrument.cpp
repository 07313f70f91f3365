#include "ohmglow/instrument_records.h"
#include "ohmglow/surfaces.h"
#include "records/json_values.h"
#include "records/sheet.h"

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

OrderedJson abc(double a, double b, double c) {
  return {{"a_um", a}, {"b_um_k", b}, {"c", c}};
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

std::string calibration_json(std::string_view file,
                             const std::vector<radiometry::CalibrationPoint>& points,
                             const radiometry::CalibrationFit& fit) {
  OrderedJson list = OrderedJson::array();
  for (std::size_t i = 0; i < points.size(); ++i) {
    list.push_back({{"temperature_c", points[i].temperature.value()},
                    {"signal", points[i].signal},
                    {"u_signal", or_null(points[i].u_signal)},
                    {"residual_k", fit.residuals_k.at(i)}});
  }
  const auto& c = fit.coefficients;
  const OrderedJson json{
      {"version", 1},
      {"file", file},
      {"weights", points.front().u_signal ? "u_signal" : "relative"},
      {"calibration", abc(c.a_um, c.b_um_k, c.c)},
      {"u", abc(fit.u[0], fit.u[1], fit.u[2])},
      {"covariance",
       list_of(fit.covariance, [](const auto& row) -> OrderedJson { return three(row); })},
      {"chi_square", fit.chi_square},
      {"degrees_of_freedom", fit.degrees_of_freedom},
      {"rms_k", fit.rms_k},
      {"worst_k", fit.worst_k},
      {"points", std::move(list)}};
  return dumped(json, 1) + "\n";
}

std::string materials_json() {
  const OrderedJson json{
      {"version", 1},
      {"materials",
       list_of(radiometry::materials(), [](const radiometry::Material& material) -> OrderedJson {
         return {{"name", material.name},
                 {"title", material.title},
                 {"low", material.low},
                 {"high", material.high},
                 {"emissivity", material.emissivity().value()},
                 {"emissivity_u", material.emissivity_u()},
                 {"source", material.source}};
       })}};
  return dumped(json, 1) + "\n";
}

std::string emissivity_json(std::string_view file, std::string_view mark,
                            const radiometry::MeasuredEmissivity& measured) {
  OrderedJson budget = OrderedJson::object();
  for (const auto& part : measured.parts) budget[std::string(part.input)] = part.u;
  const OrderedJson json{{"version", 1},
                         {"file", file},
                         {"mark", mark},
                         {"emissivity", measured.emissivity},
                         {"emissivity_u", measured.u},
                         {"budget", std::move(budget)},
                         {"contact_c", measured.contact.value()},
                         {"contact_u_c", measured.contact_u.value()},
                         {"apparent_c", measured.apparent.value()},
                         {"reflected_c", measured.reflected.value()},
                         {"reflected_from", measured.reflected_from},
                         {"spread_k", measured.spread.value()},
                         {"pixels", measured.pixels}};
  return dumped(json, 1) + "\n";
}

}  // namespace ohmglow::records
