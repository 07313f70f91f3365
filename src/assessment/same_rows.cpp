#include "assessment/same_rows.h"

#include "ohmglow/records.h"

#include <string_view>
#include <tuple>

namespace ohmglow::assessment {
namespace {

/// Names every member, so that one that is added must be added here too.
auto members_of(const ImageParameters& parameters) {
  const auto& [emissivity, reflected, air, humidity, distance, ifov, atmosphere, window, window_c,
               reflectance, window_reflected, wind, load, saved_emissivity, saved_reflected, page,
               scale, offset, unit, camera_u, noise, emissivity_u, reflected_u, air_u, window_u,
               atmosphere_u, nonuniformity, load_u] = parameters;
  return std::tie(emissivity, reflected, air, humidity, distance, ifov, atmosphere, window,
                  window_c, reflectance, window_reflected, wind, load, saved_emissivity,
                  saved_reflected, page, scale, offset, unit, camera_u, noise, emissivity_u,
                  reflected_u, air_u, window_u, atmosphere_u, nonuniformity, load_u);
}

auto members_of(const Motor& motor) {
  const auto& [id, description, kw, v, a, locked, connection, poles, limit, area, criticality,
               downtime, repair, replacement, currency, extra] = motor;
  return std::tie(id, description, kw, v, a, locked, connection, poles, limit, area, criticality,
                  downtime, repair, replacement, currency, extra);
}

auto members_of(const Reading& reading) {
  const auto& [motor, test, taken_at, place, values, unit, temperature, load, meter_u, resolution,
               note, row, extra] = reading;
  return std::tie(motor, test, place, values, unit, temperature, load, meter_u, resolution);
}

auto members_of(const CircuitStop& stop) {
  const auto& [motor, place, order, size, length, material, row, extra] = stop;
  return std::tie(motor, place, order, size, length, material);
}

std::string_view text_of(const std::optional<Moment>& moment) {
  return moment ? std::string_view(moment->text) : std::string_view();
}

}  // namespace

bool measures_the_same(const ImageEntry& a, const ImageEntry& b) {
  return a.file == b.file && a.motor == b.motor && a.component == b.component &&
         text_of(a.taken_at) == text_of(b.taken_at) &&
         members_of(a.parameters) == members_of(b.parameters);
}

bool measures_the_same(const MarkFile& a, const MarkFile& b) {
  return records::marks_json(a) == records::marks_json(b);
}

bool measures_the_same(const Motor* a, const Motor* b) {
  const auto lug_area = [](const Motor* motor) {
    return motor != nullptr ? motor->lug_area_cm2 : std::nullopt;
  };
  return lug_area(a) == lug_area(b);
}

bool judges_the_same(const Motor* a, const Motor* b) {
  if (a == nullptr || b == nullptr) return a == b;
  return members_of(*a) == members_of(*b);
}

bool judges_the_same(const Reading& a, const Reading& b) {
  return is_same_day(a.taken_at, b.taken_at) && members_of(a) == members_of(b);
}

bool judges_the_same(const CircuitStop& a, const CircuitStop& b) {
  return members_of(a) == members_of(b);
}

bool is_same_day(const std::optional<Moment>& a, const std::optional<Moment>& b) {
  return text_of(a) == text_of(b);
}

}  // namespace ohmglow::assessment
