#include "tables.h"

#include "camera.h"
#include "offered/tabular/tabular.h"
#include "physics.h"

#include <algorithm>
#include <fmt/format.h>
#include <iterator>
#include <nlohmann/json.hpp>
#include <set>

namespace ohmglow::demo {
namespace {

// What survey.json says once for all images.
constexpr double kDefaultEmissivity = 0.95;
constexpr double kDefaultHumidity_pct = 48;

std::string cell(double value) {
  return fmt::format("{}", value);
}
std::string cell(const std::optional<double>& value) {
  return value ? cell(*value) : "";
}

template <class Row>
struct Column {
  std::string name;
  std::string (*cell)(const Row&);
};

template <class Row>
std::string write(const std::vector<Column<Row>>& columns, const std::vector<Row>& rows) {
  std::vector<std::vector<std::string>> cells(1);
  for (const auto& column : columns) cells[0].push_back(column.name);
  for (const Row& row : rows) {
    auto& line = cells.emplace_back();
    for (const auto& column : columns) line.push_back(column.cell(row));
  }
  return tabular::write_table(cells);
}

/// A row of images.csv.
struct ImageRow {
  const MotorStory* motor;
  const Shot* shot;
};

template <double Window::*member>
std::string window_cell(const ImageRow& row) {
  return row.shot->window ? cell((*row.shot->window).*member) : "";
}
template <double Saved::*member>
std::string saved_cell(const ImageRow& row) {
  return row.shot->saved ? cell((*row.shot->saved).*member) : "";
}
template <std::size_t line>
std::string load_cell(const ImageRow& row) {
  return row.shot->loads_are_given ? cell(row.motor->current_a.at(line)) : "";
}
/// A cell of the declaration, where it is images.csv that declares.
template <double Declaration::*member>
std::string declared_cell(const ImageRow& row) {
  const Encoding& encoding = encoding_of(row.shot->encoding);
  return encoding.declared_by == DeclaredBy::table ? cell(encoding.declaration.*member) : "";
}
std::string unit_cell(const ImageRow& row) {
  const Encoding& encoding = encoding_of(row.shot->encoding);
  if (encoding.declared_by != DeclaredBy::table) return "";
  return encoding.declaration.unit == TemperatureUnit::kelvin ? "k" : "c";
}

const std::vector<Column<ImageRow>>& image_columns() {
  using R = const ImageRow&;
  static const std::vector<Column<ImageRow>> columns{
      {"file", [](R r) { return file_of(*r.shot); }},
      {"motor", [](R r) { return r.motor->id; }},
      {"component", [](R r) { return std::string(name_of(r.shot->place)); }},
      {"taken_at", [](R r) { return r.shot->taken_at; }},
      {"emissivity",
       [](R r) {
         return r.shot->emissivity == kDefaultEmissivity ? "" : cell(r.shot->emissivity);
       }},
      {"reflected_c",
       [](R r) {
         const bool given = r.shot->reflected_is_given && r.shot->patch != Patch::reflector;
         return given ? cell(r.shot->reflected_c) : "";
       }},
      {"air_c", [](R r) { return r.shot->patch == Patch::ambient ? "" : cell(r.shot->air_c); }},
      {"distance_m", [](R r) { return cell(r.shot->distance_m); }},
      {"ifov_mrad", [](R r) { return cell(r.shot->frame.ifov_mrad); }},
      {"atmosphere_transmittance", [](R r) { return cell(r.shot->atmosphere_transmittance); }},
      {"window_transmittance", window_cell<&Window::transmittance>},
      {"window_c", window_cell<&Window::window_c>},
      {"window_reflectance", window_cell<&Window::reflectance>},
      {"window_reflected_c", window_cell<&Window::reflected_c>},
      {"wind_m_s", [](R r) { return cell(r.shot->wind_m_s); }},
      {"load_1_a", load_cell<0>},
      {"load_2_a", load_cell<1>},
      {"load_3_a", load_cell<2>},
      {"saved_emissivity", saved_cell<&Saved::emissivity>},
      {"saved_reflected_c", saved_cell<&Saved::reflected_c>},
      {"page",
       [](R r) {
         const int pages = encoding_of(r.shot->encoding).pages;
         return pages > 1 ? std::to_string(pages) : "";
       }},
      {"scale", declared_cell<&Declaration::scale>},
      {"offset", declared_cell<&Declaration::offset>},
      {"unit", unit_cell},
      {"note", [](R r) { return r.shot->note; }},
  };
  return columns;
}

std::string connection_cell(const MotorStory& motor) {
  return motor.connection == Connection::delta ? "delta" : "wye";
}

std::string feed_cell(const MotorStory& motor) {
  return motor.fed_by == Feed::drive ? "drive" : "line";
}

const std::vector<Column<MotorStory>>& motor_columns() {
  using M = const MotorStory&;
  static const std::vector<Column<MotorStory>> columns{
      {"motor", [](M m) { return m.id; }},
      {"description", [](M m) { return m.description; }},
      {"area", [](M m) { return m.area; }},
      {"lockout", [](M m) { return m.lockout; }},
      {"crew", [](M m) { return m.crew ? std::to_string(*m.crew) : std::string(); }},
      {"torque_nm", [](M m) { return cell(m.torque_nm); }},
      {"parts", [](M m) { return m.parts; }},
      {"rated_kw", [](M m) { return cell(m.rated_kw); }},
      {"rated_hp", [](M m) { return cell(m.rated_hp); }},
      {"rated_v", [](M m) { return cell(m.rated_v); }},
      {"rated_a", [](M m) { return cell(m.rated_a); }},
      {"connection", connection_cell},
      {"fed_by", feed_cell},
      {"poles", [](M m) { return std::to_string(m.poles); }},
      {"conductor_limit_c", [](M m) { return cell(m.conductor_limit_c); }},
      {"lug_area_cm2", [](M m) { return cell(conductor_of(m.conductor_mm2).lug_area_cm2); }},
      {"criticality", [](M m) { return std::to_string(m.criticality); }},
      {"downtime_cost_per_h", [](M m) { return cell(m.downtime_cost_per_h); }},
      {"repair_h", [](M m) { return cell(m.repair_h); }},
      {"replacement_cost", [](M m) { return cell(m.replacement_cost); }},
      {"currency", [](M) { return std::string("USD"); }},
  };
  return columns;
}

/// What a meter adds to the truth, as a share of it, and its last digit.
struct Meter {
  Test test{};
  std::string_view unit;
  std::string_view test_name;
  double per_unit = 1;  ///< ohm, ampere or volt in one of its units
  double noise = 0;
  int digits = 0;
};
constexpr std::array kMeters{
    Meter{Test::winding_resistance, "mohm", "winding_resistance", 1e-3, 2e-4, 3},
    Meter{Test::winding_resistance, "ohm", "winding_resistance", 1, 2e-4, 5},
    Meter{Test::joint_resistance, "uohm", "joint_resistance", 1e-6, 5e-3, 1},
    Meter{Test::line_current, "a", "line_current", 1, 1e-3, 1},
    Meter{Test::line_voltage, "v", "line_voltage", 1, 3e-4, 1},
};

const Meter& meter_of(const MeterReading& reading) {
  return *std::find_if(kMeters.begin(), kMeters.end(), [&](const Meter& meter) {
    return meter.test == reading.test && meter.unit == reading.unit;
  });
}

/// The truth behind a reading, in ohm, ampere or volt.
std::array<double, 3> true_values(const MotorStory& motor, const MeterReading& reading) {
  if (reading.test == Test::line_current) return motor.current_a;
  if (reading.test == Test::line_voltage) return motor.voltage_v;
  if (reading.test == Test::joint_resistance) {
    std::array<double, 3> joints{};
    for (const Phase phase : kPhases) {
      joints.at(index_of(phase)) = joint_resistance(motor, reading.place, phase).value();
    }
    return joints;
  }
  const auto pairs =
      pairs_at(motor, reading.place, reading.with_faults, Celsius{reading.winding_c.value_or(25)});
  return {pairs[0].value(), pairs[1].value(), pairs[2].value()};
}

std::string load_pct_cell(const MotorStory& motor, const MeterReading& reading) {
  if (reading.test != Test::line_current) return "";
  const auto& i = motor.current_a;
  return fmt::format("{:.0f}", 100 * (i[0] + i[1] + i[2]) / 3 / motor.rated_a);
}

std::vector<std::string> reading_row(const MotorStory& motor, const MeterReading& reading,
                                     Noise& noise) {
  const Meter& meter = meter_of(reading);
  std::vector<std::string> row{motor.id, std::string(meter.test_name), reading.taken_at,
                               std::string(name_of(reading.place))};
  for (const double value : true_values(motor, reading)) {
    const double shown = value * (1 + meter.noise * noise.normal()) / meter.per_unit;
    row.push_back(fmt::format("{:.{}f}", shown, meter.digits));
  }
  row.insert(row.end(),
             {reading.unit, cell(reading.winding_c), load_pct_cell(motor, reading), reading.note});
  return row;
}

PlaceNote note_of(const MotorStory& motor, CircuitPlace place) {
  for (const PlaceNote& note : motor.places) {
    if (note.place == place) return note;
  }
  return {};
}

}  // namespace

std::string file_of(const Shot& shot) {
  return fmt::format("route/{}{}", shot.file_stem, encoding_of(shot.encoding).ending);
}

std::string survey_json(std::string_view surveyed_on) {
  const nlohmann::ordered_json json{
      {"site", kSite},
      {"surveyed_on", surveyed_on},
      {"thermographer", "A. Reader"},
      {"thermographer_level", "II"},
      {"thermographer_certificate", "BXC-II-031"},
      {"camera",
       {{"model", "loaned by the terminal's workshop"},
        {"serial", "BXC-0417"},
        {"calibrated_on", "2025-06-16"},
        {"lens", "25 degrees"}}},
      {"defaults",
       {{"emissivity", kDefaultEmissivity},
        {"humidity_pct", kDefaultHumidity_pct},
        {"camera_u_c", 0.5},
        {"noise_k", kNetd_k},
        {"reflected_u_c", 0.5},
        {"air_u_c", 0.3}}},
      {"phase_names", {"A", "B", "C"}},
  };
  return json.dump(2) + "\n";
}

std::string motors_csv(const std::vector<MotorStory>& motors) {
  return write(motor_columns(), motors);
}

std::string images_csv(const std::vector<MotorStory>& motors) {
  std::vector<ImageRow> rows;
  for (const MotorStory& motor : motors) {
    for (const Shot& shot : motor.shots) rows.push_back({&motor, &shot});
  }
  return write(image_columns(), rows);
}

std::string readings_csv(const std::vector<MotorStory>& motors, Noise& noise) {
  std::vector<std::vector<std::string>> cells{{"motor", "test", "taken_at", "place", "value_1",
                                               "value_2", "value_3", "unit", "temperature_c",
                                               "load_pct", "note"}};
  for (const MotorStory& motor : motors) {
    for (const MeterReading& reading : motor.readings) {
      cells.push_back(reading_row(motor, reading, noise));
    }
  }
  return tabular::write_table(cells);
}

std::string circuit_csv(const std::vector<MotorStory>& motors) {
  std::vector<std::vector<std::string>> cells{{"motor", "place", "order", "size", "length_m",
                                               "material", "area", "lockout", "torque_nm", "parts",
                                               "not_inspected"}};
  for (const MotorStory& motor : motors) {
    std::set<CircuitPlace> places{CircuitPlace::terminal_box};  // declared from the supply on
    for (const Shot& shot : motor.shots) places.insert(shot.place);
    for (const MeterReading& reading : motor.readings) places.insert(reading.place);
    const auto box = places.find(CircuitPlace::terminal_box);
    int order = 0;
    for (auto place = places.begin(); place != places.end(); ++place) {
      // The cable runs from the last place before the terminal box.
      const bool cable = std::next(place) == box;
      const PlaceNote note = note_of(motor, *place);
      cells.push_back({motor.id, std::string(name_of(*place)), std::to_string(++order),
                       cable ? cell(motor.conductor_mm2) + " mm2" : "",
                       cable ? cell(motor.cable_m) : "", cable ? "copper" : "", note.area,
                       note.lockout, cell(note.torque_nm), note.parts, note.not_inspected});
    }
  }
  return tabular::write_table(cells);
}

}  // namespace ohmglow::demo
