#include "demo/scene.h"

#include <catch2/catch.hpp>
#include <opencv2/core.hpp>

using namespace ohmglow;
using namespace ohmglow::demo;

namespace {

struct Example {
  MotorStory motor;
  Shot shot;
};

/// The 50 mm² motor with a loose lug on phase 2.
Example example() {
  Example e;
  e.motor.conductor_mm2 = 50;
  e.motor.current_a = {72, 72, 72};
  e.motor.faults = {{CircuitPlace::terminal_box, Phase::two, 2.0}};
  e.shot.place = CircuitPlace::terminal_box;
  e.shot.air_c = 24;
  return e;
}

Picture composed(const Example& e) {
  Noise noise(1, 1);
  return compose(e.motor, e.shot, noise);
}

}  // namespace

TEST_CASE("along the cable the lug's extra rise falls by e within one fin length") {
  // Fin equation, exp(-x / L): any heat transfer textbook, e.g. Incropera ch. 3 (from memory).
  const Example e = example();
  const Picture picture = composed(e);
  const Surfaces surfaces = paint(picture, e.shot);
  const Lug& hot = picture.lugs.at(1);
  const int x = cvRound(hot.center.x);
  const auto extra_at = [&](int y) { return surfaces.celsius.at<double>(y, x) - hot.cable_c; };
  const int near = static_cast<int>(hot.center.y + hot.half_side_px) + 3;
  const int far = near + 60;
  REQUIRE(far < picture.size.height);
  CHECK(extra_at(near) > 10);
  CHECK(extra_at(far) / extra_at(near) ==
        Approx(std::exp(-60 / picture.fin_length_px)).epsilon(1e-9));
}

TEST_CASE("a lug is flat but for its crown and a mark lies well inside it") {
  // The truth is the temperature at the middle; optical blur reaches three standard deviations.
  const Example e = example();
  const Picture picture = composed(e);
  const Surfaces surfaces = paint(picture, e.shot);
  const MarkFile marks = mark(picture, e.shot, "route/example.tif");
  REQUIRE(marks.marks.size() == 3);
  const auto& circle = std::get<Circle>(marks.marks[0].shape);
  const Lug& lug = picture.lugs[0];
  CHECK(circle.radius + 3 * 0.8 < lug.half_side_px);
  const double middle = surfaces.celsius.at<double>(cvRound(lug.center.y), cvRound(lug.center.x));
  CHECK(middle == Approx(lug.temperature_c).margin(0.01));
  const double rim = surfaces.celsius.at<double>(
      cvRound(lug.center.y), static_cast<int>(lug.center.x + lug.half_side_px - 0.5));
  CHECK(middle - rim > 0.3 * kCrown_k);
  CHECK(middle - rim <= kCrown_k);
}

TEST_CASE("lugs are as large in the picture as lens and distance make them") {
  // Size of a pixel = IFOV × distance; 24 cm² is 49.0 mm square, 1.36 mrad at 0.8 m is 1.088 mm.
  const Picture picture = composed(example());
  CHECK(2 * picture.lugs[0].half_side_px == Approx(48.99 / 1.088).epsilon(1e-3));
}

TEST_CASE("a swapped lead marking moves the heat to another label") {
  // The marking of phase 1 sits on the circuit's phase 3 and the other way round.
  Example e = example();
  e.motor.faults = {{CircuitPlace::terminal_box, Phase::three, 2.0}};
  e.motor.marked_as = {Phase::three, Phase::two, Phase::one};
  const Picture picture = composed(e);
  CHECK(picture.lugs[0].phase == Phase::one);
  CHECK(picture.lugs[0].temperature_c > picture.lugs[2].temperature_c + 10);
}

TEST_CASE("before the start nothing is warmer than the enclosure") {
  // No current, no heat: warmed = 0.
  const Example e = example();
  const Surfaces cold = paint(composed(e), e.shot, 0);
  double least = 0;
  double most = 0;
  cv::minMaxLoc(cold.celsius, &least, &most);
  CHECK(least >= e.shot.air_c - 0.4 - 1e-9);
  CHECK(most <= e.shot.air_c + 0.4 + 1e-9);
}
