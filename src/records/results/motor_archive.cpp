#include "records/results/motor_archive.h"

#include "offered/files/file_stamp.h"
#include "offered/files/folder.h"
#include "offered/results/journal.h"
#include "records/results/archived_numbers.h"
#include "records/results/bounded_archive.h"

#include <cereal/types/array.hpp>
#include <cereal/types/chrono.hpp>
#include <cereal/types/map.hpp>
#include <cereal/types/optional.hpp>
#include <cereal/types/string.hpp>
#include <cereal/types/variant.hpp>
#include <cereal/types/vector.hpp>
#include <exception>
#include <fmt/format.h>
#include <span>
#include <sstream>
#include <stdexcept>
#include <type_traits>

// The one list of each struct's members, for archive and hash alike. cereal finds them beside the
// types that they are for.

namespace ohmglow {

template <class Archive, class Unit>
void save(Archive& archive, const Quantity<Unit>& quantity) {
  archive(quantity.value());
}
template <class Archive, class Unit>
void load(Archive& archive, Quantity<Unit>& quantity) {
  double value = 0;
  archive(value);
  quantity = Quantity<Unit>(value);
}

template <class Archive>
void serialize(Archive& archive, Moment& moment) {
  archive(moment.text, moment.day, moment.time);
}
template <class Archive>
void serialize(Archive& archive, Problem& problem) {
  archive(problem.file, problem.row, problem.column, problem.message, problem.is_remark);
}
template <class Archive>
void serialize(Archive& archive, FileRecord& file) {
  archive(file.path, file.bytes, file.sha256);
}

// --- rows and marks

template <class Archive>
void serialize(Archive& archive, Winding& winding) {
  archive(winding.layout, winding.coils);
}
template <class Archive>
void serialize(Archive& archive, NameplateOrder& order) {
  archive(order.kw, order.v, order.a, order.poles, order.rpm);
}
template <class Archive>
void serialize(Archive& archive, Motor& m) {
  archive(m.id, m.description, m.area, m.lockout, m.crew, m.torque_nm, m.parts, m.rated_kw,
          m.rated_v, m.rated_a, m.locked_rotor_a, m.connection, m.fed_by, m.poles, m.rated_rpm,
          m.winding, m.built, m.insulation, m.insulation_class, m.shaft_mm, m.frame_standard,
          m.mounting, m.rotor_bars, m.ordered, m.conductor_limit_c, m.lug_area_cm2, m.criticality,
          m.downtime_cost_per_h, m.repair_h, m.replacement_cost, m.currency, m.repaired_on,
          m.extra);
}
template <class Archive>
void serialize(Archive& archive, ImageParameters& p) {
  archive(p.emissivity, p.reflected_c, p.air_c, p.humidity_pct, p.distance_m, p.ifov_mrad,
          p.atmosphere_transmittance, p.window_transmittance, p.window_c, p.window_reflectance,
          p.window_reflected_c, p.wind_m_s, p.load_a, p.running_min, p.saved_emissivity,
          p.saved_reflected_c, p.page, p.scale, p.offset, p.unit, p.camera_u_c, p.noise_k,
          p.emissivity_u, p.reflected_u_c, p.air_u_c, p.window_u, p.atmosphere_u, p.nonuniformity_k,
          p.load_u_pct);
}
template <class Archive>
void serialize(Archive& archive, ImageEntry& entry) {
  archive(entry.file, entry.motor, entry.component, entry.taken_at, entry.parameters, entry.photo,
          entry.note, entry.row, entry.extra);
}
template <class Archive>
void serialize(Archive& archive, Reading& r) {
  archive(r.motor, r.test, r.taken_at, r.place, r.values, r.value_1_again, r.unit_as_written,
          r.temperature_c, r.load_pct, r.meter_u_pct, r.resolution, r.lead_ohm, r.lead_u_ohm,
          r.note, r.row, r.extra);
}
template <class Archive>
void serialize(Archive& archive, ShopTest& t) {
  archive(t.motor, t.kind, t.taken_at, t.place, t.values, t.unit_as_written, t.unit, t.value_u,
          t.temperature_c, t.test_v, t.note, t.row, t.extra);
}
template <class Archive>
void serialize(Archive& archive, SweepReading& s) {
  archive(s.motor, s.taken_at, s.sweep, s.angle_deg, s.inductance, s.unit_as_written,
          s.frequency_hz, s.current_a, s.gap_share, s.shaft_return, s.anisotropy_excluded, s.note,
          s.row, s.extra);
}
template <class Archive>
void serialize(Archive& archive, AirGapReading& g) {
  archive(g.motor, g.taken_at, g.end, g.rotor_deg, g.position_deg, g.gap, g.resolution,
          g.unit_as_written, g.note, g.row, g.extra);
}
template <class Archive>
void serialize(Archive& archive, CircuitStop& stop) {
  archive(stop.motor, stop.place, stop.order, stop.size, stop.length_m, stop.material, stop.area,
          stop.lockout, stop.torque_nm, stop.parts, stop.not_inspected, stop.row, stop.extra);
}
template <class Archive>
void serialize(Archive& archive, PixelPoint& point) {
  archive(point.x, point.y);
}
template <class Archive>
void serialize(Archive& archive, Circle& circle) {
  archive(circle.center, circle.radius);
}
template <class Archive>
void serialize(Archive& archive, Rectangle& rectangle) {
  archive(rectangle.corner, rectangle.size);
}
template <class Archive>
void serialize(Archive& archive, Polygon& polygon) {
  archive(polygon.points);
}
template <class Archive>
void serialize(Archive& archive, Mark& mark) {
  archive(mark.name, mark.role, mark.phase, mark.shape, mark.emissivity, mark.emissivity_u,
          mark.material, mark.origin, mark.carried_from, mark.confidence, mark.confirmed);
}
template <class Archive>
void serialize(Archive& archive, MarkFile& marks) {
  archive(marks.image, marks.width, marks.height, marks.marks);
}

// --- the camera's band, which is only hashed

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

template <class Archive>
void serialize(Archive& archive, Number& number) {
  archive(number.value, number.places, number.of, number.has_unit, number.is_trimmed,
          number.one_more_below);
}
template <class Archive>
void serialize(Archive& archive, Unit& unit) {
  archive(unit.of);
}
template <class Archive>
void serialize(Archive& archive, Sentence& sentence) {
  archive(sentence.message, sentence.arguments);
}
template <class Archive>
void serialize(Archive& archive, List& list) {
  archive(list.items, list.between);
}
template <class Archive>
void serialize(Archive& archive, Filling& filling) {
  archive(filling.is);
}

}  // namespace ohmglow

namespace ohmglow::radiometry {

template <class Archive>
void serialize(Archive& archive, Input& input) {
  archive(input.kind, input.scope);
}
template <class Archive>
void serialize(Archive& archive, Contribution& part) {
  archive(part.input, part.u_k);
}
template <class Archive>
void save(Archive& archive, const Estimate& estimate) {
  archive(estimate.value(), estimate.parts());
}
template <class Archive>
void load(Archive& archive, Estimate& estimate) {
  double value = 0;
  std::vector<Contribution> parts;
  archive(value, parts);
  estimate = Estimate(value, std::move(parts));
}
template <class Archive>
void serialize(Archive& archive, InputUncertainties& u) {
  archive(u.emissivity, u.reflected, u.air, u.camera, u.noise, u.window_transmittance,
          u.atmosphere_transmittance, u.nonuniformity, u.load);
}

}  // namespace ohmglow::radiometry

namespace ohmglow::severity {

template <class Archive>
void serialize(Archive& archive, Grade& grade) {
  archive(grade.band, grade.by);
}
template <class Archive>
void serialize(Archive& archive, Projection& projection) {
  archive(projection.rise, projection.low, projection.high, projection.u_k);
}

}  // namespace ohmglow::severity

namespace ohmglow::electrical {

template <class Archive>
void serialize(Archive& archive, Meter& meter) {
  archive(meter.u, meter.least_count);
}
template <class Archive>
void serialize(Archive& archive, Resolution& r) {
  archive(r.legs, r.windings, r.pair_unbalance, r.leg_unbalance, r.phase, r.excess, r.points_to,
          r.note, r.pair_unbalance_u, r.excess_u, r.phase_probability, r.phase_agreed);
}

}  // namespace ohmglow::electrical

namespace ohmglow::diagnosis {

template <class Archive>
void serialize(Archive& archive, LugIndex& index) {
  archive(index.image, index.lug);
}
template <class Archive>
void serialize(Archive& archive, Spread& spread) {
  archive(spread.mean, spread.u, spread.low, spread.high);
}
template <class Archive>
void serialize(Archive& archive, MonteCarlo& m) {
  archive(m.temperature_c, m.over_like, m.over_air, m.band_probability, m.trials, m.is_stable,
          m.outside_share);
}
template <class Archive>
void serialize(Archive& archive, LugResult& lug) {
  archive(lug.name, lug.phase, lug.temperature_c, lug.max_c, lug.mean_c, lug.p95_c, lug.pixels,
          lug.hottest, lug.emissivity, lug.flags, lug.rise_over_like, lug.rise_over_air,
          lug.reference, lug.sound_scatter, lug.reference_choice, lug.reference_c,
          lug.projected_rise, lug.monte_carlo, lug.grade, lug.simple_grade, lug.band_probability,
          lug.hot_from_k, lug.hot);
}
template <class Archive>
void serialize(Archive& archive, UsedParameters& used) {
  archive(used.air_c, used.reflected_c, used.reflected_from, used.air_from,
          used.atmosphere_transmittance, used.window_transmittance, used.window_reflectance,
          used.window_c, used.window_reflected_c, used.saved_emissivity, used.saved_reflected_c,
          used.uncertainties, used.declaration);
}
template <class Archive>
void serialize(Archive& archive, SpotOutside& outside) {
  archive(outside.spot, outside.is_background);
}
template <class Archive>
void serialize(Archive& archive, ImageResult& image) {
  archive(image.file, image.sha256, image.bytes, image.motor, image.component, image.taken_at,
          image.status, image.problems, image.used, image.load_a, image.edge_blur_px, image.lugs,
          image.outside);
}
template <class Archive>
void serialize(Archive& archive, Evidence& evidence) {
  archive(evidence.text, evidence.source);
}
template <class Archive>
void serialize(Archive& archive, JointResult& joint) {
  archive(joint.phase, joint.joints, joint.excess, joint.excess_u, joint.over_lowest_pct,
          joint.bad);
}
template <class Archive>
void serialize(Archive& archive, ElectricalResult& e) {
  archive(e.test, e.place, e.taken_at, e.values, e.unbalance, e.unbalance_u, e.meter, e.resolution,
          e.excess_w, e.excess_u_w, e.excess_at_a, e.referred_25c, e.first_pair_drift,
          e.drift_taken_off, e.grade, e.negative_sequence, e.derating, e.abnormal, e.farthest,
          e.joint, e.problem);
}
template <class Archive>
void serialize(Archive& archive, SegmentResult& segment) {
  archive(segment.from, segment.to, segment.resistance, segment.phase, segment.excess,
          segment.excess_u, segment.probability, segment.expected_cable, segment.imaged,
          segment.not_imaged);
}
template <class Archive>
void serialize(Archive& archive, Argument& argument) {
  archive(argument.text, argument.with_it, argument.overall);
}
template <class Archive>
void serialize(Archive& archive, Explanation& e) {
  archive(e.id, e.title, e.probability, e.in_favour, e.against);
}
template <class Archive>
void serialize(Archive& archive, NextTest& test) {
  archive(test.id, test.title, test.how, test.gain_bits, test.effort_min);
}
template <class Archive>
void serialize(Archive& archive, Explained& explained) {
  archive(explained.seen, explained.explanations, explained.tests);
}
template <class Archive>
void serialize(Archive& archive, ComponentResult& c) {
  archive(c.motor, c.component, c.visit, c.images, c.verdict, c.reading, c.joint_reading, c.load_a,
          c.mean_load_a, c.evidence, c.next_step, c.verdict_probability, c.explained,
          c.visible_at_rated_k, c.why_not_judged, c.image_again_from);
}
template <class Archive>
void serialize(Archive& archive, MotorResult& motor) {
  archive(motor.motor, motor.verdict, motor.electrical, motor.places_not_imaged, motor.segments);
}
template <class Archive>
void serialize(Archive& archive, BudgetInput& input) {
  archive(input.kind, input.of, input.unit, input.value, input.u, input.distribution,
          input.sensitivity, input.u_k, input.share);
}
template <class Archive>
void serialize(Archive& archive, Budget& budget) {
  archive(budget.quantity, budget.value, budget.u, budget.inputs);
}
template <class Archive>
void serialize(Archive& archive, Finding& f) {
  archive(f.rank, f.case_number, f.case_id, f.leads_case, f.also, f.decision, f.warm_alike, f.motor,
          f.component, f.image, f.image_index, f.phase, f.lug, f.temperature_c, f.temperature_u_c,
          f.reference_c, f.rise_over_like, f.rise_over_air, f.relative_difference, f.grade,
          f.simple_grade, f.band_probability, f.monte_carlo, f.budget, f.projected_rise,
          f.projected, f.load_a, f.load_pct, f.expected_loss, f.verdict, f.electrical_phase,
          f.resistance_unbalance, f.leg_unbalance, f.excess_ohm, f.excess_w, f.flags, f.action,
          f.next_step, f.evidence, f.cautions);
}
template <class Archive>
void serialize(Archive& archive, Aside& a) {
  archive(a.motor, a.component, a.image, a.image_index, a.phase, a.lug, a.temperature_c,
          a.rise_over_like, a.rise_over_air, a.grade, a.verdict, a.load_a, a.load_pct,
          a.image_again_from_a, a.why, a.next_step);
}

}  // namespace ohmglow::diagnosis

namespace ohmglow::records {
namespace {

/// What cannot be made from nothing before it is read.
template <class Type>
Type blank();
template <>
[[maybe_unused]] radiometry::Estimate blank() {
  return radiometry::Estimate(0);
}
template <>
[[maybe_unused]] severity::Projection blank() {
  const KelvinDifference none{0};
  return {none, none, none};
}
template <>
[[maybe_unused]] PerPair<Ohm> blank() {
  return {Ohm{0}, Ohm{0}, Ohm{0}};
}
template <>
[[maybe_unused]] electrical::Resolution blank() {
  electrical::Resolution none{.legs = blank<PerPhase<Ohm>>(),
                              .windings = {},
                              .pair_unbalance = Percent{0},
                              .leg_unbalance = Percent{0},
                              .phase = Phase::one,
                              .excess = Ohm{0},
                              .note = {}};
  return none;
}

template <class Archive, class Type>
void load_optional(Archive& archive, std::optional<Type>& optional, Type value) {
  bool is_null = false;
  archive(CEREAL_NVP_("nullopt", is_null));
  optional.reset();
  if (is_null) return;
  archive(value);
  optional = std::move(value);
}

}  // namespace
}  // namespace ohmglow::records

namespace cereal {

template <class Archive, class Unit>
void load(Archive& archive, std::optional<ohmglow::Quantity<Unit>>& optional) {
  ohmglow::records::load_optional(archive, optional, ohmglow::Quantity<Unit>(0));
}

#define OHMGLOW_LOADS_FROM_BLANK(Type)                                                   \
  template <class Archive>                                                               \
  void load(Archive& archive, std::optional<Type>& optional) {                           \
    ohmglow::records::load_optional(archive, optional, ohmglow::records::blank<Type>()); \
  }
OHMGLOW_LOADS_FROM_BLANK(ohmglow::radiometry::Estimate)
OHMGLOW_LOADS_FROM_BLANK(ohmglow::severity::Projection)
OHMGLOW_LOADS_FROM_BLANK(ohmglow::PerPair<ohmglow::Ohm>)
OHMGLOW_LOADS_FROM_BLANK(ohmglow::electrical::Resolution)
#undef OHMGLOW_LOADS_FROM_BLANK

}  // namespace cereal

namespace ohmglow::records {

namespace {

/// A motor's rows and marks, what was wrong with them, and the records of its mark files.
template <class Archive, class Rows>
void archive_rows(Archive& archive, Rows& survey) {
  archive(survey.motors, survey.images, survey.readings, survey.shop_tests, survey.circuit,
          survey.sweeps, survey.air_gaps, survey.marks, survey.problems, survey.files);
}

template <class Archive, class Motor>
void archive_motor(Archive& archive, Motor& motor) {
  archive_rows(archive, motor.survey);
  archive(motor.images, motor.components, motor.motors, motor.findings, motor.warm_even,
          motor.not_judged, motor.problems);
}

}  // namespace

std::string archived(const diagnosis::Assessment& motor) {
  std::ostringstream out;
  cereal::BinaryOutputArchive archive(out);
  archive_motor(archive, motor);
  return std::move(out).str();
}

Result<void> restore(std::string_view bytes, diagnosis::Assessment& motor) {
  try {
    BoundedArchive archive(bytes);
    archive_motor(archive, motor);
    if (!refers_to_what_is_there(motor)) throw std::runtime_error("a number stands for nothing");
    return {};
  } catch (const std::exception& error) {
    return fail({.kind = ErrorKind::not_this_format,
                 .what = "these results cannot be read back",
                 .found = error.what(),
                 .expected = "what this program wrote",
                 .mend = "run `ohmglow assess` again without --resume"});
  }
}

std::string hash_of_rows(const Survey& motor, const std::vector<std::size_t>& numbers) {
  std::ostringstream out;
  cereal::BinaryOutputArchive archive(out);
  archive(motor.surveyed_on, motor.phase_names, motor.band, numbers);
  archive_rows(archive, motor);
  const std::string bytes = std::move(out).str();
  return sha256(std::as_bytes(std::span(bytes)));
}

std::string hash_of_stamps(const Survey& motor) {
  std::string bytes;
  for (const ImageEntry& entry : motor.images) {
    const auto stamp = stamp_of(std::filesystem::path(motor.folder) / entry.file);
    bytes += stamp ? fmt::format("{} {}\n", stamp->size, stamp->written.time_since_epoch().count())
                   : std::string("-\n");
  }
  return sha256(std::as_bytes(std::span(bytes)));
}

}  // namespace ohmglow::records
