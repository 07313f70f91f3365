#include "sample_assessment.h"

#include "ohmglow/survey_folder.h"

using namespace ohmglow;
using namespace ohmglow::diagnosis;
using radiometry::Estimate;

namespace test {
namespace {

Estimate estimate(double value, double u) {
  return Estimate{value, {{{radiometry::InputKind::camera, 0}, u}}};
}

std::chrono::sys_days day(int year, unsigned month, unsigned day_of_month) {
  return std::chrono::year{year} / static_cast<int>(month) / static_cast<int>(day_of_month);
}

Survey survey() {
  Survey s;
  s.folder = "route 7";
  s.site = "Bexley Creek grain terminal";
  s.surveyed_on = Moment::parse("2026-03-04");
  s.thermographer = "A. Reader";
  s.thermographer_level = "II";
  s.thermographer_certificate = "BXC-II-031";
  s.camera = {.make = {},
              .model = "loan 2",
              .serial = "BXC-0417",
              .calibrated_on = Moment::parse("2025-06-16"),
              .lens = "25 degrees"};
  s.phase_names = {"A", "B", "C"};
  Motor& motor = s.motors.emplace_back();
  motor.id = "BE-2";
  motor.description = "Bucket elevator 2";
  motor.area = "work house";
  motor.lockout = "MCC-1, breaker 4";
  motor.criticality = 4;
  motor.crew = 2;
  motor.torque_nm = 15;
  motor.parts = "three lugs";
  CircuitStop& disconnect = s.circuit.emplace_back();
  disconnect.motor = "BE-2";
  disconnect.place = "disconnect";
  disconnect.lockout = "SB-1";
  disconnect.torque_nm = 6.5;
  disconnect.not_inspected = "key not at hand";
  CircuitStop& box = s.circuit.emplace_back();
  box.motor = "BE-2";
  box.place = "terminal box";
  ImageEntry entry;
  entry.file = "be2/box.tif";
  entry.motor = "BE-2";
  entry.component = "terminal box";
  entry.parameters.page = 3;
  s.images.push_back(entry);
  return s;
}

UsedParameters parameters() {
  UsedParameters used;
  used.air_c = estimate(19.5, 0.75);
  used.reflected_c = 21.25;
  used.reflected_from = "reflector mark";
  used.air_from = "images.csv";
  used.atmosphere_transmittance = 0.99;
  used.window_transmittance = 0.7;
  used.window_reflectance = 0.125;
  used.window_c = 23.0;
  used.window_reflected_c = 20.5;
  used.saved_emissivity = 0.95;
  used.saved_reflected_c = 22.0;
  used.uncertainties = {.emissivity = 0.02,
                        .reflected = KelvinDifference{1.5},
                        .air = KelvinDifference{0.5},
                        .camera = KelvinDifference{0.875},
                        .noise = KelvinDifference{0.0625},
                        .window_transmittance = 0.01};
  used.declaration = "0.01 × stored + 0 K, by images.csv";
  return used;
}

LugResult hot_lug() {
  LugResult lug;
  lug.name = "T1";
  lug.phase = Phase::one;
  lug.temperature_c = estimate(71.5, 1.25);
  lug.max_c = 72.5;
  lug.mean_c = 66.5;
  lug.p95_c = 70.5;
  lug.pixels = 81;
  lug.hottest = {12.5, 34};
  lug.emissivity = Emissivity{0.9};
  lug.flags = {Flag::low_load, Flag::too_small};
  lug.rise_over_like = estimate(22.5, 0.375);
  lug.rise_over_air = estimate(52.0, 1.375);
  lug.sound_scatter = KelvinDifference{3.125};
  lug.hot_from_k = 6.25;
  lug.hot = true;
  lug.reference_c = 49.0;
  lug.projected_rise = severity::Projection{KelvinDifference{31.5}, KelvinDifference{28.5},
                                            KelvinDifference{33.5}, 1.5};
  lug.grade = {3, severity::DecidedBy::like};
  lug.simple_grade = {2, severity::DecidedBy::like};
  lug.band_probability = {0, 0.125, 0.25, 0.625};
  return lug;
}

ImageResult measured() {
  ImageResult image;
  image.file = "be2/box.tif";
  image.sha256 = std::string(64, 'a');
  image.motor = "BE-2";
  image.component = "terminal box";
  image.taken_at = Moment::parse("2026-03-04T10:11");
  image.status = ImageStatus::measured;
  image.problems = {"mark T9 lies outside the image"};
  image.used = parameters();
  image.load_a = {Ampere{41}, std::nullopt, Ampere{43}};
  image.edge_blur_px = 0.75;
  auto& outside = image.outside.emplace();
  outside.spot.temperature_c = radiometry::Estimate{55.5};
  outside.spot.hottest = {200, 30};
  outside.spot.pixels = 37;
  image.lugs.push_back(hot_lug());
  LugResult cold;
  cold.name = "T2";
  cold.phase = Phase::two;
  cold.flags = {Flag::outside_table};
  image.lugs.push_back(cold);
  return image;
}

ImageResult rejected() {
  ImageResult image;
  image.file = "be2/palette.png";
  image.motor = "BE-2";
  image.component = "starter";
  image.problems = {"this is a picture of temperatures, not temperatures"};
  return image;
}

ElectricalResult resistance() {
  ElectricalResult r;
  r.test = Test::winding_resistance;
  r.place = "motor terminals";
  r.taken_at = Moment::parse("2026-03-05");
  r.values = {0.412, 0.3625, 0.4125};
  r.unbalance = Percent{8.5};
  r.resolution = electrical::Resolution{.legs = {Ohm{0.231}, Ohm{0.181}, Ohm{0.1815}},
                                        .windings = PerPair<Ohm>{Ohm{0.75}, Ohm{0.5}, Ohm{0.625}},
                                        .pair_unbalance = Percent{8.5},
                                        .leg_unbalance = Percent{16.5},
                                        .phase = Phase::one,
                                        .excess = Ohm{0.0498},
                                        .points_to = electrical::PointsTo::lead,
                                        .note = layout("two pairs are high: their common lead"),
                                        .pair_unbalance_u = Percent{0.25},
                                        .excess_u = Ohm{0.0005},
                                        .phase_probability = 0.75};
  r.meter = {Percent{0.5}, 0.0005};
  r.unbalance_u = Percent{0.25};
  r.excess_w = Watt{83.5};
  r.excess_u_w = Watt{2.5};
  r.excess_at_a = Ampere{41};
  r.referred_25c = PerPair<Ohm>{Ohm{0.4}, Ohm{0.35}, Ohm{0.405}};
  r.grade = {1, severity::DecidedBy::reading};
  return r;
}

ElectricalResult voltage() {
  ElectricalResult v;
  v.test = Test::line_voltage;
  v.values = {400, 404, 396};
  v.unbalance = Percent{1.0};
  v.negative_sequence = Percent{1.15};
  v.derating = 0.98;
  v.abnormal = true;
  v.farthest = 2;
  return v;
}

ElectricalResult joints() {
  ElectricalResult j;
  j.test = Test::joint_resistance;
  j.place = "motor terminals";
  j.values = {0.00025, 0.0000625, 0.0000625};
  j.joint = JointResult{.phase = Phase::one,
                        .joints = {Ohm{0.00025}, Ohm{0.0000625}, Ohm{0.0000625}},
                        .excess = Ohm{0.0001875},
                        .excess_u = Ohm{0.000005},
                        .over_lowest_pct = 300,
                        .bad = true};
  return j;
}

ElectricalResult failed_current() {
  ElectricalResult c;
  c.test = Test::line_current;
  c.problem = "all three currents are zero";
  return c;
}

std::vector<SegmentResult> segments() {
  SegmentResult bad;
  bad.from = "starter";
  bad.to = "motor terminals";
  bad.resistance = {Ohm{0.051}, Ohm{0.001}, Ohm{0.001}};
  bad.excess = Ohm{0.05};
  bad.excess_u = Ohm{0.0005};
  bad.probability = 0.96875;
  bad.expected_cable = Ohm{0.001};
  bad.imaged = {"starter"};
  bad.not_imaged = {"motor terminals"};
  SegmentResult winding;
  winding.from = "motor terminals";
  winding.resistance = {Ohm{0.2}, Ohm{0.2}, Ohm{0.2}};
  winding.excess_u = Ohm{0.0005};
  return {bad, winding};
}

Finding hot_finding() {
  Finding f;
  f.rank = 1;
  f.motor = "BE-2";
  f.component = "terminal box";
  f.image = "be2/box.tif";
  f.phase = Phase::one;
  f.lug = "T1";
  f.temperature_c = 71.5;
  f.temperature_u_c = 1.25;
  f.reference_c = 49.0;
  f.rise_over_like = estimate(22.5, 0.375);
  f.rise_over_air = estimate(52.0, 1.375);
  f.relative_difference = 0.4375;
  f.grade = {3, severity::DecidedBy::limit};
  f.simple_grade = {1, severity::DecidedBy::limit};
  f.budget = {{"rise_over_like",
               22.5,
               0.375,
               {{radiometry::InputKind::emissivity, layout("T1"), "", 0.9, 0.02,
                 Distribution::truncated_normal, -18.75, -0.375, 1}}}};
  f.monte_carlo = MonteCarlo{{71.625, 1.25, 69.0, 74.5},
                             Spread{22.625, 0.5, 21.75, 23.75},
                             std::nullopt,
                             {0, 0.25, 0.25, 0.5},
                             20000,
                             true,
                             0.125};
  f.band_probability = {0, 0.125, 0.25, 0.625};
  f.projected_rise = severity::Projection{KelvinDifference{31.5}, KelvinDifference{28.5},
                                          KelvinDifference{33.5}, 1.5};
  f.load_a = 41.0;
  f.load_pct = 80.5;
  f.expected_loss = 1250.5;
  f.verdict = Verdict::confirmed;
  f.electrical_phase = Phase::one;
  f.resistance_unbalance = Percent{8.5};
  f.leg_unbalance = Percent{16.5};
  f.excess_ohm = Ohm{0.0498};
  f.excess_w = Watt{83.5};
  f.flags = {Flag::low_load};
  f.action = layout("Open, clean and remake the connection.");
  f.next_step = layout("Measure the drop across the lug.");
  f.evidence = {{layout("22.5 K over like"), layout("ANSI/NETA Table 100.18")},
                {layout("the box was wet"), {}}};
  f.cautions = cautions();
  return f;
}

Aside warm_even() {
  Aside a;
  a.motor = "BE-2";
  a.component = "starter load side";
  a.image = "be2/starter.tif";
  a.phase = Phase::two;
  a.lug = "T2";
  a.temperature_c = 38.5;
  a.rise_over_like = estimate(1.125, 0.5);
  a.rise_over_air = estimate(19.0, 1.25);
  a.grade = {1, severity::DecidedBy::air};
  a.verdict = Verdict::even;
  a.load_a = 41.0;
  a.load_pct = 80.5;
  a.why = layout("the lugs are warm alike: 19.0 K over the air");
  a.next_step = layout("Check the load.");
  return a;
}

Aside not_judged() {
  Aside a;
  a.motor = "BE-2";
  a.component = "disconnect";
  a.verdict = Verdict::not_judged;
  a.load_a = 6.0;
  a.load_pct = 12.5;
  a.image_again_from_a = 20.5;
  a.why = layout("too little current");
  return a;
}

}  // namespace

Assessment sample_assessment() {
  Assessment a;
  a.survey = survey();
  a.policy = records::read_policy("neta_mts", {}).value();
  a.options.reference = Reference::median;
  a.options.uncertainty = Uncertainty::monte_carlo;
  a.options.seed = 7;
  a.options.decision = severity::Decision::guarded;
  a.options.reading_age_d = 90;
  a.options.unconfirmed = diagnosis::Unconfirmed::skip;
  a.options.as_of = day(2026, 3, 9);
  a.images = {measured(), rejected()};
  ComponentResult component;
  component.motor = "BE-2";
  component.component = "terminal box";
  component.visit = day(2026, 3, 4);
  component.images = {0};
  component.verdict = Verdict::confirmed;
  component.reading = 0;
  component.joint_reading = 3;
  component.visible_at_rated_k = 2.75;
  component.why_not_judged = layout("too little current");
  component.image_again_from = Ampere{20.5};
  component.load_a = {Ampere{41}, std::nullopt, Ampere{43}};
  component.mean_load_a = Ampere{42};
  component.evidence = {{layout("pairs differ by 8.5 %"), layout("common practice")}};
  component.next_step = layout("Measure the drop across the lug.");
  a.components.push_back(component);
  a.motors.push_back({"BE-2",
                      Verdict::confirmed,
                      {resistance(), voltage(), failed_current(), joints()},
                      {"disconnect"},
                      segments()});
  Finding reading_only;
  reading_only.rank = 2;
  reading_only.motor = "BE-2";
  reading_only.verdict = Verdict::reading_only;
  reading_only.grade = {0, severity::DecidedBy::reading};
  a.findings = {hot_finding(), reading_only};
  a.warm_even = {warm_even()};
  a.not_judged = {not_judged()};
  a.problems = {
      {"images.csv", 4, "emissivity", "found \"2\", expected a number above 0 and at most 1"},
      {"", std::nullopt, "", "nothing else"}};
  return a;
}

Assessment bare_assessment() {
  Assessment a;
  a.policy = records::read_policy("neta_mts", {}).value();
  a.options.as_of = day(2026, 1, 1);
  a.images.push_back(rejected());
  a.components.emplace_back();
  a.motors.emplace_back();
  a.findings.emplace_back();
  a.findings.back().rank = 1;
  return a;
}

}  // namespace test
