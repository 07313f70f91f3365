#include "offered/radiometry/surfaces.h"
#include "offered/results/instrument_records.h"
#include "records/files/json_values.h"

namespace ohmglow::records {
namespace {

OrderedJson abc(double a, double b, double c) {
  return {{"a_um", a}, {"b_um_k", b}, {"c", c}};
}

}  // namespace

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
  return dumped_lines(json);
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
  return dumped_lines(json);
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
  return dumped_lines(json);
}

}  // namespace ohmglow::records
