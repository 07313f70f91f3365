#include "fixture.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <map>
#include <opencv2/core.hpp>
#include <sys/wait.h>

namespace ohmglow::report_test {
namespace {

using namespace diagnosis;
using radiometry::Contribution;
using radiometry::Estimate;
using radiometry::Input;
using radiometry::InputKind;
using severity::DecidedBy;
using severity::Limit;

Estimate estimate(double value, double u) {
  return Estimate(value, {Contribution{Input{InputKind::camera, 1}, u}});
}

severity::Policy policy() {
  severity::Policy p;
  p.id = "neta_mts";
  p.title = "NETA MTS Table 100.18 limits";
  p.source = "ANSI/NETA MTS, Table 100.18";
  p.rule =
      "Upper limits are inclusive; anything above belongs to the next band; values are compared "
      "unrounded.";
  p.bands = {
      {"watch",
       "Watch",
       Limit{1, true},
       Limit{1, true},
       Limit{1, false},
       "Look again at the next survey.",
       "Table 100.18, row 1",
       {}},
      {"plan",
       "Plan repair",
       Limit{3, false},
       Limit{10, false},
       Limit{5, false},
       "Repair when the motor stops next.",
       "Table 100.18, row 2",
       {}},
      {"monitor",
       "Monitor",
       std::nullopt,
       Limit{20, false},
       std::nullopt,
       "Keep watching until it is mended.",
       "Table 100.18, row 3",
       {}},
      {"urgent",
       "Urgent",
       Limit{15, false},
       Limit{40, false},
       Limit{10, true},
       "Stop and repair now.",
       "Table 100.18, row 4",
       {}},
  };
  return p;
}

constexpr std::size_t kWatch = 0;
constexpr std::size_t kPlan = 1;
constexpr std::size_t kUrgent = 3;

LugResult lug(const LugAt& at, std::optional<double> reference_c, std::optional<double> air_c,
              PixelPoint hottest) {
  LugResult l;
  l.name = at.name;
  l.phase = at.phase;
  l.emissivity = Emissivity{0.95};
  l.pixels = 113;
  l.hottest = hottest;
  if (!at.temperature_c) {
    l.raise(Flag::outside_table);
    return l;
  }
  const double t = *at.temperature_c;
  l.temperature_c = estimate(t, at.u_c);
  l.max_c = t + 0.4;
  l.mean_c = t - 2.5;
  l.p95_c = t - 0.3;
  if (reference_c) {
    l.reference_c = reference_c;
    l.rise_over_like = estimate(t - *reference_c, 0.3);
    l.grade = severity::grade(policy(), t - *reference_c, std::nullopt);
  }
  if (air_c) l.rise_over_air = estimate(t - *air_c, 1.2);
  return l;
}

Mark circle(const std::string& name, Phase phase, double x, double y) {
  Mark m;
  m.name = name;
  m.phase = phase;
  m.shape = Circle{{x, y}, 12};
  return m;
}

PixelPoint place_of(std::size_t index, std::size_t count) {
  const double step = 320.0 / static_cast<double>(count + 1);
  return {std::round(step * static_cast<double>(index + 1)), 124};
}

UsedParameters used(std::optional<double> air_c) {
  UsedParameters u;
  if (air_c) u.air_c = estimate(*air_c, 1.0);
  u.air_from = "images.csv";
  u.reflected_c = 24;
  u.reflected_from = "reflector mark";
  u.uncertainties.emissivity = 0.02;
  u.declaration = "0.01 × stored + 0 K, by images.csv";
  return u;
}

// Adds an image with its marks, and the component that owns it.
void add_component(Assessment& a, const std::string& file, const std::string& motor,
                   const std::string& component, const std::vector<LugAt>& lugs,
                   std::optional<double> air_c, Verdict verdict) {
  ImageEntry entry;
  entry.file = file;
  entry.motor = motor;
  entry.component = component;
  a.survey.images.push_back(entry);
  ImageResult image;
  image.file = file;
  image.sha256 = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08";
  image.motor = motor;
  image.component = component;
  image.taken_at = Moment::parse("2026-03-04T10:11");
  image.status = ImageStatus::measured;
  image.used = used(air_c);
  std::optional<double> coolest;
  std::size_t measurable = 0;
  for (const LugAt& l : lugs) {
    if (!l.temperature_c) continue;
    ++measurable;
    coolest = coolest ? std::min(*coolest, *l.temperature_c) : *l.temperature_c;
  }
  MarkFile marks{file, 320, 240, {}};
  for (std::size_t i = 0; i < lugs.size(); ++i) {
    const PixelPoint at = place_of(i, lugs.size());
    image.lugs.push_back(lug(lugs[i], measurable > 1 ? coolest : std::nullopt, air_c, at));
    marks.marks.push_back(circle(lugs[i].name, lugs[i].phase, at.x, at.y));
  }
  Mark ambient;
  ambient.name = "door";
  ambient.role = MarkRole::ambient;
  ambient.shape = Rectangle{{16, 192}, {60, 28}};
  marks.marks.push_back(ambient);
  a.survey.marks[file] = marks;
  a.images.push_back(image);

  ComponentResult c;
  c.motor = motor;
  c.component = component;
  c.visit = image.taken_at->day;
  c.images = {a.images.size() - 1};
  c.verdict = verdict;
  c.next_step = layout("Look again at the next survey.");
  a.components.push_back(c);
}

ElectricalResult resistance(const PerPhase<double>& legs, const std::string& place) {
  ElectricalResult e;
  e.place = place;
  e.taken_at = Moment::parse("2026-03-04");
  e.values = {legs[0] + legs[1], legs[1] + legs[2], legs[2] + legs[0]};
  const auto highest = static_cast<std::size_t>(
      std::distance(legs.begin(), std::max_element(legs.begin(), legs.end())));
  const double sum = legs[0] + legs[1] + legs[2];
  const double excess = legs.at(highest) - (sum - legs.at(highest)) / 2;
  const double pair_mean = 2 * sum / 3;
  double deviation = 0;
  for (const double v : e.values) deviation = std::max(deviation, std::abs(v - pair_mean));
  e.unbalance = Percent{100 * deviation / pair_mean};
  e.resolution = electrical::Resolution{{Ohm{legs[0]}, Ohm{legs[1]}, Ohm{legs[2]}},
                                        std::nullopt,
                                        *e.unbalance,
                                        Percent{100 * (legs.at(highest) - sum / 3) / (sum / 3)},
                                        kPhases.at(highest),
                                        Ohm{excess},
                                        electrical::PointsTo::lead,
                                        layout("two pairs high: the lead they share"),
                                        Percent{0.16},
                                        Ohm{0.0005},
                                        0.97};
  e.excess_w = Watt{excess * 38 * 38};
  e.excess_at_a = Ampere{38};
  return e;
}

ElectricalResult currents() {
  ElectricalResult e;
  e.test = Test::line_current;
  e.taken_at = Moment::parse("2026-03-04");
  e.values = {38.2, 37.6, 37.9};
  e.unbalance = Percent{0.79};
  e.farthest = 1;
  return e;
}

ElectricalResult voltages() {
  ElectricalResult e;
  e.test = Test::line_voltage;
  e.taken_at = Moment::parse("2026-03-04");
  e.values = {400, 395, 388};
  e.unbalance = Percent{1.606086};
  e.negative_sequence = Percent{1.763135};
  e.derating = 0.97;
  e.farthest = 3;
  return e;
}

Finding finding_of(const Assessment& a, std::size_t image_index, std::size_t lug_index,
                   std::size_t band, Verdict verdict) {
  const ImageResult& image = a.images[image_index];
  const LugResult& l = image.lugs[lug_index];
  Finding f;
  f.motor = image.motor;
  f.component = image.component;
  f.image = image.file;
  f.phase = l.phase;
  f.lug = l.name;
  f.temperature_c = l.temperature_c->value();
  f.temperature_u_c = l.temperature_c->u();
  f.reference_c = l.reference_c;
  f.rise_over_like = l.rise_over_like;
  f.rise_over_air = l.rise_over_air;
  f.relative_difference = 0.74;
  f.grade = {band, l.rise_over_like ? DecidedBy::like : DecidedBy::air};
  f.band_probability = {0.0, 0.0123456, 0.0, 0.0};
  f.band_probability[band] = 0.95;
  if (l.rise_over_like) {
    const double rise = l.rise_over_like->value();
    f.projected_rise = severity::Projection{
        KelvinDifference{rise * 1.9}, KelvinDifference{rise * 1.7}, KelvinDifference{rise * 2.1}};
  }
  f.load_a = 38.2;
  f.load_pct = 69;
  f.verdict = verdict;
  f.action = sentence(a.policy.bands[band].action);
  f.next_step = layout(
      "Lock out, verify dead, then open the joint, clean it and torque it to the maker's value.");
  f.evidence = {{layout("The lug is 46.1 K over the coolest like lug."),
                 layout("rise over like, NETA MTS Table 100.18")},
                {layout("12.4 mΩ at 38 A make 17.9 W; the rise needs 12 to 21 W."),
                 layout("I²R; free convection")}};
  f.cautions = cautions();
  return f;
}

void add_electrical(Finding& f, const ElectricalResult& e) {
  f.electrical_phase = e.resolution->phase;
  f.resistance_unbalance = e.resolution->pair_unbalance;
  f.leg_unbalance = e.resolution->leg_unbalance;
  f.excess_ohm = e.resolution->excess;
  f.excess_w = e.excess_w;
}

void add_motor(Assessment& a, const std::string& id, Verdict verdict,
               std::vector<ElectricalResult> electrical) {
  Motor motor;
  motor.id = id;
  motor.rated_a = Ampere{55};
  a.survey.motors.push_back(motor);
  MotorResult result;
  result.motor = id;
  result.verdict = verdict;
  result.electrical = std::move(electrical);
  a.motors.push_back(result);
}

void set_loads(ComponentResult& component, std::size_t reading) {
  component.reading = reading;
  component.load_a = {Ampere{38.2}, Ampere{37.6}, Ampere{37.9}};
}

void rank(Assessment& a) {
  for (std::size_t i = 0; i < a.findings.size(); ++i) {
    Finding& f = a.findings[i];
    f.rank = static_cast<int>(i + 1);
    f.case_number = f.rank;
    f.case_id = "case " + std::to_string(i + 1);
    f.decision = diagnosis::decision_of(f, a.policy);
  }
}

Assessment empty_survey() {
  Assessment a;
  a.policy = policy();
  a.survey.site = "Bexley Creek grain terminal";
  a.survey.thermographer = "R. Ashdown & \"Co\" <night shift>";
  a.survey.surveyed_on = Moment::parse("2026-03-04");
  a.survey.phase_names = {"A", "B", "C"};
  a.options.as_of = std::chrono::sys_days{std::chrono::year{2026} / 3 / 5};
  return a;
}

// For a POSIX shell: everything inside single quotes is literal.
std::string quoted(const std::string& argument) {
  std::string result = "'";
  for (const char c : argument) result += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return result + "'";
}

void add_bad_images(Assessment& a) {
  ImageResult unmarked;
  unmarked.file = "df-4_disconnect.tiff";
  unmarked.motor = "DF-4";
  unmarked.component = "disconnect";
  unmarked.status = ImageStatus::unmarked;
  a.images.push_back(unmarked);
  ImageResult rejected;
  rejected.file = "be-9 <b>bold</b>.png";
  rejected.motor = "BE-9";
  rejected.component = "box";
  rejected.problems = {"this is a picture of temperatures, not temperatures"};
  a.images.push_back(rejected);
  a.problems = {
      {"readings.csv", 7, "value_2", "the value is not a number: found \"0,5l2\"; expected ohms"},
      {rejected.file, std::nullopt, "", rejected.problems.front()},
      {"motors.csv", 3, "rated_kw", kHostileNote}};
}

}  // namespace

Assessment bexley_creek() {
  Assessment a = empty_survey();
  add_motor(a, "BE-1", Verdict::confirmed,
            {resistance({0.2581, 0.2705, 0.2579}, "motor control centre"), currents(), voltages()});
  add_motor(a, kHostileMotor, Verdict::heat_only,
            {resistance({1.9, 1.901, 1.899}, "starter <load>")});
  add_motor(a, "DF-2", Verdict::reading_only, {resistance({0.0052, 0.0053, 0.0071}, "disconnect")});
  a.motors.back().places_not_imaged = {"disconnect", "terminal box"};
  add_motor(a, "DF-4", Verdict::no_reading, {});

  add_component(
      a, "be-1_box.tiff", "BE-1", "terminal box",
      {{"T1", Phase::one, 41.8}, {"T2", Phase::two, 87.3, 1.1}, {"T3", Phase::three, 41.2}}, 24.0,
      Verdict::confirmed);
  set_loads(a.components.back(), 0);
  add_component(a, "be-1_disconnect.tiff", "BE-1", "disconnect",
                {{"L1", Phase::one, 31.4}, {"L2", Phase::two, 31.2}, {"L3", Phase::three, 31.6}},
                24.0, Verdict::even);
  set_loads(a.components.back(), 0);
  add_component(a, "cv-3_starter.tiff", kHostileMotor, kHostileComponent,
                {{"T1", Phase::one, 36.9},
                 {"T4", Phase::one, 45.2},
                 {"T2", Phase::two, 37.4},
                 {"T5", Phase::two, std::nullopt},
                 {"T3", Phase::three, 36.5},
                 {"<T6>", Phase::three, 40.7}},
                22.5, Verdict::heat_only);
  set_loads(a.components.back(), 0);
  add_component(a, "df-4_lug.tiff", "DF-4", "drive output", {{"U", Phase::one, 33.1}}, 25.0,
                Verdict::no_reading);
  a.components[0].evidence = {
      {layout("heat and resistance name phase B"), layout("two witnesses")}};

  Finding confirmed = finding_of(a, 0, 1, kUrgent, Verdict::confirmed);
  add_electrical(confirmed, a.motors[0].electrical[0]);
  confirmed.flags = {Flag::too_small, Flag::wind};
  Finding heat = finding_of(a, 2, 1, kPlan, Verdict::heat_only);
  add_electrical(heat, a.motors[1].electrical[0]);
  heat.next_step = layout(kHostileNote);
  Finding second = finding_of(a, 2, 5, kPlan, Verdict::heat_only);
  Finding reading;
  reading.motor = "DF-2";
  reading.grade = {kUrgent, DecidedBy::reading};
  reading.verdict = Verdict::reading_only;
  reading.action = sentence(a.policy.bands[kUrgent].action);
  reading.next_step = layout("Image the disconnect and the terminal box under load.");
  reading.evidence = {
      {layout("The pairs are out of balance by 10.5 %."), layout("NEMA MG 1 definition")}};
  add_electrical(reading, a.motors[2].electrical[0]);
  Finding lone = finding_of(a, 3, 0, kWatch, Verdict::no_reading);
  lone.projected_rise.reset();
  lone.flags = {Flag::low_load, Flag::assumed_air};
  a.findings = {confirmed, reading, heat, second, lone};
  rank(a);
  add_bad_images(a);
  return a;
}

Assessment beside_the_list() {
  Assessment a = bexley_creek();
  Finding open;
  open.motor = "DF-4";
  open.component = "terminal box";
  open.phase = Phase::three;
  open.grade = {kUrgent, DecidedBy::reading};
  open.verdict = Verdict::open_phase;
  open.action = layout("Stop the motor now: it is running on two phases.");
  open.expected_loss = 12500.4;
  a.findings.insert(a.findings.begin(), open);
  rank(a);
  a.survey.motors.back().currency = "USD";

  add_component(a, "be-1_isolator.tiff", "BE-1", "isolator",
                {{"L1", Phase::one, 40.9}, {"L2", Phase::two, 41.2}, {"L3", Phase::three, 41.4}},
                24.0, Verdict::even);
  Aside warm;
  warm.motor = "BE-1";
  warm.component = "isolator";
  warm.image = "be-1_isolator.tiff";
  warm.phase = Phase::three;
  warm.lug = "L3";
  warm.temperature_c = 41.4;
  warm.rise_over_like = estimate(0.5, 0.3);
  warm.rise_over_air = estimate(17.4, 1.2);
  warm.grade = {kPlan, DecidedBy::air};
  warm.load_a = 38.2;
  warm.load_pct = 69;
  warm.why = layout("the lugs are warm <alike>: 17.4 K over the air");
  warm.next_step = layout("Check the ventilation.");
  a.warm_even = {warm};

  add_component(a, "df-4_box.tiff", "DF-4", "terminal box",
                {{"U", Phase::one, 25.1}, {"V", Phase::two, 25.3}, {"W", Phase::three, 25.2}}, 24.9,
                Verdict::not_judged);
  Aside dark;
  dark.motor = "DF-4";
  dark.component = "terminal box";
  dark.image = "df-4_box.tiff";
  dark.verdict = Verdict::not_judged;
  dark.load_a = 6.6;
  dark.load_pct = 12;
  dark.image_again_from_a = 22.5;
  dark.why = layout("at 12 % of rated a fault would not show");
  dark.next_step = layout("Take the image again at 22.5 A or more.");
  a.not_judged = {dark};
  return a;
}

Assessment many_findings(std::size_t count) {
  Assessment a = empty_survey();
  for (std::size_t i = 0; i < count; ++i) {
    const std::string id = "M-" + std::to_string(i);
    add_motor(a, id, Verdict::confirmed, {resistance({0.2581, 0.2705, 0.2579}, "starter")});
    add_component(a, id + ".tiff", id, "terminal box",
                  {{"T1", Phase::one, 41.8}, {"T2", Phase::two, 87.3}, {"T3", Phase::three, 41.2}},
                  24.0, Verdict::confirmed);
    set_loads(a.components.back(), 0);
    a.findings.push_back(finding_of(a, i, 1, kUrgent, Verdict::confirmed));
  }
  rank(a);
  return a;
}

Assessment one_component(const std::vector<LugAt>& lugs, std::optional<double> air_c,
                         std::optional<PerPhase<double>> legs_ohm) {
  Assessment a = empty_survey();
  add_motor(a, "BE-1", Verdict::even, {});
  if (legs_ohm) a.motors[0].electrical.push_back(resistance(*legs_ohm, "starter"));
  add_component(a, "be-1_box.tiff", "BE-1", "terminal box", lugs, air_c, Verdict::even);
  if (legs_ohm) a.components[0].reading = 0;
  return a;
}

namespace {

/// These motors of an assessment with what belongs to them.
Assessment some_motors(const Assessment& a, std::size_t first, std::size_t count) {
  Assessment some;
  some.policy = a.policy;
  some.options = a.options;
  some.survey.site = a.survey.site;
  some.survey.thermographer = a.survey.thermographer;
  some.survey.surveyed_on = a.survey.surveyed_on;
  some.survey.phase_names = a.survey.phase_names;
  std::vector<std::string> ids;
  for (std::size_t i = first; i < std::min(a.motors.size(), first + count); ++i) {
    ids.push_back(a.motors[i].motor);
    some.motors.push_back(a.motors[i]);
  }
  const auto is_one = [&ids](const std::string& id) {
    return std::find(ids.begin(), ids.end(), id) != ids.end();
  };
  for (const Motor& motor : a.survey.motors) {
    if (is_one(motor.id)) some.survey.motors.push_back(motor);
  }
  std::map<std::size_t, std::size_t> place;
  for (std::size_t i = 0; i < a.images.size(); ++i) {
    if (!is_one(a.images[i].motor)) continue;
    place[i] = some.images.size();
    some.images.push_back(a.images[i]);
  }
  for (auto component : a.components) {
    if (!is_one(component.motor)) continue;
    for (std::size_t& image : component.images) image = place.at(image);
    some.components.push_back(component);
  }
  for (const auto& finding : a.findings) {
    if (is_one(finding.motor)) some.findings.push_back(finding);
  }
  for (const auto& aside : a.warm_even) {
    if (is_one(aside.motor)) some.warm_even.push_back(aside);
  }
  for (const auto& aside : a.not_judged) {
    if (is_one(aside.motor)) some.not_judged.push_back(aside);
  }
  return some;
}

}  // namespace

report::Pieces pieces_of(const Assessment& a) {
  report::Pieces pieces;
  pieces.findings = a.findings.size();
  pieces.findings_page = [&a](std::size_t first, std::size_t count) -> Result<Assessment> {
    Assessment page = a;
    const auto end = std::min(a.findings.size(), first + count);
    page.findings.assign(a.findings.begin() + static_cast<std::ptrdiff_t>(first),
                         a.findings.begin() + static_cast<std::ptrdiff_t>(end));
    return page;
  };
  pieces.motor_count = a.motors.size();
  pieces.motors = [&a](std::size_t first, std::size_t count) -> Result<Assessment> {
    return some_motors(a, first, count);
  };
  pieces.problems = a.problems;
  return pieces;
}

report::OpenImage synthetic_images() {
  return [](const ImageEntry&) -> Result<imaging::ThermalImage> {
    cv::Mat pixels(240, 320, CV_32F);
    for (int y = 0; y < pixels.rows; ++y) {
      for (int x = 0; x < pixels.cols; ++x) {
        double t = 26 + 0.015 * x + 0.01 * y + 0.25 * std::sin(x * 1.7 + y * 2.3);
        for (const double lug_x : {80.0, 160.0, 240.0}) {
          const double r2 = (x - lug_x) * (x - lug_x) + (y - 124.0) * (y - 124.0);
          t += (lug_x > 159 && lug_x < 161 ? 58 : 14) * std::exp(-r2 / 360);
        }
        pixels.at<float>(y, x) = static_cast<float>(t);
      }
    }
    imaging::StoredImage stored{pixels, "tiff", "float32", 1, std::nullopt};
    return imaging::ThermalImage(stored, Declaration{});
  };
}

std::string write_output(const std::string& name, const std::string& text) {
  const std::filesystem::path folder(OHMGLOW_TEST_OUTPUT);
  std::filesystem::create_directories(folder);
  const auto path = folder / name;
  std::ofstream(path, std::ios::binary) << text;
  return path.string();
}

std::string python(const std::string& script, const std::vector<std::string>& arguments) {
  std::string command =
      std::string(OHMGLOW_PYTHON) + " " + OHMGLOW_SOURCE_DIR + "/tests/report/" + script;
  for (const std::string& argument : arguments) command += " " + quoted(argument);
  command += " 2>&1";
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) return "python could not be started";
  std::string output;
  std::array<char, 4096> buffer{};
  while (const std::size_t n = fread(buffer.data(), 1, buffer.size(), pipe))
    output.append(buffer.data(), n);
  const int status = pclose(pipe);
  if (output.empty() && (!WIFEXITED(status) || WEXITSTATUS(status) != 0)) output = "python failed";
  return output;
}

}  // namespace ohmglow::report_test
