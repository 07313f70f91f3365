// The rules under test are those of the survey folder in docs/survey-folder.md.
#include "offered/intake/survey_tables.h"
#include "survey_folder.h"

#include <numbers>

using namespace ohmglow;
using test::contains;
using test::only_problem;
using test::SurveyFolder;

namespace {

// Products with a unit may be one rounding away.
constexpr double kUnitRounding = 1e-15;

/// Rows of a sweep at equal steps, the row of one angle replaced.
std::string sweep_table(int angles, int replaced = -1, const std::string& instead = {},
                        double step_deg = 0) {
  std::string table = "motor,sweep,angle_deg,value_1,value_2,value_3,unit,current_a\n";
  const double step = step_deg > 0 ? step_deg : 360.0 / angles;
  for (int i = 0; i < angles; ++i) {
    table += i == replaced ? instead : "F1,a," + std::to_string(i * step) + ",20,20.1,20.2,mh,1";
    table += '\n';
  }
  return table;
}

Survey sweeps(const std::string& table) {
  return SurveyFolder("sweeps").with("sweeps.csv", table).survey();
}

Survey gaps(const std::string& columns, const std::string& rows) {
  return SurveyFolder("air_gaps").with("air_gap.csv", columns + "\n" + rows).survey();
}

Survey shop_test(const std::string& columns, const std::string& cells) {
  return SurveyFolder("shop_tests")
      .with("readings.csv", "motor,test," + columns + "\nF1," + cells + "\n")
      .survey();
}

}  // namespace

TEST_CASE("the columns of motors.csv that a rotor and an acceptance need arrive") {
  const Survey survey =
      SurveyFolder("rotor_motor")
          .with("motors.csv",
                "motor,rated_rpm,winding,built,insulation,insulation_class,shaft_mm,"
                "frame_standard,mounting,rotor_bars\n"
                "F1,2975,\"Form, lap\",1998,thermosetting,f,95,IEC,rigid,46\n"
                "F2,,concentric,,,,,,,\n")
          .survey();
  REQUIRE(survey.problems.empty());
  const Motor& m = survey.motors.at(0);
  CHECK(m.rated_rpm == 2975.0);
  CHECK(m.winding == Winding{CoilLayout::lap, CoilKind::form});
  CHECK(m.built == 1998);
  CHECK(m.insulation == Insulation::thermosetting);
  CHECK(m.insulation_class == "F");
  CHECK(m.shaft_mm == Millimetre{95});
  CHECK(m.frame_standard == FrameStandard::iec);
  CHECK(m.mounting == Mounting::rigid);
  CHECK(m.rotor_bars == 46);
  CHECK(survey.motors.at(1).winding == Winding{CoilLayout::concentric, CoilKind::unknown});
}

TEST_CASE("a winding that is both lap and concentric is refused") {
  const Survey survey = SurveyFolder("rotor_winding")
                            .with("motors.csv", "motor,winding\nF1,lap concentric\nF2,wound\n")
                            .survey();
  REQUIRE(survey.problems.size() == 2);
  CHECK(survey.problems[0].column == "winding");
  CHECK(survey.motors.empty());
}

TEST_CASE("every column of sweeps.csv arrives in its own unit") {
  std::string table =
      "motor,taken_at,sweep,angle_deg,value_1,value_2,value_3,unit,frequency_hz,current_a,"
      "gap_share,shaft_return,anisotropy_excluded,note\n";
  for (int i = 0; i < 8; ++i) {
    table += "F1,2026-03-04T10:11,bought," + std::to_string(45 * i) +
             ",20000,20100,20200,UH,1000,0.01,0.9,0.5,yes,by hand\n";
  }
  const Survey survey = sweeps(table);
  REQUIRE(survey.problems.empty());
  REQUIRE(survey.sweeps.size() == 8);
  const SweepReading& row = survey.sweeps[1];
  CHECK(row.motor == "F1");
  CHECK(row.sweep == "bought");
  CHECK(row.angle_deg == 45);
  CHECK(row.inductance[0].value() == Approx(0.02).epsilon(kUnitRounding));
  CHECK(row.inductance[2].value() == Approx(0.0202).epsilon(kUnitRounding));
  CHECK(row.frequency_hz == Hertz{1000});
  CHECK(row.current_a == Ampere{0.01});
  CHECK(row.gap_share == 0.9);
  CHECK(row.shaft_return == 0.5);
  CHECK(row.anisotropy_excluded == true);
  CHECK(row.note == "by hand");
  CHECK(row.row == 3);
  CHECK(row.taken_at->text == "2026-03-04T10:11");
}

TEST_CASE("a sweep without a name is named by its day") {
  std::string table = "motor,taken_at,angle_deg,value_1,value_2,value_3,unit\n";
  for (int i = 0; i < 8; ++i) {
    table +=
        "F1,2026-03-04T10:" + std::to_string(11 + i) + "," + std::to_string(45 * i) + ",1,1,1,h\n";
  }
  const Survey survey = sweeps(table);
  REQUIRE(survey.problems.empty());
  for (const SweepReading& row : survey.sweeps) CHECK(row.sweep == "2026-03-04");
}

TEST_CASE("an angle that is there twice is refused, and a second turn past 360 is not") {
  const Survey twice = sweeps(sweep_table(12, 5, "F1,a,120,21,21,21,mh,1"));
  const Problem problem = only_problem(twice);
  CHECK(problem.file == "sweeps.csv");
  CHECK(problem.row == 7);
  CHECK(problem.column == "angle_deg");
  CHECK(contains(problem.message, "each angle once (it stands in row 6)"));
  CHECK(twice.sweeps.size() == 11);
  const Survey two_turns = sweeps(sweep_table(24, -1, {}, 30));
  CHECK(two_turns.problems.empty());
  CHECK(two_turns.sweeps.size() == 24);
}

TEST_CASE("a row of a sweep in another unit, or in none of inductance, is left out") {
  const Problem mixed = only_problem(sweeps(sweep_table(12, 4, "F1,a,120,20000,20100,20200,uh,1")));
  CHECK(mixed.row == 6);
  CHECK(mixed.column == "unit");
  CHECK(contains(mixed.message, "the sweep mixes units"));
  CHECK(contains(mixed.message, "\"mh\""));
  const Problem wrong = only_problem(sweeps(sweep_table(12, 4, "F1,a,120,20,20.1,20.2,mohm,1")));
  CHECK(wrong.column == "unit");
  CHECK(contains(wrong.message, "one of"));
}

TEST_CASE("a row of a sweep with a pair missing or at no inductance is left out") {
  const Survey missing = sweeps(sweep_table(12, 0, "F1,a,0,20,,20.2,mh,1"));
  const Problem problem = only_problem(missing);
  CHECK(problem.row == 2);
  CHECK(problem.column == "value_2");
  CHECK(missing.sweeps.size() == 11);
  CHECK(only_problem(sweeps(sweep_table(12, 0, "F1,a,0,20,0,20.2,mh,1"))).column == "value_2");
}

TEST_CASE("a current that changes on the way is told once, and its rows are left out") {
  std::string table = sweep_table(24);
  for (const char* angle : {"300.", "315.", "330."}) {
    const auto at = table.find(std::string("F1,a,") + angle);
    table.replace(table.find(",1\n", at), 3, ",2\n");
  }
  const Survey survey = sweeps(table);
  const Problem problem = only_problem(survey);
  CHECK(problem.column == "current_a");
  CHECK(problem.row == 22);
  CHECK(contains(problem.message, "in 3 rows"));
  CHECK(contains(problem.message, "one current"));
  CHECK(survey.sweeps.size() == 21);
}

TEST_CASE("a sweep of fewer than eight angles is left out whole") {
  const Survey survey = sweeps(sweep_table(7));
  const Problem problem = only_problem(survey);
  CHECK(problem.row == 2);
  CHECK(contains(problem.message, "too few angles"));
  CHECK(contains(problem.message, "8 or more"));
  CHECK(survey.sweeps.empty());
}

TEST_CASE("a sweep over half a turn, or in radians, is left out whole") {
  const Survey half = sweeps(sweep_table(12, -1, {}, 16));
  CHECK(contains(only_problem(half).message, "leaves out a part of the turn"));
  CHECK(half.sweeps.empty());
  const Survey radians = sweeps(sweep_table(12, -1, {}, 0.5236));
  CHECK(contains(only_problem(radians).message, "in degrees"));
}

TEST_CASE("rows of one sweep that disagree on the machine are told") {
  std::string table = "motor,sweep,angle_deg,value_1,value_2,value_3,unit,gap_share\n";
  for (int i = 0; i < 12; ++i) {
    table += "F1,a," + std::to_string(30 * i) + ",1,1,1,h," + (i == 3 ? "0.5" : "0.9") + "\n";
  }
  const Problem problem = only_problem(sweeps(table));
  CHECK(problem.row == 5);
  CHECK(problem.column == "gap_share");
}

TEST_CASE("every column of air_gap.csv arrives in millimetre") {
  const Survey survey = gaps("motor,taken_at,end,rotor_deg,position_deg,gap,unit,resolution",
                             "F1,2026-03-04,Drive,90,270,63,mil,0.5\n"
                             "F1,2026-03-04,opposite,,0,0.063,in,\n");
  REQUIRE(survey.problems.empty());
  REQUIRE(survey.air_gaps.size() == 2);
  const AirGapReading& gap = survey.air_gaps[0];
  CHECK(gap.end == MotorEnd::drive);
  CHECK(gap.rotor_deg == 90);
  CHECK(gap.position_deg == 270);
  CHECK(gap.gap->value() == Approx(1.6002).epsilon(kUnitRounding));
  CHECK(gap.resolution->value() == Approx(0.0127).epsilon(kUnitRounding));
  CHECK(gap.row == 2);
  CHECK(survey.air_gaps[1].rotor_deg == 0);
  CHECK(survey.air_gaps[1].gap->value() == Approx(1.6002).epsilon(kUnitRounding));
  CHECK_FALSE(survey.air_gaps[1].resolution.has_value());
}

TEST_CASE("a gap that cannot be used leaves word that its end was not taken whole") {
  for (const char* bad : {"0", "-1.5", "wide", ""}) {
    const Survey survey = gaps("motor,end,position_deg,gap,unit",
                               std::string("F1,drive,0,1.5,mm\nF1,drive,90,") + bad + ",mm\n");
    INFO(bad);
    const Problem problem = only_problem(survey);
    CHECK(problem.file == "air_gap.csv");
    CHECK(problem.row == 3);
    CHECK(problem.column == "gap");
    CHECK(contains(problem.message, "above 0"));
    REQUIRE(survey.air_gaps.size() == 2);
    CHECK(survey.air_gaps[1].end == MotorEnd::drive);
    CHECK_FALSE(survey.air_gaps[1].gap.has_value());
  }
}

TEST_CASE("a place twice and a change of unit within an end are refused") {
  const Survey twice =
      gaps("motor,end,position_deg,gap,unit", "F1,drive,0,1.5,mm\nF1,drive,0,1.6,mm\n");
  CHECK(contains(only_problem(twice).message, "already"));
  const Survey mixed =
      gaps("motor,end,position_deg,gap,unit", "F1,drive,0,1.5,mm\nF1,drive,90,60,mil\n");
  CHECK(contains(only_problem(mixed).message, "mixes units"));
  const Survey unit = gaps("motor,end,position_deg,gap,unit", "F1,drive,0,1.5,cm\n");
  CHECK(contains(only_problem(unit).message, "does not fit an air gap"));
}

TEST_CASE("each test on the bench arrives in its own unit") {
  const Survey survey =
      SurveyFolder("all_shop_tests")
          .with("readings.csv",
                "motor,test,place,value_1,value_2,value_3,unit,value_u,temperature_c,test_v\n"
                "F1,insulation_resistance,winding,0.9,2.1,,gigaohm,0.05,23,2500\n"
                "F1,vibration,drive end,0.15,0.1,,in_s_peak,0.01,,\n"
                "F1,runout,shaft,2,,,mil,,,\n"
                "F1,impedance,leads,1.1,1.2,1.3,ohm,,,\n"
                "F1,winding_resistance,leads,10,10,10,mohm,0.01,,\n")
          .survey();
  REQUIRE(survey.problems.empty());
  REQUIRE(survey.shop_tests.size() == 4);
  REQUIRE(survey.readings.size() == 1);
  const ShopTest& insulation = survey.shop_tests[0];
  CHECK(insulation.kind == ShopTestKind::insulation_resistance);
  CHECK(insulation.unit == "ohm");
  CHECK(insulation.values[0] == 0.9e9);
  CHECK(insulation.values[1] == 2.1e9);
  CHECK_FALSE(insulation.values[2].has_value());
  CHECK(insulation.value_u == 0.05e9);
  CHECK(insulation.temperature_c == Celsius{23});
  CHECK(insulation.test_v == Volt{2500});
  CHECK(insulation.row == 2);
  const ShopTest& vibration = survey.shop_tests[1];
  CHECK(vibration.unit == "mm_s_rms");
  // A sine of 0.15 in/s peak: 3.81 mm/s divided by the square root of two.
  CHECK(*vibration.values[0] == Approx(3.81 / std::numbers::sqrt2).epsilon(kUnitRounding));
  CHECK(vibration.unit_as_written == "in_s_peak");
  CHECK(survey.shop_tests[2].unit == "mm");
  CHECK(*survey.shop_tests[2].values[0] == Approx(0.0508).epsilon(kUnitRounding));
  CHECK(survey.shop_tests[3].values[2] == 1.3);
  // 0.01 of 10 mohm.
  CHECK(*survey.readings[0].meter_u_pct == Approx(0.1).epsilon(kUnitRounding));
}

TEST_CASE("a test on the bench keeps to its values and units") {
  const std::string three = "value_1,value_2,value_3,unit";
  const Survey runout = shop_test(three, "runout,0.02,0.03,,mm");
  CHECK(only_problem(runout).column == "value_2");
  CHECK(contains(only_problem(runout).message, "an empty cell"));
  CHECK(only_problem(shop_test(three, "insulation_resistance,,5,,megaohm")).column == "value_1");
  CHECK(only_problem(shop_test(three, "insulation_resistance,0,,,megaohm")).column == "value_1");
  CHECK(only_problem(shop_test(three, "insulation_resistance,5,,,mohm")).column == "unit");
  CHECK(only_problem(shop_test(three, "vibration,,,,mm_s_rms")).column == "value_1");
  CHECK(shop_test(three, "vibration,,1.2,,mm_s_rms").problems.empty());
  CHECK(only_problem(shop_test(three, "impedance,1,,1,ohm")).column == "value_2");
  CHECK(only_problem(shop_test(three + ",test_v", "runout,0.02,,,mm,500")).column == "test_v");
  CHECK(only_problem(shop_test(three + ",test_v", "line_current,1,1,1,a,500")).column == "test_v");
}

TEST_CASE("beside tests on the bench the other tests still need their three values") {
  const Survey survey = SurveyFolder("mixed_tests")
                            .with("readings.csv",
                                  "motor,test,value_1,value_2,value_3,unit\n"
                                  "F1,runout,0.02,,,mm\nF1,line_current,9,,9,a\n")
                            .survey();
  const Problem problem = only_problem(survey);
  CHECK(problem.row == 3);
  CHECK(problem.column == "value_2");
  CHECK(survey.readings.empty());
  CHECK(survey.shop_tests.size() == 1);
}
