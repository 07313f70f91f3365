// Limits that standards give a motor on the bench, and what brings readings to one temperature.
// Flags: V read in the standard, V2 read in a text that restates it, M from memory, C computed.
#include "ohmglow/acceptance.h"

#include "offered/intake/acceptance_limits.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <numbers>

namespace ohmglow::acceptance {
namespace {

Limits shipped() {
  const auto text = records::find_limits("");
  REQUIRE(text.has_value());
  const auto limits = records::parse_limits(*text);
  REQUIRE(limits.has_value());
  return *limits;
}

diagnosis::Assessment with_motor(const Motor& motor) {
  diagnosis::Assessment survey;
  survey.survey.motors = {motor};
  survey.survey.motors.front().id = "M1";
  return survey;
}

ShopTest test_of(ShopTestKind kind, double one, std::optional<double> two = {}) {
  ShopTest test;
  test.motor = "M1";
  test.kind = kind;
  test.values = {one, two, std::nullopt};
  test.temperature_c = Celsius{40};
  return test;
}

Item judged(const diagnosis::Assessment& survey, Check check) {
  const auto acceptance = accept(survey, shipped(), {"M1", Stage::bought, {}});
  REQUIRE(acceptance.has_value());
  const auto found = std::find_if(acceptance->items.begin(), acceptance->items.end(),
                                  [check](const Item& item) { return item.check == check; });
  REQUIRE(found != acceptance->items.end());
  return *found;
}

Item judged(const Motor& motor, const ShopTest& test, Check check) {
  diagnosis::Assessment survey = with_motor(motor);
  survey.survey.shop_tests = {test};
  return judged(survey, check);
}

}  // namespace

TEST_CASE("insulation resistance is brought to 40 °C by IEEE 43's factors") {
  // Thermoplastic and older: halved every 10 K (M). Thermosetting: exponents -4230 and -1245 K of
  // IEEE 43-2013 (M), their values computed (C).
  CHECK(to_40_c(Insulation::thermoplastic, 20) == Approx(0.25));
  CHECK(to_40_c(Insulation::thermoplastic, 30) == Approx(0.5));
  CHECK(to_40_c(Insulation::thermoplastic, 50) == Approx(2.0));
  CHECK(to_40_c(Insulation::thermosetting, 20).value() == Approx(0.762).margin(0.0005));
  CHECK(to_40_c(Insulation::thermosetting, 60).value() == Approx(2.25).margin(0.005));
  CHECK_FALSE(to_40_c(Insulation::thermosetting, 5).has_value());
  // Not known: what leaves less.
  CHECK(to_40_c(Insulation::unknown, 20) == Approx(0.25));
  CHECK(to_40_c(Insulation::unknown, 60).value() == Approx(2.25).margin(0.005));
}

TEST_CASE("IEEE 43 wants kV + 1, 5 or 100 MΩ of a winding at 40 °C") {
  // IEEE 43 table 3, restated (V2): before 1970 480 V 1.48 MΩ, 4160 V 5.16 MΩ; form-wound after it
  // 100 MΩ; random-wound, and form-wound under 1 kV, 5 MΩ.
  const auto limit = [](double volt, int built, CoilKind coils) {
    Motor motor;
    motor.rated_v = Volt{volt};
    motor.built = built;
    motor.winding.coils = coils;
    const ShopTest good = test_of(ShopTestKind::insulation_resistance, 1e9);
    return judged(motor, good, Check::insulation_resistance).limit.value();
  };
  CHECK(limit(480, 1965, CoilKind::unknown) == Approx(1.48));
  CHECK(limit(4160, 1965, CoilKind::form) == Approx(5.16));
  CHECK(limit(4160, 1994, CoilKind::form) == Approx(100));
  CHECK(limit(480, 1994, CoilKind::form) == Approx(5));
  CHECK(limit(480, 1994, CoilKind::random) == Approx(5));
}

TEST_CASE("a polarization index of 1.99 fails, 2.00 passes, and above 5 GΩ none means anything") {
  // IEEE 43 table 2, restated (V2): 2.0 for classes B, F and H, 1.5 for class A; not meaningful
  // above 5 GΩ.
  Motor motor;
  motor.insulation_class = "F";
  const auto result = [&motor](double one, double ten) {
    return judged(motor, test_of(ShopTestKind::insulation_resistance, one, ten),
                  Check::polarization_index)
        .result;
  };
  CHECK(result(100e6, 199e6) == Conformity::fail);
  CHECK(result(100e6, 200e6) == Conformity::pass);
  CHECK(result(6000e6, 6001e6) == Conformity::not_done);
  motor.insulation_class = "A";
  CHECK(result(100e6, 150e6) == Conformity::pass);
  CHECK(result(100e6, 149e6) == Conformity::fail);
}

TEST_CASE("AR100 allows 0.15 in/s without load above 1200 rpm, below it 0.0025 in") {
  // ANSI/EASA AR100-2015, 4.5.6 (V); as velocity v = π f d (C): 900 rpm 0.1178, 720 0.0942, 600
  // 0.0785 in/s; rigid × 0.8: 0.12 in/s; 0.15 in/s is 2.7 mm/s r.m.s.
  const auto limit_in_s = [](double rpm, Mounting mounting) {
    Motor motor;
    motor.rated_rpm = rpm;
    motor.mounting = mounting;
    const Item item = judged(motor, test_of(ShopTestKind::vibration, 0.1), Check::vibration);
    return item.limit.value() * std::numbers::sqrt2 / 25.4;
  };
  CHECK(limit_in_s(3570, Mounting::resilient) == Approx(0.15));
  CHECK(limit_in_s(3570, Mounting::rigid) == Approx(0.12));
  CHECK(limit_in_s(900, Mounting::resilient) == Approx(0.1178).margin(0.00005));
  CHECK(limit_in_s(720, Mounting::resilient) == Approx(0.0942).margin(0.00005));
  CHECK(limit_in_s(600, Mounting::resilient) == Approx(0.0785).margin(0.00005));
  CHECK(limit_in_s(600, Mounting::rigid) == Approx(0.8 * 0.0785).margin(0.00005));
  // 1200 rpm: the displacement would allow 0.1571 in/s, the velocity 0.15.
  CHECK(limit_in_s(1200, Mounting::resilient) == Approx(0.15));
  CHECK(0.15 * 25.4 / std::numbers::sqrt2 == Approx(2.7).margin(0.01));
}

TEST_CASE("AR100's shaft runouts, by diameter") {
  // ANSI/EASA AR100-2015 table 2-4, IEC frames, mm (V); table 2-3, NEMA frames (M).
  const auto limit = [](FrameStandard frame, double shaft_mm) {
    Motor motor;
    motor.frame_standard = frame;
    motor.shaft_mm = Millimetre{shaft_mm};
    return judged(motor, test_of(ShopTestKind::runout, 0.01), Check::runout).limit.value();
  };
  const std::pair<double, double> iec[] = {{10, 0.030},  {18, 0.035},  {30, 0.040},  {50, 0.050},
                                           {80, 0.060},  {120, 0.070}, {180, 0.080}, {250, 0.090},
                                           {315, 0.100}, {400, 0.110}, {500, 0.125}, {630, 0.140}};
  for (const auto& [to, runout] : iec) {
    CAPTURE(to);
    CHECK(limit(FrameStandard::iec, to) == Approx(runout));
  }
  CHECK(limit(FrameStandard::iec, 80.1) == Approx(0.070));
  CHECK(limit(FrameStandard::nema, 25.4 * 1.625) == Approx(25.4 * 0.002));
  CHECK(limit(FrameStandard::nema, 25.4 * 1.7) == Approx(25.4 * 0.003));
}

TEST_CASE("air gaps pass and fail by 5 % on two poles and 10 % on others") {
  // ANSI/EASA AR100-2020, 2.12 (V); gaps and their deviations computed (C): 6.25 %, 5.88 %, at 10
  // %.
  const auto result = [](int poles, std::initializer_list<double> gaps) {
    Motor motor;
    motor.poles = poles;
    diagnosis::Assessment survey = with_motor(motor);
    double position = 0;
    for (const double gap : gaps) {
      AirGapReading reading;
      reading.motor = "M1";
      reading.end = MotorEnd::drive;
      reading.position_deg = position;
      reading.gap = Millimetre{gap};
      survey.survey.air_gaps.push_back(reading);
      position += 360.0 / static_cast<double>(gaps.size());
    }
    return judged(survey, Check::air_gap).result;
  };
  CHECK(result(2, {1.50, 1.62, 1.70, 1.58}) == Conformity::fail);
  CHECK(result(4, {1.50, 1.62, 1.70, 1.58}) == Conformity::pass);
  CHECK(result(2, {0.80, 0.85, 0.90, 0.85}) == Conformity::fail);
  CHECK(result(4, {1.00, 1.10, 1.00, 0.90}) == Conformity::pass);
  CHECK(result(2, {2.60, 2.72, 2.81, 2.86, 2.80, 2.68, 2.55, 2.50}) == Conformity::fail);
  CHECK(result(6, {2.60, 2.72, 2.81, 2.86, 2.80, 2.68, 2.55, 2.50}) == Conformity::pass);
}

}  // namespace ohmglow::acceptance
