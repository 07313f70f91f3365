#include "ohmglow/journal.h"
#include "ohmglow/records.h"

#include <cereal/archives/binary.hpp>
#include <cereal/types/array.hpp>
#include <cereal/types/chrono.hpp>
#include <cereal/types/map.hpp>
#include <cereal/types/optional.hpp>
#include <cereal/types/string.hpp>
#include <cereal/types/variant.hpp>
#include <cereal/types/vector.hpp>
#include <span>
#include <sstream>
#include <system_error>

// cereal finds these beside the types that they are for. They are only ever written.

namespace ohmglow {

template <class Archive, class Unit>
void save(Archive& archive, const Quantity<Unit>& quantity) {
  archive(quantity.value());
}
template <class Archive>
void save(Archive& archive, const Moment& moment) {
  archive(moment.text, moment.day, moment.time);
}
template <class Archive>
void save(Archive& archive, const Motor& m) {
  archive(m.id, m.description, m.rated_kw, m.rated_v, m.rated_a, m.locked_rotor_a, m.connection,
          m.poles, m.conductor_limit_c, m.lug_area_cm2, m.criticality, m.downtime_cost_per_h,
          m.repair_h, m.replacement_cost, m.currency, m.extra);
}
template <class Archive>
void save(Archive& archive, const ImageParameters& p) {
  archive(p.emissivity, p.reflected_c, p.air_c, p.humidity_pct, p.distance_m, p.ifov_mrad,
          p.atmosphere_transmittance, p.window_transmittance, p.window_c, p.window_reflectance,
          p.window_reflected_c, p.wind_m_s, p.load_a, p.saved_emissivity, p.saved_reflected_c,
          p.page, p.scale, p.offset, p.unit, p.camera_u_c, p.noise_k, p.emissivity_u,
          p.reflected_u_c, p.air_u_c, p.window_u, p.atmosphere_u, p.nonuniformity_k, p.load_u_pct);
}
template <class Archive>
void save(Archive& archive, const ImageEntry& entry) {
  archive(entry.file, entry.motor, entry.component, entry.taken_at, entry.parameters, entry.photo,
          entry.note, entry.row, entry.extra);
}
template <class Archive>
void save(Archive& archive, const Reading& r) {
  archive(r.motor, r.test, r.taken_at, r.place, r.values, r.unit_as_written, r.temperature_c,
          r.load_pct, r.meter_u_pct, r.resolution, r.note, r.row, r.extra);
}
template <class Archive>
void save(Archive& archive, const CircuitStop& stop) {
  archive(stop.motor, stop.place, stop.order, stop.size, stop.length_m, stop.material, stop.row,
          stop.extra);
}
template <class Archive>
void save(Archive& archive, const PixelPoint& point) {
  archive(point.x, point.y);
}
template <class Archive>
void save(Archive& archive, const Circle& circle) {
  archive(circle.center, circle.radius);
}
template <class Archive>
void save(Archive& archive, const Rectangle& rectangle) {
  archive(rectangle.corner, rectangle.size);
}
template <class Archive>
void save(Archive& archive, const Polygon& polygon) {
  archive(polygon.points);
}
template <class Archive>
void save(Archive& archive, const Mark& mark) {
  archive(mark.name, mark.role, mark.phase, mark.shape, mark.emissivity, mark.emissivity_u,
          mark.material, mark.origin, mark.carried_from, mark.confidence);
}
template <class Archive>
void save(Archive& archive, const MarkFile& marks) {
  archive(marks.image, marks.width, marks.height, marks.marks);
}
template <class Archive>
void save(Archive& archive, const Problem& problem) {
  archive(problem.file, problem.row, problem.column, problem.message);
}
template <class Archive>
void save(Archive& archive, const FlatBand& band) {
  archive(band.from, band.to);
}
template <class Archive>
void save(Archive& archive, const ResponsePoint& point) {
  archive(point.wavelength, point.response);
}
template <class Archive>
void save(Archive& archive, const SpectralResponse& response) {
  archive(response.file, response.sha256, response.points);
}
template <class Archive>
void save(Archive& archive, const SakumaHattori& equation) {
  archive(equation.a_um, equation.b_um_k, equation.c);
}

}  // namespace ohmglow

namespace ohmglow::records {
namespace {

template <class... Values>
std::string hash_of(const Values&... values) {
  std::ostringstream out;
  cereal::BinaryOutputArchive archive(out);
  archive(values...);
  const std::string bytes = std::move(out).str();
  return sha256(std::as_bytes(std::span(bytes)));
}

}  // namespace

std::string hash_of_rows(const Survey& motor, const std::vector<std::size_t>& numbers) {
  return hash_of(motor.surveyed_on, motor.phase_names, motor.band, motor.motors, motor.images,
                 motor.readings, motor.circuit, motor.marks, motor.problems, numbers);
}

std::string hash_of_stamps(const Survey& motor) {
  std::vector<std::array<std::int64_t, 2>> stamps;
  for (const ImageEntry& entry : motor.images) {
    const auto path = std::filesystem::path(motor.folder) / entry.file;
    std::error_code error;
    const auto size = std::filesystem::file_size(path, error);
    const auto written = std::filesystem::last_write_time(path, error);
    if (error) {
      stamps.push_back({-1, -1});
    } else {
      stamps.push_back({static_cast<std::int64_t>(size), written.time_since_epoch().count()});
    }
  }
  return hash_of(stamps);
}

}  // namespace ohmglow::records
