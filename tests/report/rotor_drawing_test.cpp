// What the pictures of a rotor claim, read back from their shapes: one scale for three pairs and
// for two sweeps, peaks that are readings, a rotor that is off towards the smallest gap.
#include "offered/report/report.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

namespace ohmglow::report {
namespace {

constexpr double kMean_h = 0.02;

rotor::Sweep sweep_of(double swing, const std::string& name) {
  std::vector<SweepReading> rows;
  for (int i = 0; i < 36; ++i) {
    SweepReading row;
    row.motor = "M";
    row.sweep = name;
    row.angle_deg = 10 * i;
    for (std::size_t pair = 0; pair < 3; ++pair) {
      const double angle =
          (4 * row.angle_deg + 120.0 * static_cast<double>(pair)) * std::numbers::pi / 180;
      // A scatter that is the same every time.
      const double scatter = 2e-5 * std::sin(7.0 * i + 3.0 * static_cast<double>(pair));
      row.inductance.at(pair) = Henry{kMean_h * (1 + swing * std::cos(angle) + scatter)};
    }
    rows.push_back(row);
  }
  Motor motor;
  motor.id = "M";
  motor.poles = 4;
  auto sweep = rotor::judge(rows, &motor);
  REQUIRE(sweep.has_value());
  return *sweep;
}

std::vector<const DrawnPath*> paths(const Drawing& drawing, const std::string& css_class) {
  std::vector<const DrawnPath*> found;
  for (const Drawn& item : drawing.items) {
    const auto* path = std::get_if<DrawnPath>(&item);
    if (path == nullptr) continue;
    for (const auto& [name, value] : path->attributes) {
      if (name == "class" && value == css_class) found.push_back(path);
    }
  }
  return found;
}

/// Drawn height of a deviation of 1 %, from two readings of a curve.
double height_of_a_percent(const rotor::Sweep& sweep, const DrawnPath& curve, std::size_t pair) {
  const double first = sweep.readings[0].inductance.at(pair).value();
  const double other = sweep.readings[4].inductance.at(pair).value();
  return (curve.steps[4].b - curve.steps[0].b) / ((other - first) / kMean_h * 100);
}

}  // namespace

TEST_CASE("the three pairs of two sweeps are drawn on one scale, every reading in its place") {
  const std::vector<rotor::Sweep> sweeps{sweep_of(0.004, "before"), sweep_of(0.001, "after")};
  const SweepReach reach = reach_of(sweeps, "M");
  std::optional<double> scale;
  for (const rotor::Sweep& sweep : sweeps) {
    const Drawing drawing = sweep_drawing(sweep, Survey{}, reach);
    const auto curves = paths(drawing, "sweep-pair");
    REQUIRE(curves.size() == 3);
    for (std::size_t pair = 0; pair < 3; ++pair) {
      const DrawnPath& curve = *curves[pair];
      REQUIRE(curve.steps.size() == sweep.readings.size());
      const double percent = height_of_a_percent(sweep, curve, pair);
      if (!scale) scale = percent;
      CHECK(percent == Approx(*scale).epsilon(1e-6));
      CHECK(percent < 0);  // more is higher
      for (const PathStep& step : curve.steps) {
        CHECK(step.a >= 0);
        CHECK(step.a <= drawing.width);
        CHECK(step.b >= 0);
        CHECK(step.b <= drawing.height);
      }
    }
    const auto peaks = paths(drawing, "peaks");
    REQUIRE(peaks.size() == 3);
    for (std::size_t pair = 0; pair < 3; ++pair) {
      REQUIRE(peaks[pair]->steps.size() == 4);
      for (const PathStep& peak : peaks[pair]->steps) {
        const bool is_reading = std::any_of(
            curves[pair]->steps.begin(), curves[pair]->steps.end(), [&](const PathStep& step) {
              return std::fabs(step.a - peak.a) < 1e-9 && std::fabs(step.b - peak.b) < 1e-9;
            });
        CHECK(is_reading);
      }
    }
    CHECK(drawing.description.find("pair") != std::string::npos);
  }
}

TEST_CASE("the drawn rotor is off towards the smallest gap, and each gap has its number") {
  std::vector<AirGapReading> rows;
  const std::vector<double> gaps{1.50, 1.62, 1.70, 1.58};
  for (std::size_t i = 0; i < gaps.size(); ++i) {
    AirGapReading row;
    row.motor = "M";
    row.end = MotorEnd::drive;
    row.position_deg = 90.0 * static_cast<double>(i);
    row.gap = Millimetre{gaps[i]};
    rows.push_back(row);
  }
  const auto ends = rotor::air_gaps(rows, 2);
  REQUIRE(ends.size() == 1);
  const Drawing drawing = air_gap_drawing(ends.front());
  std::vector<const DrawnCircle*> circles;
  std::vector<std::string> words;
  for (const Drawn& item : drawing.items) {
    if (const auto* circle = std::get_if<DrawnCircle>(&item)) circles.push_back(circle);
    if (const auto* text = std::get_if<DrawnText>(&item)) words.push_back(text->words);
  }
  for (const char* gap : {"1.50", "1.62", "1.70", "1.58"}) {
    CHECK(std::find(words.begin(), words.end(), gap) != words.end());
  }
  const double centre = circles.front()->x;
  const auto rotor = std::find_if(circles.begin(), circles.end(), [&](const DrawnCircle* circle) {
    return circle->radius > 20 && std::fabs(circle->x - centre) > 1e-9;
  });
  REQUIRE(rotor != circles.end());
  // The smallest gap is at 348.69°, clockwise from the top: up and a little to the left.
  const double x = (*rotor)->x - centre;
  const double y = (*rotor)->y - circles.front()->y;
  const double at = std::atan2(x, -y) * 180 / std::numbers::pi;
  CHECK(at == Approx(348.69 - 360).epsilon(1e-3));
}

}  // namespace ohmglow::report
