#pragma once
// Surveys built by hand, a few lines each.

#include "judged.h"
#include "ohmglow/diagnosis.h"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

namespace ohmglow::test {

using diagnosis::Assessment;
using diagnosis::ComponentResult;
using diagnosis::Finding;
using diagnosis::ImageResult;
using diagnosis::LugResult;
using diagnosis::Verdict;
using radiometry::Contribution;
using radiometry::Estimate;
using radiometry::Input;
using radiometry::InputKind;

// Sums of a few doubles of the size of a temperature.
inline constexpr double kRounding = 1e-9;

// The limits of ANSI/NETA Table 100.18 with the gap rule of the project, and the pair unbalance.
// Sound lugs do not scatter here, so that a rule shows at its very limit; warmth over air alone
// counts from the row that the shipped policy names.
inline severity::Policy neta() {
  using severity::Limit;
  const auto from = [](double x) { return Limit{x, true}; };
  const auto above = [](double x) { return Limit{x, false}; };
  severity::Policy policy;
  policy.id = "neta";
  policy.source = "table";
  policy.bands = {
      {"watch", "Watch", from(1), from(1), above(1), "look again", "row 1"},
      {"plan", "Plan", above(3), above(10), above(5), "repair at the next stop", "row 2"},
      {"monitor", "Monitor", std::nullopt, above(20), std::nullopt, "repair soon", "row 3"},
      {"urgent", "Urgent", above(15), above(40), from(10), "repair now", "row 4"}};
  policy.sound_scatter = {0, 0, "none"};
  policy.air_alone_from = 2;
  policy.air_alone_action = "look at load and ventilation";
  return policy;
}

// The same with sound lugs that scatter by a tenth of the rise over air, 0.3 K at least: numbers of
// the tests' own, whatever the shipped policies hold.
inline severity::Policy scattering_neta() {
  severity::Policy policy = neta();
  policy.sound_scatter = {0.1, 0.3, "a tenth"};
  return policy;
}

inline Moment on(const std::string& text) {
  return *Moment::parse(text);
}

inline Estimate exact(double value) {
  return Estimate{value};
}

// An image of a component with lugs T1, T2, … on phases 1, 2, 3.
struct Picture {
  ImageResult image;

  Picture(std::string file, std::string motor, std::string component,
          const std::vector<double>& temperatures_c, double air_c = 20) {
    image.file = std::move(file);
    image.motor = std::move(motor);
    image.component = std::move(component);
    image.status = diagnosis::ImageStatus::measured;
    image.used.emplace();
    image.used->air_c = exact(air_c);
    for (std::size_t i = 0; i < temperatures_c.size(); ++i) lug(i, temperatures_c[i]);
  }
  Picture& lug(std::size_t phase_index, double temperature_c) {
    LugResult result;
    result.name = "T" + std::to_string(phase_index + 1);
    result.phase = kPhases.at(phase_index);
    result.temperature_c = exact(temperature_c);
    image.lugs.push_back(std::move(result));
    return *this;
  }
  Picture& taken(const std::string& when) {
    image.taken_at = on(when);
    return *this;
  }
  Picture& load(double a1, double a2, double a3) {
    image.load_a = {Ampere{a1}, Ampere{a2}, Ampere{a3}};
    return *this;
  }
  Picture& load(double a) { return load(a, a, a); }
};

struct Case {
  Survey survey;
  std::vector<ImageResult> images;
  severity::Policy policy = neta();
  diagnosis::Options options{diagnosis::Reference::coolest, 365,
                             std::chrono::sys_days{std::chrono::year{2026} / 3 / 4}};

  Motor& motor(const std::string& id) {
    Motor motor;
    motor.id = id;
    survey.motors.push_back(motor);
    return survey.motors.back();
  }
  // One of 100 A, as the surveys that hold heat against ohms need it.
  Motor& rated_motor(const std::string& id) {
    Motor& its = motor(id);
    its.rated_a = Ampere{100};
    its.connection = Connection::wye;
    return its;
  }
  Case& see(const Picture& picture) {
    ImageEntry entry;
    entry.file = picture.image.file;
    entry.motor = picture.image.motor;
    entry.component = picture.image.component;
    entry.row = static_cast<long>(survey.images.size()) + 2;
    survey.images.push_back(entry);
    images.push_back(picture.image);
    return *this;
  }
  Reading& read(const std::string& motor, Test test, std::array<double, 3> values,
                const std::string& place = "", const std::string& when = "") {
    Reading reading;
    reading.motor = motor;
    reading.test = test;
    reading.values = values;
    reading.place = place;
    if (!when.empty()) reading.taken_at = on(when);
    reading.row = static_cast<long>(survey.readings.size()) + 2;
    survey.readings.push_back(reading);
    return survey.readings.back();
  }
  Reading& ohms(const std::string& motor, std::array<double, 3> values,
                const std::string& place = "", const std::string& when = "") {
    return read(motor, Test::winding_resistance, values, place, when);
  }
  // By a meter without any error, for limits that must show at their very value.
  Reading& exact_ohms(const std::string& motor, std::array<double, 3> values,
                      const std::string& place = "", const std::string& when = "") {
    Reading& reading = ohms(motor, values, place, when);
    reading.meter_u_pct = 0;
    reading.resolution = 0;
    return reading;
  }
  CircuitStop& stop(const std::string& motor, const std::string& place) {
    CircuitStop stop;
    stop.motor = motor;
    stop.place = place;
    stop.order = static_cast<double>(survey.circuit.size()) + 1;
    survey.circuit.push_back(stop);
    return survey.circuit.back();
  }
  [[nodiscard]] Assessment judge() const { return judged(survey, images, policy, options); }
};

// Pairs of a wye with an excess in one leg. Pair unbalance 100·x/(1.5·pair + x) %.
inline std::array<double, 3> pairs_with(Phase phase, double excess_ohm, double pair_ohm = 1) {
  std::array<double, 3> pairs{pair_ohm, pair_ohm, pair_ohm};
  const std::size_t i = index_of(phase);
  pairs.at(i) += excess_ohm;
  pairs.at((i + 2) % 3) += excess_ohm;
  return pairs;
}

// Pairs of a motor of 12.5 mΩ a leg with a bad joint of 0.5 mΩ in one: 1.316 % of the pairs. At
// 90 A that makes 4.05 W; a lug of a motor of 100 A takes 0.77 to 7.59 W to stand 20 K over its
// likes of 42 °C in air of 20 °C, and a lone one 0.48 to 4.78 W to stand 15 K over the air
// (Churchill and Chu, radiation and fins, written in Python): heat and ohms are of one size.
inline constexpr double kLargeMotor_ohm = 0.025;
inline std::array<double, 3> bad_joint(Phase phase) {
  return pairs_with(phase, 0.0005, kLargeMotor_ohm);
}

inline const LugResult& lug(const Assessment& a, std::size_t image, std::size_t index) {
  return a.images.at(image).lugs.at(index);
}

inline bool says(const std::vector<diagnosis::Evidence>& evidence, const std::string& part) {
  return std::any_of(evidence.begin(), evidence.end(), [&part](const auto& line) {
    return plainly(line.text).find(part) != std::string::npos;
  });
}

// The line that holds a part, or nothing.
inline std::string line_with(const std::vector<diagnosis::Evidence>& evidence,
                             const std::string& part) {
  for (const auto& line : evidence) {
    std::string text = plainly(line.text);
    if (text.find(part) != std::string::npos) return text;
  }
  return {};
}

inline bool complains(const Assessment& a, const std::string& file, const std::string& part) {
  return std::any_of(a.problems.begin(), a.problems.end(), [&](const Problem& problem) {
    return problem.file == file && problem.message.find(part) != std::string::npos;
  });
}

}  // namespace ohmglow::test
