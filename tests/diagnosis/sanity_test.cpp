// Slips that leave every cell readable: what is odd is said with its place, and nothing is changed.
#include "diagnosis/sanity.h"

#include "cases.h"

#include <catch2/catch.hpp>

using namespace ohmglow;
using test::Case;
using test::exact;
using test::Picture;

namespace {

/// A motor of 100 A with one image, as its rows and results stand.
struct Rows : Case {
  Rows() { motor("M1").rated_a = Ampere{100}; }
  Rows& image(const Picture& picture, std::optional<double> air_c = 20) {
    see(picture);
    ImageParameters& given = survey.images.back().parameters;
    if (air_c) given.air_c = Celsius{*air_c};
    given.load_a = picture.image.load_a;
    return *this;
  }
  [[nodiscard]] std::vector<Problem> odd() const { return diagnosis::odd_inputs(survey, images); }
};

Picture box(const std::vector<double>& lugs_c, double air_c = 20) {
  return {"a.tif", "M1", "terminal box", lugs_c, air_c};
}

Problem only(const Rows& rows) {
  const auto problems = rows.odd();
  for (const Problem& problem : problems) {
    UNSCOPED_INFO(problem.file << ", " << problem.column << ": " << problem.message);
  }
  REQUIRE(problems.size() == 1);
  return problems.front();
}

bool mentions(const Problem& problem, const std::string& part) {
  return problem.message.find(part) != std::string::npos;
}

/// A lug of T °C with an own standard uncertainty, and air with another.
Picture uncertain(double lug_c, double lug_u_k, double air_u_k) {
  Picture picture = box({lug_c, 25, 25});
  picture.image.lugs[0].temperature_c =
      test::Estimate(lug_c, {test::Contribution{test::Input{test::InputKind::noise, 1}, lug_u_k}});
  picture.image.used->air_c =
      test::Estimate(20, {test::Contribution{test::Input{test::InputKind::air, 0}, air_u_k}});
  return picture;
}

}  // namespace

TEST_CASE("an ordinary image and its currents are not odd") {
  Rows rows;
  rows.image(box({31, 28, 45}).load(80, 82, 79));
  rows.read("M1", Test::line_current, {80, 82, 79});
  rows.ohms("M1", {1, 1, 1});
  CHECK(rows.odd().empty());
}

TEST_CASE("a lug more than three standard uncertainties below the air is told with its air") {
  // u of the difference: √(0.6² + 0.8²) = 1 K.
  CHECK(Rows().image(uncertain(17.01, 0.6, 0.8)).odd().empty());
  const Problem problem = only(Rows().image(uncertain(16.9, 0.6, 0.8)));
  CHECK(problem.file == "images.csv");
  CHECK(problem.row == 2);
  CHECK(problem.column == "air_c");
  CHECK(problem.message ==
        "lug \"T1\" of a.tif is 3.1 K below the air, more than 3 standard uncertainties (1.0 K): "
        "found \"20.0 °C\", expected at most 16.9 °C; check air_c (the air around the lugs, or the "
        "ambient mark), reflected_c and the emissivity");
}

TEST_CASE("an image without any air is silent about it") {
  Rows rows;
  Picture picture = box({5, 6, 7});
  picture.image.used->air_c.reset();
  rows.image(picture, std::nullopt);
  CHECK(rows.odd().empty());
}

TEST_CASE("lugs that are all far above or all far below the air point to a scale or Fahrenheit") {
  // 72 °F written as °C: the lugs are at 30 °C.
  const Problem below = only(Rows().image(box({30, 31, 33}, 72), 72));
  CHECK(below.column == "air_c");
  CHECK(below.row == 2);
  CHECK(mentions(below, "every lug of a.tif is 39 K or more below the air"));
  CHECK(mentions(below, "found \"72.0 °C\""));
  CHECK(mentions(below, "Fahrenheit? then air_f"));
  CHECK(mentions(below, "scale, offset and unit"));
  const Problem above = only(Rows().image(box({303, 304, 306})));
  CHECK(mentions(above, "283 K or more above the air"));
  CHECK(mentions(above, "here 303.0 °C to 306.0 °C"));
  // One lug near the air is enough to believe it.
  CHECK(Rows().image(box({303, 25, 306})).odd().empty());
  CHECK(Rows().image(box({119, 120, 120})).odd().empty());
  CHECK(Rows().image(box({120.1, 121, 122})).odd().size() == 1);
  // 15 K below is each lug's own matter.
  CHECK(Rows().image(box({5, 4, 4})).odd().size() == 3);
  CHECK(Rows().image(box({4.9, 4, 4})).odd().size() == 1);
}

TEST_CASE("an image without any difference points to its scale") {
  Picture picture = box({21, 21, 21});
  picture.image.used->declaration = "1e-06 × stored + 21 °C, by images.csv";
  for (auto& lug : picture.image.lugs) {
    lug.pixels = 40;
    lug.mean_c = 21;
    lug.max_c = 21.00004;
  }
  const Problem problem = only(Rows().image(picture));
  CHECK(problem.row == 2);
  CHECK(problem.column == "scale");
  CHECK(mentions(problem, "found \"1e-06 × stored + 21 °C, by images.csv\""));
  picture.image.lugs[1].max_c = 21.01;
  CHECK(Rows().image(picture).odd().empty());
  picture.image.lugs[1].max_c = 21;
  picture.image.lugs[1].mean_c = 21.01;
  CHECK(Rows().image(picture).odd().empty());
}

TEST_CASE("an image that no table lists is named by its file") {
  Rows rows;
  rows.image(box({303, 304, 306}));
  rows.survey.images[0].row.reset();
  CHECK(only(rows).file == "a.tif");
  CHECK_FALSE(only(rows).row);
}

TEST_CASE("a current far from the rated one is told once a row, with the unit that may be meant") {
  CHECK(Rows().image(box({30, 31, 33}).load(300, 2, 100)).odd().empty());
  const Problem high = only(Rows().image(box({30, 31, 33}).load(82000, 81500, 82100)));
  CHECK(high.file == "images.csv");
  CHECK(high.row == 2);
  CHECK(high.column == "load_1_a");
  CHECK(high.message ==
        "this current is 820 times the motor's rated current: found \"82000 A\", expected 2 to 300 "
        "A for a rated_a of 100 A, or 0; check the number's unit (milliampere written as ampere?) "
        "and rated_a in motors.csv");
  const Problem low = only(Rows().image(box({30, 31, 33}).load(0.082, 0.081, 0.083)));
  CHECK(mentions(low, "found \"0.082 A\""));
  CHECK(mentions(low, "kiloampere written as ampere?"));
  const Problem third = only(Rows().image(box({30, 31, 33}).load(80, 81, 800)));
  CHECK(third.column == "load_3_a");
}

TEST_CASE("no current is no slip, and a dead line beside running ones is not one of the unit") {
  CHECK(Rows().image(box({20, 20, 20}).load(0)).odd().empty());
  CHECK(Rows().image(box({30, 31, 33}).load(0, 81, 80)).odd().empty());
  const Problem open = only(Rows().image(box({30, 31, 33}).load(0.4, 81, 80)));
  CHECK(open.column == "load_1_a");
  CHECK(mentions(open, "the other lines run: an open line"));
  CHECK_FALSE(mentions(open, "kiloampere"));
}

TEST_CASE("currents of readings.csv are held against the rated one too, other tests are not") {
  Rows rows;
  rows.read("M1", Test::line_current, {82, 81, 81.5});
  rows.read("M1", Test::line_current, {82, 81500, 82100});
  rows.read("M1", Test::line_voltage, {400, 401, 402});
  const Problem problem = only(rows);
  CHECK(problem.file == "readings.csv");
  CHECK(problem.row == 3);
  CHECK(problem.column == "value_2");
  CHECK(mentions(problem, "found \"81500 A\""));
}

TEST_CASE("without a rated current none is odd") {
  Rows rows;
  rows.image(box({30, 31, 33}).load(82000));
  rows.survey.motors[0].rated_a.reset();
  CHECK(rows.odd().empty());
  rows.survey.motors.clear();
  CHECK(rows.odd().empty());
}

TEST_CASE("two lugs on one phase are told with their names, parallel lugs on every phase are not") {
  Picture swapped = box({30, 31, 33});
  swapped.image.lugs[2].phase = Phase::two;
  Rows rows;
  rows.image(swapped);
  const auto problems = rows.odd();
  REQUIRE(problems.size() == 1);
  CHECK(problems[0].file == "marks/a.tif.json");
  CHECK(problems[0].column == "marks");
  CHECK(mentions(problems[0], "2 lugs of a.tif are on phase 2: found \"T2, T3\""));
  CHECK(mentions(problems[0], "phases 1, 2, 3 have 1, 2, 0"));

  Picture parallel = box({30, 31, 33});
  for (std::size_t phase = 0; phase < 3; ++phase) parallel.lug(phase, 32);
  CHECK(Rows().image(parallel).odd().empty());
  Picture uneven = box({30, 31, 33});
  uneven.lug(0, 32);
  CHECK(mentions(only(Rows().image(uneven)), "have 2, 1, 1"));
}

TEST_CASE("a component with fewer phases than its likes is told, over all of its images") {
  Rows rows;
  rows.image(box({30, 31, 33}));
  rows.image({"b.tif", "M1", "starter", {30, 31}});
  const Problem problem = only(rows);
  CHECK(problem.file == "images.csv");
  CHECK(problem.row == 3);
  CHECK(problem.column == "component");
  CHECK(mentions(problem, "2 of the three phases of \"starter\" are measured: found \"T1, T2\""));
  CHECK(mentions(problem, "three phases, as its motor's terminal box has (a.tif)"));
  // The third lug is on an image of its own.
  Picture close_up{"c.tif", "M1", "starter", {}};
  rows.image(close_up.lug(2, 35));
  CHECK(rows.odd().empty());
}

TEST_CASE(
    "another day of the same component is its like, and lone lugs among lone lugs are not odd") {
  Rows rows;
  rows.image(box({30, 31, 33}).taken("2026-03-04"));
  rows.image(Picture("b.tif", "M1", "terminal box", {30}).taken("2026-03-20"));
  CHECK(mentions(only(rows), "1 of the three phases of \"terminal box\" is measured"));
  CHECK(mentions(only(rows), "as this component has on another day (a.tif)"));
  Rows lone;
  lone.image(box({30}));
  lone.image({"b.tif", "M1", "starter", {30, 31}});
  CHECK(lone.odd().empty());
}

TEST_CASE("a lug without a temperature is not one that is seen") {
  Rows rows;
  rows.image(box({30, 31, 33}));
  Picture hidden{"b.tif", "M1", "starter", {30, 31, 32}};
  hidden.image.lugs[1].temperature_c.reset();
  rows.image(hidden);
  CHECK(mentions(only(rows), "found \"T1, T3\""));
}

TEST_CASE("an emissivity of 1 with a reflected temperature unlike the air's is fine") {
  Rows rows;
  rows.image(box({30, 31, 33}));
  rows.survey.images[0].parameters.emissivity = Emissivity{1};
  rows.survey.images[0].parameters.reflected_c = Celsius{-10};
  CHECK(rows.odd().empty());
}
