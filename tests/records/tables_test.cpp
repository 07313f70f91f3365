// The rules under test are those of the survey folder in docs/survey-folder.md; where a check rests
// on something else, its source stands beside it.
#include "survey_folder.h"

using ohmglow::Connection;
using ohmglow::Phase;
using ohmglow::Survey;
using ohmglow::TemperatureUnit;
using test::contains;
using test::only_problem;
using test::SurveyFolder;

namespace {

// Cells are read to the nearest double; products with a unit may be one rounding away.
constexpr double kRounding = 1e-15;

const std::string kImagesHead = "file,motor,component";

Survey images_with(const std::string& more_columns, const std::string& more_cells) {
  return SurveyFolder("images_with")
      .with("images.csv",
            kImagesHead + "," + more_columns + "\na.tif,M1,starter," + more_cells + "\n")
      .survey();
}

Survey motors_with(const std::string& columns, const std::string& cells) {
  return SurveyFolder("motors_with")
      .with("motors.csv", "motor," + columns + "\nM1," + cells + "\n")
      .survey();
}

Survey reading(const std::string& test, const std::string& values, const std::string& unit) {
  return SurveyFolder("reading")
      .with("readings.csv", "motor,test,value_1,value_2,value_3,unit\nM1," + test + "," + values +
                                "," + unit + "\n")
      .survey();
}

}  // namespace

TEST_CASE("every column of motors.csv arrives in its own unit") {
  const Survey survey =
      SurveyFolder("all_motor_columns")
          .with("motors.csv",
                "motor,description,area,lockout,crew,torque_nm,parts,rated_kw,rated_v,rated_a,"
                "locked_rotor_a,connection,fed_by,poles,"
                "conductor_limit_c,lug_"
                "area_cm2,"
                "criticality,downtime_cost_per_h,repair_h,replacement_cost,currency\n"
                "M1,Bucket elevator "
                "2,work house,\"MCC-1, breaker 4\",2,15.5,three "
                "lugs,55,400,98.5,640,delta,soft_starter,4,75,3.1,5,1200,6,4100,EUR\n")
          .survey();
  REQUIRE(survey.problems.empty());
  REQUIRE(survey.motors.size() == 1);
  const ohmglow::Motor& m = survey.motors[0];
  CHECK(m.id == "M1");
  CHECK(m.description == "Bucket elevator 2");
  CHECK(m.area == "work house");
  CHECK(m.lockout == "MCC-1, breaker 4");
  CHECK(m.crew == 2);
  CHECK(m.torque_nm == 15.5);
  CHECK(m.parts == "three lugs");
  CHECK(m.rated_kw == 55.0);
  CHECK(m.rated_v == ohmglow::Volt{400});
  CHECK(m.rated_a == ohmglow::Ampere{98.5});
  CHECK(m.locked_rotor_a == ohmglow::Ampere{640});
  CHECK(m.connection == Connection::delta);
  CHECK(m.fed_by == ohmglow::Feed::soft_starter);
  CHECK(m.poles == 4);
  CHECK(m.conductor_limit_c == ohmglow::Celsius{75});
  CHECK(m.lug_area_cm2 == ohmglow::SquareCentimetre{3.1});
  CHECK(m.criticality == 5);
  CHECK(m.downtime_cost_per_h == 1200.0);
  CHECK(m.repair_h == 6.0);
  CHECK(m.replacement_cost == 4100.0);
  CHECK(m.currency == "EUR");
}

TEST_CASE("horsepower become kilowatts") {
  // One electrical horsepower is 746 W by definition (NIST SP 811, appendix B.8), the one of motor
  // nameplates.
  const Survey survey = motors_with("rated_hp", "100");
  REQUIRE(survey.motors.size() == 1);
  CHECK(survey.motors[0].rated_kw.value() == Approx(74.6).epsilon(kRounding).margin(0));
}

TEST_CASE("a rating in kW and in hp at once is refused") {
  const Survey survey = motors_with("rated_kw,rated_hp", "75,100");
  CHECK(survey.motors.empty());
  CHECK(only_problem(survey).column == "rated_hp");
}

TEST_CASE("a star may be called wye, y or star, and a delta d, in any case") {
  for (const auto* word : {"wye", "Y", "STAR"}) {
    CHECK(motors_with("connection", word).motors.at(0).connection == Connection::wye);
  }
  for (const auto* word : {"delta", "D"}) {
    CHECK(motors_with("connection", word).motors.at(0).connection == Connection::delta);
  }
  CHECK(motors_with("connection", "").motors.at(0).connection == Connection::unknown);
  CHECK(contains(only_problem(motors_with("connection", "zigzag")).message, "wye"));
}

TEST_CASE("poles are even and criticality runs from 1 to 5") {
  CHECK(motors_with("poles", "2").motors.at(0).poles == 2);
  for (const auto* bad : {"0", "3", "-2", "4.5"}) {
    INFO(bad);
    CHECK(only_problem(motors_with("poles", bad)).column == "poles");
  }
  for (const auto* bad : {"0", "6", "2.5"}) {
    INFO(bad);
    CHECK(only_problem(motors_with("criticality", bad)).column == "criticality");
  }
}

TEST_CASE("a bad cell names file, row, column, value and expectation, and costs its row only") {
  const Survey survey = SurveyFolder("bad_cell")
                            .with("motors.csv", "motor,rated_a\nM1,20\nM2,twenty\nM3,-4\nM4,30\n")
                            .survey();
  REQUIRE(survey.motors.size() == 2);
  CHECK(survey.motors[1].id == "M4");
  REQUIRE(survey.problems.size() == 2);
  const ohmglow::Problem& problem = survey.problems[0];
  CHECK(problem.file == "motors.csv");
  CHECK(problem.row == 3);
  CHECK(problem.column == "rated_a");
  CHECK(contains(problem.message, "\"twenty\""));
  CHECK(contains(problem.message, "a number above 0 (A)"));
  CHECK(contains(problem.message, "the row is left out"));
  CHECK(survey.problems[1].row == 4);
}

TEST_CASE("the second row of a motor is a problem and the first counts") {
  const Survey survey =
      SurveyFolder("twice").with("motors.csv", "motor,rated_a\nM1,20\nM1,30\n").survey();
  REQUIRE(survey.motors.size() == 1);
  CHECK(survey.motors[0].rated_a == ohmglow::Ampere{20});
  CHECK(only_problem(survey).row == 3);
}

TEST_CASE("column names count without blanks and case, unknown ones are kept and reported once") {
  const Survey survey =
      SurveyFolder("columns")
          .with("motors.csv", " Motor ,RATED_A,Colour,Bay\nM1,20,grey,7\nM2,21,green,8\n")
          .survey();
  REQUIRE(survey.motors.size() == 2);
  CHECK(survey.motors[1].rated_a == ohmglow::Ampere{21});
  CHECK(survey.motors[1].extra ==
        std::map<std::string, std::string>{{"colour", "green"}, {"bay", "8"}});
  const auto problem = only_problem(survey);
  CHECK(problem.row == 1);
  CHECK(problem.message.starts_with("unknown columns \"colour\", \"bay\""));
}

TEST_CASE("a column given twice, or a required one that is missing, rejects the table once") {
  const Survey twice = SurveyFolder("twice_column")
                           .with("motors.csv", "motor,rated_a,Rated_A\nM1,1,2\nM2,1,2\n")
                           .survey();
  CHECK(twice.motors.empty());
  CHECK(only_problem(twice).column == "rated_a");
  const Survey missing =
      SurveyFolder("missing_column")
          .with("motors.csv", "id,rated_a\nM1,1\n")
          .with("images.csv", "file,motor\na.tif,M1\nb.tif,M1\n")
          .with("readings.csv", "motor,test,value_1,value_2,unit\nM1,line_current,1,1,a\n")
          .survey();
  CHECK(missing.motors.empty());
  CHECK(missing.images.empty());
  CHECK(missing.readings.empty());
  std::vector<std::string> named;
  for (const auto& problem : missing.problems) {
    if (contains(problem.message, "required column"))
      named.push_back(problem.file + " " + problem.message);
  }
  REQUIRE(named.size() == 3);
  CHECK(contains(named[0], "expected motor"));
  CHECK(contains(named[1], "expected component"));
  CHECK(contains(named[2], "expected value_3"));
}

TEST_CASE("a short row has empty cells, a long one is a problem unless its surplus is blank") {
  const Survey survey =
      SurveyFolder("lengths")
          .with("motors.csv", "motor,description,rated_a\nM1\nM2,fan,20,,\nM3,fan,20,?\n")
          .survey();
  REQUIRE(survey.motors.size() == 2);
  CHECK_FALSE(survey.motors[0].rated_a.has_value());
  CHECK(survey.motors[1].rated_a == ohmglow::Ampere{20});
  const auto problem = only_problem(survey);
  CHECK(problem.row == 4);
  CHECK(contains(problem.message, "\"?\""));
}

TEST_CASE("an empty required cell rejects its row") {
  const Survey survey =
      SurveyFolder("empty_cell")
          .with("images.csv", kImagesHead + "\n,M1,starter\nb.tif,M1,\nc.tif,M1,starter\n")
          .survey();
  REQUIRE(survey.images.size() == 1);
  REQUIRE(survey.problems.size() == 2);
  CHECK(survey.problems[0].column == "file");
  CHECK(survey.problems[1].column == "component");
}

TEST_CASE("every column of images.csv arrives in its own unit") {
  const Survey survey =
      SurveyFolder("all_image_columns")
          .with(
              "images.csv",
              "file,motor,component,taken_at,emissivity,reflected_c,air_c,humidity_pct,distance_"
              "m,ifov_mrad,"
              "atmosphere_transmittance,window_transmittance,window_c,window_reflectance,window_"
              "reflected_c,"
              "wind_m_s,load_1_a,load_2_a,load_3_a,running_min,saved_emissivity,saved_reflected_c,"
              "page,scale,"
              "offset,unit,"
              "camera_u_c,noise_k,emissivity_u,reflected_u_c,air_u_c,window_u,atmosphere_u,"
              "nonuniformity_k,load_u_pct,"
              "photo,note\n"
              "a.tif,M1,terminal "
              "box,2026-03-04T10:11:12Z,0.93,21,19.5,45,0.8,1.3,0.98,0.7,24,0.1,20,"
              "0.5,41,42,43,25.5,0.95,22,2,0.01,-273.15,C,0.9,0.04,0.03,1.5,0.5,0.01,0.005,0.2,3,a."
              "jpg,\"wet, "
              "dusty\"\n")
          .survey();
  REQUIRE(survey.problems.empty());
  REQUIRE(survey.images.size() == 1);
  const ohmglow::ImageEntry& e = survey.images[0];
  const ohmglow::ImageParameters& p = e.parameters;
  CHECK(e.file == "a.tif");
  CHECK(e.component == "terminal box");
  CHECK(e.taken_at->text == "2026-03-04T10:11:12Z");
  CHECK(e.row == 2);
  CHECK(e.photo == "a.jpg");
  CHECK(e.note == "wet, dusty");
  CHECK(p.emissivity == ohmglow::Emissivity{0.93});
  CHECK(p.reflected_c == ohmglow::Celsius{21});
  CHECK(p.air_c == ohmglow::Celsius{19.5});
  CHECK(p.humidity_pct == 45.0);
  CHECK(p.distance_m == ohmglow::Metre{0.8});
  CHECK(p.ifov_mrad == ohmglow::Milliradian{1.3});
  CHECK(p.atmosphere_transmittance == ohmglow::Fraction{0.98});
  CHECK(p.window_transmittance == ohmglow::Fraction{0.7});
  CHECK(p.window_c == ohmglow::Celsius{24});
  CHECK(p.window_reflectance == ohmglow::Fraction{0.1});
  CHECK(p.window_reflected_c == ohmglow::Celsius{20});
  CHECK(p.wind_m_s == ohmglow::MetrePerSecond{0.5});
  CHECK(p.load_a[0] == ohmglow::Ampere{41});
  CHECK(p.load_a[2] == ohmglow::Ampere{43});
  CHECK(p.running_min == 25.5);
  CHECK(p.saved_emissivity == ohmglow::Emissivity{0.95});
  CHECK(p.saved_reflected_c == ohmglow::Celsius{22});
  CHECK(p.page == 2);
  CHECK(p.scale == 0.01);
  CHECK(p.offset == -273.15);
  CHECK(p.unit == TemperatureUnit::celsius);
  CHECK(p.camera_u_c == 0.9);
  CHECK(p.noise_k == 0.04);
  CHECK(p.emissivity_u == 0.03);
  CHECK(p.reflected_u_c == 1.5);
  CHECK(p.air_u_c == 0.5);
  CHECK(p.window_u == 0.01);
  CHECK(p.atmosphere_u == 0.005);
  CHECK(p.nonuniformity_k == 0.2);
  CHECK(p.load_u_pct == 3);
}

TEST_CASE("image parameters outside what can be are problems of their cell") {
  const std::vector<std::pair<std::string, std::string>> bad{{"emissivity", "0"},
                                                             {"emissivity", "1.01"},
                                                             {"emissivity", "nan"},
                                                             {"reflected_c", "-273.16"},
                                                             {"air_c", "-300"},
                                                             {"humidity_pct", "101"},
                                                             {"humidity_pct", "-1"},
                                                             {"distance_m", "0"},
                                                             {"ifov_mrad", "0"},
                                                             {"ifov_mrad", "-1"},
                                                             {"window_reflectance", "2"},
                                                             {"window_transmittance", "-0.1"},
                                                             {"wind_m_s", "-1"},
                                                             {"load_2_a", "-0.5"},
                                                             {"running_min", "-1"},
                                                             {"air_f", "-459.68"},
                                                             {"saved_emissivity", "0"},
                                                             {"page", "0"},
                                                             {"page", "1.5"},
                                                             {"page", "3000000000"},
                                                             {"camera_u_c", "-1"},
                                                             {"noise_k", "inf"},
                                                             {"window_u", "-1"},
                                                             {"taken_at", "4 March"},
                                                             {"unit", "f"},
                                                             {"atmosphere_transmittance", "1.1"}};
  for (const auto& [column, cell] : bad) {
    INFO(column << " = " << cell);
    const Survey survey = images_with(column, cell);
    CHECK(survey.images.empty());
    const auto problem = only_problem(survey);
    CHECK(problem.column == column);
    CHECK(contains(problem.message, '"' + cell + '"'));
    CHECK(contains(problem.message, "expected"));
  }
}

TEST_CASE("the ends of a range belong to it") {
  for (const auto& [column, cell] :
       std::vector<std::pair<std::string, std::string>>{{"emissivity", "1"},
                                                        {"humidity_pct", "0"},
                                                        {"humidity_pct", "100"},
                                                        {"reflected_c", "-273.15"},
                                                        {"load_1_a", "0"},
                                                        {"running_min", "0"},
                                                        {"reflected_f", "-459.67"},
                                                        {"window_transmittance", "0"},
                                                        {"camera_u_c", "0"},
                                                        {"page", "1"}}) {
    INFO(column << " = " << cell);
    CHECK(images_with(column, cell).images.size() == 1);
  }
}

TEST_CASE("a window cannot let through and reflect more than falls on it") {
  CHECK(images_with("window_transmittance,window_reflectance", "0.7,0.3").images.size() == 1);
  const auto problem =
      only_problem(images_with("window_transmittance,window_reflectance", "0.7,0.31"));
  CHECK(contains(problem.message, "at most 1"));
}

TEST_CASE("scale or offset needs the unit, and a scale is not zero") {
  CHECK(images_with("scale,offset,unit", "0.04,0,K").images.at(0).parameters.unit ==
        TemperatureUnit::kelvin);
  CHECK(images_with("offset,unit", "1,c").images.size() == 1);
  CHECK(only_problem(images_with("scale", "0.04")).column == "unit");
  CHECK(only_problem(images_with("offset", "1")).column == "unit");
  CHECK(only_problem(images_with("scale,unit", "0,c")).column == "scale");
}

TEST_CASE("one file may give several pages, but no page twice") {
  const Survey survey =
      SurveyFolder("pages")
          .with("images.csv", kImagesHead +
                                  ",page\na.tif,M1,starter,1\na.tif,M2,starter,2\n"
                                  "./a.tif,M3,starter,\na.tif,M4,starter,3\n")
          .survey();
  REQUIRE(survey.images.size() == 3);
  CHECK(survey.images[2].motor == "M4");
  const auto problem = only_problem(survey);
  CHECK(problem.row == 4);
  CHECK(contains(problem.message, "has a row already"));
}

TEST_CASE("a listed file that is not there is left to the measurement, not to the table") {
  const Survey survey = SurveyFolder("not_there")
                            .with("images.csv", kImagesHead + "\nsub\\nowhere.tif,M1,starter\n")
                            .survey();
  CHECK(survey.problems.empty());
  REQUIRE(survey.images.size() == 1);
  CHECK(survey.images[0].file == "sub/nowhere.tif");
}

TEST_CASE("meter units become ohm, ampere and volt") {
  // SI prefixes (SI Brochure, 9th ed., 3.1); 412 mohm must be the double nearest to 0.412.
  const auto values = [](const Survey& survey) { return survey.readings.at(0).values; };
  using Three = std::array<double, 3>;
  CHECK(values(reading("winding_resistance", "412,413,414", "mohm")) == Three{0.412, 0.413, 0.414});
  CHECK(values(reading("winding_resistance", "412,413,414", "UOHM")) ==
        Three{0.000412, 0.000413, 0.000414});
  CHECK(values(reading("winding_resistance", "1.5,1.6,1.7", "Ohm")) == Three{1.5, 1.6, 1.7});
  CHECK(values(reading("line_current", "1.25,0,2", "kA")) == Three{1250, 0, 2000});
  CHECK(values(reading("line_voltage", "6.6,6.5,6.4", "kv")) == Three{6600, 6500, 6400});
  CHECK(values(reading("LINE_VOLTAGE", "400,401,402", "V")) == Three{400, 401, 402});
  CHECK(values(reading("joint_resistance", "42,413,51.5", "uohm")) ==
        Three{0.000042, 0.000413, 0.0000515});
  CHECK(values(reading("joint_resistance", "4,13,5", "mohm")) == Three{0.004, 0.013, 0.005});
  CHECK(values(reading("joint_resistance", "1,2,3", "ohm")) == Three{1, 2, 3});
  CHECK(values(reading("joint_drop", "4,38,5", "mV")) == Three{0.004, 0.038, 0.005});
  CHECK(values(reading("joint_drop", "0.1,0.2,0.3", "v")) == Three{0.1, 0.2, 0.3});
}

TEST_CASE("a unit must fit its test, and the complaint says which ones do") {
  CHECK(contains(only_problem(reading("winding_resistance", "1,1,1", "a")).message,
                 "ohm, mohm, uohm"));
  CHECK(contains(only_problem(reading("line_current", "1,1,1", "v")).message, "a, ka"));
  CHECK(contains(only_problem(reading("line_voltage", "1,1,1", "ohm")).message, "v, kv"));
  CHECK(contains(only_problem(reading("joint_resistance", "1,1,1", "mv")).message,
                 "uohm, mohm, ohm"));
  CHECK(contains(only_problem(reading("joint_drop", "1,1,1", "ohm")).message, "mv, v"));
  CHECK(only_problem(reading("line_current", "1,1,1", "")).column == "unit");
}

TEST_CASE("an unknown test is refused with the known ones") {
  const auto problem = only_problem(reading("rotor_sweep", "1,1,1", "ohm"));
  CHECK(problem.column == "test");
  CHECK(contains(problem.message,
                 "one of winding_resistance, line_current, line_voltage, joint_resistance, "
                 "joint_drop"));
}

TEST_CASE("resistances and voltages are above zero, currents may be zero") {
  CHECK(only_problem(reading("winding_resistance", "1,0,1", "ohm")).column == "value_2");
  CHECK(only_problem(reading("line_voltage", "1,1,-1", "v")).column == "value_3");
  CHECK(only_problem(reading("line_current", "-1,1,1", "a")).column == "value_1");
  CHECK(only_problem(reading("joint_resistance", "1,0,1", "uohm")).column == "value_2");
  CHECK(only_problem(reading("joint_drop", "0,1,1", "mv")).column == "value_1");
  CHECK(reading("line_current", "0,0,0", "a").problems.empty());
}

TEST_CASE("the optional columns of readings.csv arrive") {
  const Survey survey =
      SurveyFolder("all_reading_columns")
          .with(
              "readings.csv",
              "motor,test,taken_at,place,value_1,value_2,value_3,unit,temperature_c,load_pct,note\n"
              "M1,winding_resistance,2026-03-04,motor terminals,1,2,3,ohm,23.5,80,cold\n")
          .survey();
  REQUIRE(survey.problems.empty());
  const ohmglow::Reading& r = survey.readings.at(0);
  CHECK(r.place == "motor terminals");
  CHECK(r.taken_at->text == "2026-03-04");
  CHECK(r.temperature_c == ohmglow::Celsius{23.5});
  CHECK(r.load_pct == 80.0);
  CHECK(r.note == "cold");
  CHECK(r.unit_as_written == "ohm");
  CHECK(r.row == 2);
}

TEST_CASE(
    "semicolons with decimal commas, a byte order mark and CRLF are read as spreadsheets write "
    "them") {
  const Survey survey =
      SurveyFolder("spreadsheet")
          .with("motors.csv", "\xEF\xBB\xBFmotor;rated_a;description\r\nM1;98,5;Fan 1\r\nM2;7;\r\n")
          .survey();
  CHECK(survey.problems.empty());
  REQUIRE(survey.motors.size() == 2);
  CHECK(survey.motors[0].rated_a == ohmglow::Ampere{98.5});
}

TEST_CASE("row numbers are a spreadsheet's, through blank rows and line breaks inside quotes") {
  const Survey survey = SurveyFolder("row_numbers")
                            .with("motors.csv",
                                  "motor,description,rated_a\n"      // row 1
                                  "M1,\"two\r\nlines\n more\",20\n"  // row 2
                                  "\n"                               // row 3
                                  "M3,fan,x\n")                      // row 4
                            .survey();
  REQUIRE(survey.motors.size() == 1);
  CHECK(survey.motors[0].description == "two\r\nlines\n more");
  CHECK(only_problem(survey).row == 4);
}

TEST_CASE("a table with nothing but its header is no problem, an empty file is one") {
  CHECK(SurveyFolder("header_only").with("motors.csv", "motor\n").survey().problems.empty());
  CHECK(only_problem(SurveyFolder("empty_table").with("motors.csv", "").survey()).file ==
        "motors.csv");
}

TEST_CASE("100 000 rows are read in time that grows no faster than they do") {
  std::string text = kImagesHead + ",emissivity,air_c\n";
  constexpr int kRows = 100'000;
  for (int i = 0; i < kRows; ++i) {
    text += "bay" + std::to_string(i % 100) + "/image" + std::to_string(i) + ".tif,M" +
            std::to_string(i / 10) + ",starter," + (i % 2 == 0 ? "0.9" : "bad") + ",20\n";
  }
  const Survey survey = SurveyFolder("many_rows").with("images.csv", text).survey();
  CHECK(survey.images.size() == kRows / 2);
  CHECK(survey.problems.size() == kRows / 2);
}

TEST_CASE("the meter's uncertainty is in percent, its least count in the unit of the reading") {
  const Survey survey = SurveyFolder("meter")
                            .with("readings.csv",
                                  "motor,test,value_1,value_2,value_3,unit,meter_u_pct,resolution\n"
                                  "M1,winding_resistance,412,410,411,mohm,0.5,0.1\n"
                                  "M1,winding_resistance,412,410,411,mohm,,\n"
                                  "M1,winding_resistance,412,410,411,mohm,-1,0.1\n")
                            .survey();
  REQUIRE(survey.readings.size() == 2);
  CHECK(survey.readings[0].meter_u_pct == 0.5);
  CHECK(survey.readings[0].resolution.value() == Approx(1e-4).epsilon(kRounding).margin(0));
  CHECK_FALSE(survey.readings[1].meter_u_pct);
  CHECK_FALSE(survey.readings[1].resolution);
  REQUIRE(survey.problems.size() == 1);
  CHECK(survey.problems[0].column == "meter_u_pct");
}

TEST_CASE("circuit.csv gives the places of a circuit with their cables") {
  const Survey survey = SurveyFolder("circuit")
                            .with("circuit.csv",
                                  "motor,place,order,size,length_m,material\n"
                                  "M1,starter,1,4/0 AWG,60,\n"
                                  "M1,disconnect,2,50 mm2,5,aluminium\n"
                                  "M1,terminal box,3,,,\n")
                            .survey();
  REQUIRE(survey.problems.empty());
  REQUIRE(survey.circuit.size() == 3);
  CHECK(survey.circuit[0].size == "4/0 AWG");
  CHECK(survey.circuit[0].length_m == ohmglow::Metre{60});
  CHECK(survey.circuit[1].material == ohmglow::ConductorMaterial::aluminium);
  CHECK(survey.circuit[2].order == 3);
  CHECK_FALSE(survey.circuit[2].length_m);
}

TEST_CASE("a place says what the motor's row cannot: its own lockout, and why nobody saw it") {
  const Survey survey =
      SurveyFolder("places")
          .with("motors.csv",
                "motor,area,lockout,crew,torque_nm,parts\nM1,pit,MCC-1,2,15,three lugs\nM2,,,,,\n")
          .with("circuit.csv",
                "motor,place,order,area,lockout,torque_nm,parts,not_inspected\n"
                "M1,Disconnect,1,switch room,SB-1,6.5,blade kit,key not at hand\n"
                "M1,terminal box,2,,,,,\n")
          .survey();
  REQUIRE(survey.problems.empty());
  const ohmglow::CircuitStop* disconnect = survey.find_place("M1", "disconnect");
  REQUIRE(disconnect != nullptr);
  CHECK(disconnect->not_inspected == "key not at hand");
  CHECK(survey.find_place("M2", "disconnect") == nullptr);
  const auto* const motor = survey.find_motor("M1");
  using ohmglow::work_site;
  using ohmglow::WorkSite;
  CHECK(work_site(motor, disconnect) == WorkSite{"switch room", "SB-1", 2, 6.5, "blade kit"});
  CHECK(work_site(motor, survey.find_place("M1", "TERMINAL BOX")) ==
        WorkSite{"pit", "MCC-1", 2, 15.0, "three lugs"});
  CHECK(work_site(motor, nullptr) == WorkSite{"pit", "MCC-1", 2, 15.0, "three lugs"});
  CHECK(work_site(nullptr, disconnect) ==
        WorkSite{"switch room", "SB-1", std::nullopt, 6.5, "blade kit"});
  CHECK(work_site(nullptr, nullptr) == WorkSite{});
}

TEST_CASE("a crew is a whole number from 1 on and a torque is above zero, in both tables") {
  const std::vector<std::pair<std::string, std::string>> bad{
      {"crew", "0"},      {"crew", "1.5"},     {"crew", "101"},       {"crew", "two"},
      {"torque_nm", "0"}, {"torque_nm", "-4"}, {"torque_nm", "15 Nm"}};
  for (const auto& [column, cell] : bad) {
    CAPTURE(column, cell);
    const auto problem = only_problem(motors_with(column, cell));
    CHECK(problem.column == column);
    CHECK(contains(problem.message,
                   column == "crew" ? "a whole number from 1 to 100" : "a number above 0 (N m)"));
  }
  CHECK(motors_with("crew", "100").motors.at(0).crew == 100);
  const auto problem =
      only_problem(SurveyFolder("bad_torque")
                       .with("circuit.csv", "motor,place,order,torque_nm\nM1,starter,1,0\n")
                       .survey());
  CHECK(problem.file == "circuit.csv");
  CHECK(problem.column == "torque_nm");
  CHECK(contains(problem.message, "a number above 0 (N m)"));
}

TEST_CASE("rows of circuit.csv that contradict each other or the tables are refused one by one") {
  const Survey survey = SurveyFolder("bad_circuit")
                            .with("circuit.csv",
                                  "motor,place,order,size,length_m,material\n"
                                  "M1,starter,1,4/0 AWG,60,\n"
                                  "M1,Starter,2,,,\n"
                                  "M1,disconnect,1,,,\n"
                                  "M1,box,4,51 mm2,5,\n"
                                  "M1,drive,5,50 mm2,,\n"
                                  "M1,panel,6,1.5 mm2,10,al\n"
                                  "M2,starter,1,,,\n")
                            .survey();
  CHECK(survey.circuit.size() == 2);
  REQUIRE(survey.problems.size() == 5);
  std::vector<std::string> columns;
  for (const auto& problem : survey.problems) {
    CHECK(problem.file == "circuit.csv");
    columns.push_back(problem.column);
  }
  CHECK(columns == std::vector<std::string>{"place", "order", "size", "length_m", "size"});
}

TEST_CASE("what feeds a motor is a line, a soft starter or a drive") {
  using ohmglow::Feed;
  CHECK(motors_with("fed_by", "Line").motors.at(0).fed_by == Feed::line);
  CHECK(motors_with("fed_by", "drive").motors.at(0).fed_by == Feed::drive);
  CHECK(motors_with("fed_by", "").motors.at(0).fed_by == Feed::unknown);
  const auto problem = only_problem(motors_with("fed_by", "soft starter"));
  CHECK(problem.column == "fed_by");
  CHECK(contains(problem.message, "one of line, soft_starter, drive (did you mean soft_starter?)"));
}

TEST_CASE(
    "the leads of a meter are in ohm whatever the unit of the row, and of resistances alone") {
  const std::string head = "motor,test,value_1,value_2,value_3,unit,lead_ohm,lead_u_ohm\nM1,";
  const auto read = [&head](const std::string& row) {
    return SurveyFolder("leads").with("readings.csv", head + row + "\n").survey();
  };
  const Survey good = read("winding_resistance,412,413,414,mohm,0.05,0.01");
  REQUIRE(good.readings.size() == 1);
  CHECK(good.readings[0].lead_ohm == ohmglow::Ohm{0.05});
  CHECK(good.readings[0].lead_u_ohm == ohmglow::Ohm{0.01});
  CHECK(read("joint_resistance,412,413,414,uohm,0,0.00001").readings.size() == 1);
  CHECK_FALSE(read("winding_resistance,1,1,1,ohm,,").readings.at(0).lead_ohm);
  CHECK(only_problem(read("winding_resistance,1,1,1,ohm,-0.1,")).column == "lead_ohm");
  CHECK(only_problem(read("winding_resistance,1,1,1,ohm,0.1,-1")).column == "lead_u_ohm");
  for (const auto* test :
       {"line_current,1,1,1,a", "line_voltage,400,400,400,v", "joint_drop,1,1,1,mv"}) {
    INFO(test);
    const Survey leads = read(std::string(test) + ",0.05,0.01");
    CHECK(leads.readings.empty());
    CHECK(only_problem(leads).column == "lead_ohm");
    CHECK(only_problem(read(std::string(test) + ",,0.01")).column == "lead_u_ohm");
  }
}

TEST_CASE("leads that have as much as what was read with them are a slip of the unit") {
  const std::string head = "motor,test,value_1,value_2,value_3,unit,lead_ohm\nM1,";
  const auto problem =
      only_problem(SurveyFolder("long_leads")
                       .with("readings.csv", head + "winding_resistance,412,413,414,mohm,50\n")
                       .survey());
  CHECK(problem.column == "lead_ohm");
  CHECK(contains(problem.message, "found \"50\", expected less than 0.412 ohm"));
}

TEST_CASE("temperatures in degrees Fahrenheit arrive in degrees Celsius") {
  // NIST SP 811, appendix B.8: t/°C = (t/°F − 32)/1.8.
  const Survey survey = images_with(
      "air_f,reflected_f,window_f,window_reflected_f,saved_reflected_f", "68,50,-40,212,32");
  REQUIRE(survey.problems.empty());
  const ohmglow::ImageParameters& p = survey.images.at(0).parameters;
  CHECK(p.air_c == ohmglow::Celsius{20});
  CHECK(p.reflected_c == ohmglow::Celsius{10});
  CHECK(p.window_c == ohmglow::Celsius{-40});
  CHECK(p.window_reflected_c == ohmglow::Celsius{100});
  CHECK(p.saved_reflected_c == ohmglow::Celsius{0});
  CHECK(motors_with("conductor_limit_f", "194").motors.at(0).conductor_limit_c ==
        ohmglow::Celsius{90});
  const Survey read = SurveyFolder("fahrenheit")
                          .with("readings.csv",
                                "motor,test,value_1,value_2,value_3,unit,temperature_f\n"
                                "M1,winding_resistance,1,1,1,ohm,77\n")
                          .survey();
  CHECK(read.readings.at(0).temperature_c == ohmglow::Celsius{25});
}

TEST_CASE("a row gives a temperature in one of the two scales, rows of one table in either") {
  const auto both = only_problem(images_with("air_c,air_f", "20,68"));
  CHECK(both.row == 2);
  CHECK(both.column == "air_f");
  CHECK(both.message ==
        "this is given twice, in two units: expected air_c or air_f, not both; "
        "correct the cell; the row is left out until then");
  const Survey mixed = SurveyFolder("two_scales")
                           .with("images.csv", kImagesHead +
                                                   ",air_c,air_f\na.tif,M1,box,20,\n"
                                                   "b.tif,M1,box,,77\n")
                           .survey();
  REQUIRE(mixed.problems.empty());
  CHECK(mixed.images.at(0).parameters.air_c == ohmglow::Celsius{20});
  CHECK(mixed.images.at(1).parameters.air_c == ohmglow::Celsius{25});
}

TEST_CASE("a share that is written in percent is answered with the share") {
  for (const auto& [column, cell, meant] :
       std::vector<std::array<std::string, 3>>{{"emissivity", "95", "0.95"},
                                               {"emissivity", "95%", "0.95"},
                                               {"emissivity", "92.5 %", "0.925"},
                                               {"emissivity", "\"0,95\"", "0.95"},
                                               {"emissivity", "100", "1"},
                                               {"saved_emissivity", "97", "0.97"},
                                               {"window_transmittance", "70", "0.7"},
                                               {"window_reflectance", "5", "0.05"},
                                               {"atmosphere_transmittance", "98", "0.98"}}) {
    INFO(column << " = " << cell);
    const auto problem = only_problem(images_with(column, cell));
    CHECK(problem.column == column);
    CHECK(contains(problem.message, " (did you mean " + meant + "?); correct the cell"));
  }
  for (const auto* cell : {"1.01", "-95", "101", "high", "0"}) {
    INFO(cell);
    CHECK_FALSE(contains(only_problem(images_with("emissivity", cell)).message, "did you mean"));
  }
}

TEST_CASE("a number with the decimal mark of another table is answered with this one's") {
  CHECK(contains(only_problem(images_with("air_c", "\"19,5\"")).message, "(did you mean 19.5?)"));
  CHECK(contains(only_problem(images_with("humidity_pct", "45%")).message, "(did you mean 45?)"));
  const Survey semicolons =
      SurveyFolder("other_mark")
          .with("images.csv",
                "file;motor;component;emissivity;air_c\na.tif;M1;box;0,9;19,5\n"
                "b.tif;M1;box;0.95;19,5\nc.tif;M1;box;95;19,5\n")
          .survey();
  REQUIRE(semicolons.problems.size() == 2);
  CHECK(contains(semicolons.problems[0].message, "(did you mean 0,95?)"));
  CHECK(contains(semicolons.problems[1].message, "(did you mean 0,95?)"));
  // One thousand and two hundred, or 1.2: nothing is offered.
  CHECK_FALSE(contains(only_problem(motors_with("rated_a", "\"1,200\"")).message, "did you mean"));
}

TEST_CASE("a column near a known one is reported with that one's name") {
  const Survey survey =
      SurveyFolder("near_columns")
          .with("images.csv",
                kImagesHead + ",emisivity,Air C,load1_a,bay\na.tif,M1,starter,0.9,20,41,7\n")
          .survey();
  REQUIRE(survey.images.size() == 1);
  const auto problem = only_problem(survey);
  CHECK(problem.row == 1);
  CHECK(problem.message ==
        "unknown columns \"emisivity\" (did you mean emissivity?), \"air c\" (did you mean "
        "air_c?), \"load1_a\" (did you mean load_1_a?), \"bay\"; kept, but nothing is read from "
        "there");
  // A column that the table has already is not offered.
  CHECK_FALSE(contains(only_problem(images_with("emissivity,emisivity", "0.9,0.8")).message,
                       "(did you mean emissivity?)"));
}

TEST_CASE("a word near a known one is answered with that one") {
  CHECK(contains(only_problem(reading("winding resistance", "1,1,1", "ohm")).message,
                 "(did you mean winding_resistance?)"));
  CHECK(contains(only_problem(reading("line-curent", "1,1,1", "a")).message,
                 "(did you mean line_current?)"));
  CHECK(
      contains(only_problem(motors_with("connection", "dleta")).message, "(did you mean delta?)"));
  CHECK(contains(only_problem(reading("winding_resistance", "1,1,1", "mohms")).message,
                 "(did you mean mohm?)"));
}
