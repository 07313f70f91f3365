#pragma once
/// What a survey folder says, as values: motors, images with their parameters, readings, marks.
/// Every member that a user may leave empty is optional; "not known" is never a number.

#include "ohmglow/phase.h"
#include "ohmglow/quantity.h"
#include "ohmglow/result.h"

#include <array>
#include <chrono>
#include <cstdint>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace ohmglow {

/// A day, and the time of it where one was written, as the user wrote it (local time; a zone
/// offset is kept in the text but two entries of one survey are compared by their written clocks).
struct Moment {
  std::string text;
  std::chrono::sys_days day;
  std::chrono::sys_seconds time;  ///< midnight where only a day was written

  /// Parses ISO 8601: 2026-03-04, 2026-03-04T10:11, …:12, with optional fraction and Z or ±hh:mm,
  /// of the years 1900 to 2199.
  [[nodiscard]] static std::optional<Moment> parse(std::string_view text);
  friend bool operator==(const Moment&, const Moment&) = default;
};

enum class Connection { unknown, wye, delta };

/// What a motor's circuit hangs on. A meter before a drive says nothing of what the drive puts out.
enum class Feed { unknown, line, soft_starter, drive };

/// How the stator is wound: the way its coils lie, and what they are made of.
enum class CoilLayout { unknown, lap, concentric };
enum class CoilKind { unknown, random, form };
struct Winding {
  CoilLayout layout = CoilLayout::unknown;
  CoilKind coils = CoilKind::unknown;
  friend bool operator==(const Winding&, const Winding&) = default;
};

/// What the insulation's resistance over temperature goes by.
enum class Insulation { unknown, thermosetting, thermoplastic };
enum class FrameStandard { unknown, iec, nema };
/// What the motor stands on while its vibration is measured.
enum class Mounting { unknown, resilient, rigid };

/// What the plate of a motor had to say, by the order.
struct NameplateOrder {
  std::optional<double> kw;
  std::optional<Volt> v;
  std::optional<Ampere> a;
  std::optional<int> poles;
  std::optional<double> rpm;
  friend bool operator==(const NameplateOrder&, const NameplateOrder&) = default;
};

/// A row of motors.csv.
struct Motor {
  std::string id;
  std::string description;
  std::string area;
  std::string lockout;              ///< where it is locked out: panel and device
  std::optional<int> crew;          ///< people that the work takes
  std::optional<double> torque_nm;  ///< of the lugs' bolts
  std::string parts;                ///< to bring along
  std::optional<double> rated_kw;
  std::optional<Volt> rated_v;
  std::optional<Ampere> rated_a;
  std::optional<Ampere> locked_rotor_a;  ///< at rated voltage
  Connection connection = Connection::unknown;
  Feed fed_by = Feed::unknown;
  std::optional<int> poles;
  std::optional<double> rated_rpm;
  Winding winding;
  std::optional<int> built;  ///< the year
  Insulation insulation = Insulation::unknown;
  std::string insulation_class;        ///< A, E, B, F, H, N or R
  std::optional<Millimetre> shaft_mm;  ///< the extension's diameter
  FrameStandard frame_standard = FrameStandard::unknown;
  Mounting mounting = Mounting::unknown;
  std::optional<int> rotor_bars;
  NameplateOrder ordered;
  std::optional<Celsius> conductor_limit_c;
  std::optional<SquareCentimetre> lug_area_cm2;
  std::optional<int> criticality;  ///< 1 to 5
  std::optional<double> downtime_cost_per_h;
  std::optional<double> repair_h;
  std::optional<double> replacement_cost;
  std::string currency;
  std::optional<Moment> repaired_on;         ///< when the work was done that this survey looks at
  std::map<std::string, std::string> extra;  ///< unknown columns, kept
  friend bool operator==(const Motor&, const Motor&) = default;
};

enum class TemperatureUnit { celsius, kelvin };

/// How stored numbers become temperatures: temperature = scale × stored + offset, in `unit`.
struct Declaration {
  double scale = 1;
  double offset = 0;
  TemperatureUnit unit = TemperatureUnit::celsius;
  std::string from;  ///< who said so: "images.csv", "ImageDescription", "GDAL_METADATA", "range"

  friend bool operator==(const Declaration&, const Declaration&) = default;
};

/// The parameters that a row of images.csv or the defaults of survey.json may give.
struct ImageParameters {
  std::optional<Emissivity> emissivity;
  std::optional<Celsius> reflected_c;
  std::optional<Celsius> air_c;
  std::optional<double> humidity_pct;
  std::optional<Metre> distance_m;
  std::optional<Milliradian> ifov_mrad;
  std::optional<Fraction> atmosphere_transmittance;
  std::optional<Fraction> window_transmittance;
  std::optional<Celsius> window_c;
  std::optional<Fraction> window_reflectance;
  std::optional<Celsius> window_reflected_c;
  std::optional<MetrePerSecond> wind_m_s;
  PerPhase<std::optional<Ampere>> load_a;
  std::optional<double> running_min;  ///< minutes under this load before the image
  std::optional<Emissivity> saved_emissivity;
  std::optional<Celsius> saved_reflected_c;
  std::optional<int> page;  ///< counted from 1
  std::optional<double> scale;
  std::optional<double> offset;
  std::optional<TemperatureUnit> unit;
  std::optional<double> camera_u_c;
  std::optional<double> noise_k;
  std::optional<double> emissivity_u;
  std::optional<double> reflected_u_c;
  std::optional<double> air_u_c;
  std::optional<double> window_u;      ///< of the window's transmittance
  std::optional<double> atmosphere_u;  ///< of the air's transmittance
  std::optional<double> nonuniformity_k;
  std::optional<double> load_u_pct;
  friend bool operator==(const ImageParameters&, const ImageParameters&) = default;
};

/// A row of images.csv.
struct ImageEntry {
  std::string file;  ///< relative to the survey folder, with forward slashes
  std::string motor;
  std::string component;
  std::optional<Moment> taken_at;
  ImageParameters parameters;
  std::string photo;
  std::string note;
  std::optional<long> row;  ///< in images.csv
  std::map<std::string, std::string> extra;
  friend bool operator==(const ImageEntry&, const ImageEntry&) = default;
};

/// The last two are taken across one joint of each phase: its resistance, and its voltage drop
/// under load.
enum class Test { winding_resistance, line_current, line_voltage, joint_resistance, joint_drop };

/// A row of readings.csv, in ohm, ampere or volt. Pairs 1-2, 2-3, 3-1 for winding resistance and
/// line voltage; phases 1, 2, 3 for the others.
struct Reading {
  std::string motor;
  Test test = Test::winding_resistance;
  std::optional<Moment> taken_at;
  std::string place;
  std::array<double, 3> values{};
  /// winding_resistance: the first pair, measured once more after the third.
  std::optional<double> value_1_again;
  std::string unit_as_written;
  std::optional<Celsius> temperature_c;
  std::optional<double> load_pct;
  std::optional<double> meter_u_pct;  ///< the meter's standard uncertainty, % of the reading
  std::optional<double> resolution;   ///< the meter's least count, ohm, ampere or volt
  std::optional<Ohm> lead_ohm;        ///< of a two-wire meter, to be taken off each value
  std::optional<Ohm> lead_u_ohm;      ///< standard uncertainty of that
  std::string note;
  std::optional<long> row;
  std::map<std::string, std::string> extra;
  friend bool operator==(const Reading&, const Reading&) = default;
};

/// Tests of a motor on the bench, whose rows of readings.csv do not speak of connections.
enum class ShopTestKind { insulation_resistance, vibration, runout, impedance };

/// A row of readings.csv with such a test. Values in `unit`:
/// - insulation_resistance, ohm: after one minute, after ten minutes or absent, absent;
/// - vibration, mm/s r.m.s. (a peak in in/s by √2, as of a sine): horizontal, vertical, axial, any
///   of them absent, not all;
/// - runout, mm, full indicator reading: one value;
/// - impedance, ohm: the pairs 1-2, 2-3, 3-1.
struct ShopTest {
  std::string motor;
  ShopTestKind kind = ShopTestKind::insulation_resistance;
  std::optional<Moment> taken_at;
  std::string place;
  std::array<std::optional<double>, 3> values{};
  std::string unit_as_written;
  std::string unit;               ///< "ohm", "mm_s_rms" or "mm": that of the values and of value_u
  std::optional<double> value_u;  ///< standard uncertainty of each value
  std::optional<Celsius> temperature_c;  ///< the winding's
  std::optional<Volt> test_v;            ///< d.c., of the insulation test
  std::string note;
  std::optional<long> row;
  std::map<std::string, std::string> extra;
  friend bool operator==(const ShopTest&, const ShopTest&) = default;
};

/// A row of sweeps.csv: the inductance of the three pairs with the shaft held at an angle.
struct SweepReading {
  std::string motor;
  std::optional<Moment> taken_at;
  std::string sweep;     ///< its name: as written, else the day
  double angle_deg = 0;  ///< mechanical, from the shaft's mark; goes past 360 where the turn does
  PerPair<Henry> inductance{Henry{0}, Henry{0}, Henry{0}};
  std::string unit_as_written;
  std::optional<Hertz> frequency_hz;
  std::optional<Ampere> current_a;
  std::optional<double> gap_share;          ///< of the reading, that follows the main gap
  std::optional<double> shaft_return;       ///< of flux: 0 free, 1 none
  std::optional<bool> anisotropy_excluded;  ///< the rotor is known to be alike all round
  std::string note;
  std::optional<long> row;
  std::map<std::string, std::string> extra;
  friend bool operator==(const SweepReading&, const SweepReading&) = default;
};

enum class MotorEnd { unknown, drive, opposite };

/// A row of air_gap.csv: one gap by feeler gauge.
struct AirGapReading {
  std::string motor;
  std::optional<Moment> taken_at;
  MotorEnd end = MotorEnd::unknown;
  double rotor_deg = 0;     ///< the shaft's angle
  double position_deg = 0;  ///< 0 at the top, clockwise as seen from the drive end
  /// Absent: what is written there cannot be used, so that the end was not taken whole.
  std::optional<Millimetre> gap;
  std::optional<Millimetre> resolution;  ///< the gauge's step
  std::string unit_as_written;
  std::string note;
  std::optional<long> row;
  std::map<std::string, std::string> extra;
  friend bool operator==(const AirGapReading&, const AirGapReading&) = default;
};

enum class ConductorMaterial { copper, aluminium };

/// A row of circuit.csv: a place along a motor's circuit, counted from the supply, and the
/// conductor that leads from it to the next one (from the last one: to the motor).
struct CircuitStop {
  std::string motor;
  std::string place;
  double order = 0;
  std::string size;  ///< as written; empty: not known
  std::optional<Metre> length_m;
  ConductorMaterial material = ConductorMaterial::copper;
  std::string area;
  std::string lockout;
  std::optional<double> torque_nm;
  std::string parts;
  std::string not_inspected;  ///< why nobody looked at it
  std::optional<long> row;
  std::map<std::string, std::string> extra;
  friend bool operator==(const CircuitStop&, const CircuitStop&) = default;
};

/// What somebody who works on a connection needs.
struct WorkSite {
  std::string area;
  std::string lockout;
  std::optional<int> crew;
  std::optional<double> torque_nm;
  std::string parts;
  friend bool operator==(const WorkSite&, const WorkSite&) = default;
};
/// Either may be null. What the place says wins over what the motor says.
[[nodiscard]] WorkSite work_site(const Motor* motor, const CircuitStop* place);

/// Pixel coordinates: (0,0) is the centre of the top-left pixel.
struct PixelPoint {
  double x = 0;
  double y = 0;
  friend bool operator==(const PixelPoint&, const PixelPoint&) = default;
};

struct Circle {
  PixelPoint center;
  double radius = 0;
  friend bool operator==(const Circle&, const Circle&) = default;
};
struct Rectangle {
  PixelPoint corner;
  PixelPoint size;
  friend bool operator==(const Rectangle&, const Rectangle&) = default;
};
struct Polygon {
  std::vector<PixelPoint> points;
  friend bool operator==(const Polygon&, const Polygon&) = default;
};

/// A pixel belongs to a shape if its centre is inside or on the edge.
using Shape = std::variant<Circle, Rectangle, Polygon>;

enum class MarkRole { lug, ambient, reflector };
enum class MarkOrigin { hand, carried, proposed };

struct Mark {
  std::string name = {};
  MarkRole role = MarkRole::lug;
  std::optional<Phase> phase = {};  ///< given for every lug
  Shape shape = {};
  std::optional<Emissivity> emissivity = {};
  std::optional<double> emissivity_u = {};  ///< standard uncertainty
  std::string material = {};
  std::optional<MarkOrigin> origin = {};
  std::string carried_from = {};
  std::optional<double> confidence = {};
  std::optional<bool> confirmed = {};  ///< whether a person looked; absent: true for hand alone

  [[nodiscard]] bool is_confirmed() const {
    return confirmed.value_or(!origin || *origin == MarkOrigin::hand);
  }
  friend bool operator==(const Mark&, const Mark&) = default;
};

/// One marks/….json.
struct MarkFile {
  std::string image = {};
  int width = 0;
  int height = 0;
  std::vector<Mark> marks = {};
  friend bool operator==(const MarkFile&, const MarkFile&) = default;
};

/// A flat spectral response.
struct FlatBand {
  Micrometre from{8};
  Micrometre to{14};
  friend bool operator==(const FlatBand&, const FlatBand&) = default;
};

struct ResponsePoint {
  Micrometre wavelength;
  double response;  ///< relative, any scale
  friend bool operator==(const ResponsePoint&, const ResponsePoint&) = default;
};
/// A camera's spectral response as a table, straight lines between its points and nothing beyond.
struct SpectralResponse {
  std::string file;  ///< inside the survey folder
  std::uint64_t bytes = 0;
  std::string sha256;
  std::vector<ResponsePoint> points;
  friend bool operator==(const SpectralResponse&, const SpectralResponse&) = default;
};

/// A camera's signal for a blackbody, Sakuma–Hattori equation in Planckian form:
/// S = C / (exp(c2 / (A T + B)) − 1) (BIPM CCT-WG5, 2008).
struct SakumaHattori {
  double a_um = 0;
  double b_um_k = 0;
  double c = 0;
  friend bool operator==(const SakumaHattori&, const SakumaHattori&) = default;
};

/// How the camera weighs the radiation of a temperature.
using SpectralBand = std::variant<FlatBand, SpectralResponse, SakumaHattori>;

/// A complaint as it is kept in findings.json.
struct Problem {
  std::string file;
  std::optional<long> row;
  std::string column;
  std::string message;
  bool is_remark = false;  ///< what it is about was used all the same
  friend bool operator==(const Problem&, const Problem&) = default;
};

[[nodiscard]] Problem problem_from(const Error& error);
/// Whether something could not be used: what exit codes tell.
[[nodiscard]] bool any_unused(std::span<const Problem> problems);

/// A file as it was when it was read or written.
struct FileRecord {
  std::string path;  ///< from the survey folder (inputs) or the output folder (outputs), with "/"
  std::uint64_t bytes = 0;
  std::string sha256;  ///< empty: the file was there and could not be read
  friend bool operator==(const FileRecord&, const FileRecord&) = default;
};

/// What the tables are called in the folder: "Images.CSV", "images.xlsx".
struct TableNames {
  std::string motors = "motors.csv";
  std::string images = "images.csv";
  std::string readings = "readings.csv";
  std::string circuit = "circuit.csv";
  std::string sweeps = "sweeps.csv";
  std::string air_gap = "air_gap.csv";
  friend bool operator==(const TableNames&, const TableNames&) = default;
};

/// The camera that took the images, as the survey names it.
struct Camera {
  std::string make;
  std::string model;
  std::string serial;
  std::optional<Moment> calibrated_on;
  std::string lens;
  friend bool operator==(const Camera&, const Camera&) = default;
};

/// A survey folder as read: rows that could not be used are in `problems`, not lost.
struct Survey {
  std::string folder;
  std::string site;
  std::optional<Moment> surveyed_on;
  std::string thermographer;
  std::string thermographer_level;
  std::string thermographer_certificate;
  Camera camera;
  std::string policy;  ///< name or file; empty = the default policy
  PhaseNames phase_names = default_phase_names();
  SpectralBand band = FlatBand{};       ///< of the camera
  std::vector<Motor> motors;            ///< in file order
  std::vector<ImageEntry> images;       ///< in file order, or by name where there is no images.csv
  std::vector<Reading> readings;        ///< in file order
  std::vector<ShopTest> shop_tests;     ///< rows of readings.csv, in file order
  std::vector<CircuitStop> circuit;     ///< in file order
  std::vector<SweepReading> sweeps;     ///< in file order
  std::vector<AirGapReading> air_gaps;  ///< in file order
  std::map<std::string, MarkFile> marks;  ///< by image file
  TableNames tables;
  std::vector<Problem> problems;
  std::vector<FileRecord> files;  ///< tables, mark files and what they name, as they were read

  [[nodiscard]] const Motor* find_motor(std::string_view id) const;
  /// The row of circuit.csv, whatever the case of the place.
  [[nodiscard]] const CircuitStop* find_place(std::string_view motor, std::string_view place) const;
};

}  // namespace ohmglow
