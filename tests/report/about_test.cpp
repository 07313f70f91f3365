// The rules under test are those of docs/report-items.md: what the survey holds is printed, and
// what it does not hold is a line to write on.
#include "report/about.h"

#include "fixture.h"
#include "offered/report/report.h"

#include <algorithm>
#include <catch2/catch.hpp>

namespace ohmglow::report {
namespace {

using Catch::Contains;

std::vector<std::string> values_of(const std::vector<Fact>& facts) {
  std::vector<std::string> values;
  for (const Fact& fact : facts) values.push_back(fact.label + ": " + fact.value);
  return values;
}

Motor bucket_elevator() {
  Motor motor;
  motor.id = "BE-1";
  motor.description = "Bucket elevator 1";
  motor.area = "work house";
  motor.lockout = "MCC-1, breaker 3";
  motor.rated_kw = 74.6;
  motor.rated_v = Volt{460};
  motor.rated_a = Ampere{118};
  motor.connection = Connection::delta;
  motor.poles = 4;
  motor.fed_by = Feed::soft_starter;
  motor.criticality = 5;
  motor.crew = 2;
  return motor;
}

CircuitStop disconnect_of(const std::string& motor) {
  CircuitStop stop;
  stop.motor = motor;
  stop.place = "Disconnect";
  stop.order = 1;
  stop.area = "switch room";
  stop.lockout = "SB-3, feeder <4>";
  stop.not_inspected = "key not at hand";
  return stop;
}

Reading noted(const std::string& motor, const std::string& note) {
  Reading reading;
  reading.motor = motor;
  reading.note = note;
  return reading;
}

std::string row_of(const Listing& list, const std::string& first, const std::string& second) {
  for (const auto& row : list.rows) {
    if (row.at(0).text != first || row.at(1).text != second) continue;
    std::string text;
    for (const ListCell& cell : row) text += cell.text + " | ";
    return text;
  }
  return "";
}

}  // namespace

TEST_CASE("the cover names the thermographer and the camera, and leaves blank what is not given") {
  Survey survey;
  survey.thermographer = "A. Reader";
  survey.thermographer_level = "II";
  survey.camera.serial = "BXC-0417";
  survey.camera.calibrated_on = Moment::parse("2025-06-16");
  CHECK(values_of(about_survey(survey)) ==
        std::vector<std::string>{"Thermographer: A. Reader", "Level: II", "Certificate: ",
                                 "Camera's make: ", "Camera's model: ", "Serial number: BXC-0417",
                                 "Calibrated on: 2025-06-16", "Lens: "});
}

TEST_CASE("a motor is told by what it drives, its ratings and its lockout; the place's wins") {
  const Motor motor = bucket_elevator();
  CHECK(values_of(about_motor(&motor, nullptr)) ==
        std::vector<std::string>{
            "Drives: Bucket elevator 1", "Area: work house",
            "Ratings: 74.6 kW, 460 V, 118 A, delta, 4 poles, fed by a soft starter",
            "Criticality: 5 of 5", "Locked out at: MCC-1, breaker 3", "Crew: 2 people"});
  const CircuitStop place = disconnect_of("BE-1");
  const auto at_place = about_motor(&motor, &place);
  CHECK(at_place.at(1).value == "switch room");
  CHECK(at_place.at(4).value == "SB-3, feeder <4>");
  CHECK(at_place.at(5).value == "2 people");
  for (const Fact& fact : about_motor(nullptr, nullptr)) CHECK(fact.value.empty());
}

TEST_CASE("an image is told by its distance and air, its note and its photograph") {
  ImageEntry entry;
  entry.taken_at = Moment::parse("2026-03-04T08:05");
  entry.parameters.distance_m = Metre{0.8};
  entry.parameters.humidity_pct = 48.5;
  entry.parameters.emissivity = Emissivity{0.95};
  entry.note = "cover off";
  CHECK(values_of(about_image(&entry, nullptr)) ==
        std::vector<std::string>{"Taken at: 2026-03-04T08:05", "Distance: 0.8 m",
                                 "Humidity: 48.5 %", "Wind: ", "Emissivity: 0.95",
                                 "Note: cover off", "Photograph: "});
  // The lugs' own emissivities are what it was measured with.
  diagnosis::ImageResult image;
  image.lugs.resize(3);
  image.lugs[0].emissivity = image.lugs[1].emissivity = Emissivity{0.95};
  image.lugs[2].emissivity = Emissivity{0.4};
  CHECK(about_image(&entry, &image).at(4).value == "0.40, 0.95");
  for (const Fact& fact : about_image(nullptr, nullptr)) CHECK(fact.value.empty());
  CHECK(known_of(about_image(&entry, nullptr)).size() == 5);
  CHECK(known_of(about_image(nullptr, nullptr)).empty());
}

TEST_CASE("distance, humidity and wind stand together in the table of parameters") {
  ImageParameters given;
  CHECK(air_path_in_words(given).empty());
  given.distance_m = Metre{7};
  given.humidity_pct = 48;
  CHECK(air_path_in_words(given) == "7 m away, humidity 48 %");
  given.wind_m_s = MetrePerSecond{6.5};
  CHECK(air_path_in_words(given) == "7 m away, humidity 48 %, wind 6.5 m/s");

  auto a = report_test::bexley_creek();
  const auto entry =
      std::find_if(a.survey.images.begin(), a.survey.images.end(),
                   [](const ImageEntry& one) { return one.file == "be-1_box.tiff"; });
  ImageEntry& box = entry == a.survey.images.end() ? a.survey.images.emplace_back() : *entry;
  box.file = "be-1_box.tiff";
  box.parameters = given;
  const Listing list = contents_of(Lookup(a)).parameters;
  REQUIRE(list.columns.at(4).title == "Distance, humidity, wind");
  std::size_t told = 0;
  for (const auto& row : list.rows) {
    REQUIRE(row.size() == list.columns.size());
    const bool is_box = row.at(0).text == "be-1_box.tiff";
    told += is_box ? 1 : 0;
    CHECK((row.at(4).text == "7 m away, humidity 48 %, wind 6.5 m/s") == is_box);
  }
  CHECK(told == 1);
}

TEST_CASE("a reading's note stands beside what that reading says, and beside no other") {
  auto a = report_test::bexley_creek();
  const std::string& motor = a.motors.at(0).motor;
  REQUIRE(a.motors.at(0).electrical.size() == 3);
  // Rows of other motors lie between.
  a.survey.readings = {noted(motor, ""), noted("DF-2", "after the <flood>"),
                       noted(motor, "clamp meter 2"), noted(motor, "")};
  const ReadingNotes notes = notes_of(a);
  CHECK(notes.size() == 2);
  CHECK(notes.at(&a.motors.at(0).electrical.at(1)) == "clamp meter 2");
  CHECK(with_note("unbalance 1 %", notes, a.motors.at(0).electrical.at(1)) ==
        "unbalance 1 %; note: clamp meter 2");
  CHECK(with_note("", notes, a.motors.at(0).electrical.at(1)) == "note: clamp meter 2");
  CHECK(with_note("unbalance 1 %", notes, a.motors.at(0).electrical.at(0)) == "unbalance 1 %");
  const Listing list = contents_of(Lookup(a)).readings;
  CHECK_THAT(list.rows.at(1).at(5).text, Contains("; note: clamp meter 2"));
  CHECK_THAT(list.rows.at(0).at(5).text, !Contains("note:"));
  const auto html = report_html(a, report_test::synthetic_images());
  REQUIRE(html);
  CHECK_THAT(*html, Contains("note: after the &lt;flood&gt;"));
}

TEST_CASE("a place that nobody looked at is listed with the reason that the survey gives") {
  auto a = report_test::bexley_creek();
  // DF-2 was read at its disconnect; of its splice nothing is known but why nobody saw it.
  CircuitStop splice = disconnect_of("DF-2");
  splice.place = "splice";
  splice.not_inspected = "under the floor";
  CircuitStop seen = disconnect_of("BE-1");
  seen.not_inspected.clear();
  a.survey.circuit = {disconnect_of("DF-2"), splice, seen};
  const Listing list = contents_of(Lookup(a)).not_covered;
  CHECK(row_of(list, "DF-2", "disconnect") ==
        "DF-2 | disconnect | none | not inspected | key not at hand | ");
  CHECK(row_of(list, "DF-2", "terminal box") ==
        "DF-2 | terminal box | none | not inspected | readings taken here, but no image | ");
  CHECK(row_of(list, "DF-2", "splice") ==
        "DF-2 | splice | none | not inspected | under the floor | ");
  CHECK(row_of(list, "DF-2", "Disconnect").empty());
  CHECK(row_of(list, "BE-1", "Disconnect").empty());
  // An image of it is named, whatever the reason says.
  a.survey.circuit = {disconnect_of("BE-1")};
  CHECK(row_of(contents_of(Lookup(a)).not_covered, "BE-1", "Disconnect") ==
        "BE-1 | Disconnect | be-1_disconnect.tiff | not inspected | key not at hand | ");
}

TEST_CASE("the report has an empty cell to write in where the survey says nothing") {
  auto a = report_test::bexley_creek();
  a.survey.camera.serial = "BXC-0417 & co";
  const auto html = report_html(a, report_test::synthetic_images());
  REQUIRE(html);
  CHECK_THAT(*html, Contains("<dt>Serial number</dt><dd>BXC-0417 &amp; co</dd>") &&
                        Contains("<dt>Lens</dt><dd></dd>") &&
                        Contains(".facts dd:empty { height: 1.5em;"));
}

}  // namespace ohmglow::report
