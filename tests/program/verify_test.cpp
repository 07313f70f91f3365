// Before and after, as a user runs it: the demo's second survey carries its own truth of what each
// repair came to.

#include "run_program.h"

#include <catch2/catch.hpp>
#include <map>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

const fs::path& after_survey() {
  static const fs::path folder = [] {
    const fs::path at = fresh_folder("demo-after");
    REQUIRE(run("demo --after '" + at.string() + "'").exit_code == 0);
    return at;
  }();
  return folder;
}

std::string both() {
  return "'" + demo_survey().string() + "' '" + after_survey().string() + "'";
}

}  // namespace

TEST_CASE("verify says of each motor of the demo what its repair really came to") {
  const fs::path out = fresh_folder("verified");
  const Outcome outcome = run("verify " + both() + " -o '" + out.string() +
                              "' --price-per-kwh 0.14 --hours-per-year 4000 --repair-cost 350");
  INFO(outcome.err);
  CHECK(outcome.exit_code ==
        1);  // one lug could not be compared, and the first survey has problems
  const json verification = json_of(out / "verification.json");
  CHECK(check_schema("verification.schema.json", out / "verification.json").exit_code == 0);
  std::map<std::string, std::string> said;
  for (const json& motor : verification["motors"]) said[motor["motor"]] = motor["change"];
  std::map<std::string, std::string> truth;
  const json known = json_of(after_survey() / "truth.json");
  for (const json& repair : known["repairs"]) truth[repair["motor"]] = repair["change"];
  CHECK(truth.size() == 6);
  CHECK(said == truth);
  CHECK(verification["not_revisited"].size() == 11);
  CHECK(verification["totals"].size() == 1);
}

TEST_CASE("the page of a verification is one file with both ladders of each fault") {
  const fs::path out = fresh_folder("verified-page");
  const Outcome outcome = run("verify " + both() + " -o '" + out.string() + "'");
  INFO(outcome.err);
  const std::string page = text_of(out / "verification.html");
  CHECK(page.find("<script") == std::string::npos);
  CHECK(page.find("Before, 2026-03-04.") != std::string::npos);
  CHECK(page.find("After, 2026-03-18.") != std::string::npos);
  // Python's own HTML parser: tags balance, ids are unique.
  const Outcome markup =
      shell(std::string(OHMGLOW_PYTHON) + " -B '" + OHMGLOW_SOURCE_DIR +
            "/tests/report/check_markup.py' html '" + (out / "verification.html").string() + "'");
  INFO(markup.out << markup.err);
  CHECK(markup.exit_code == 0);
  CHECK(markup.out.empty());
}

TEST_CASE("verify --json prints verification.json, the same for any number of threads") {
  const Outcome one = run("verify " + both() + " --json --as-of 2026-03-20 --jobs 1");
  const Outcome four = run("verify " + both() + " --json --as-of 2026-03-20 --jobs 4");
  CHECK(json::parse(one.out)["version"] == 1);
  CHECK(one.out == four.out);
}

TEST_CASE("verify --fail-at ends with 4, and without it the code says what could be compared") {
  CHECK(run("verify " + both() + " --fail-at worse").exit_code == 4);
  CHECK(run("verify " + both() + " --fail-at better").exit_code == 2);
  const std::string before = "'" + demo_survey().string() + "' ";
  // A survey against itself: the same images and the same readings; faults are as they were.
  CHECK(run("verify " + before + before + "--fail-at worse").exit_code == 1);
  CHECK(run("verify " + before + before + "--fail-at unchanged").exit_code == 4);
  const fs::path other = fresh_folder("verify-other");
  write(other / "motors.csv", "motor\nX-1\n");
  write(other / "readings.csv",
        "motor,test,value_1,value_2,value_3,unit\nX-1,winding_resistance,1,1,1,ohm\n");
  const Outcome nothing = run("verify " + before + "'" + other.string() + "'");
  CHECK(nothing.exit_code == 3);
  CHECK(nothing.out.empty());
  CHECK(run("verify " + before + "nowhere").exit_code == 3);
}

TEST_CASE("verify ends with 0 where everything is repaired or even") {
  const auto survey = [](const std::string& name, const std::string& day, const std::string& hot,
                         const std::string& ohms) {
    const fs::path folder = fresh_folder(name);
    write(folder / "motors.csv", "motor,rated_a\nM-1,100\n");
    write(folder / "readings.csv",
          "motor,test,taken_at,place,value_1,value_2,value_3,unit\nM-1,winding_resistance," + day +
              ",terminal box," + ohms + ",mohm\n");
    std::string matrix;
    for (int y = 0; y < 20; ++y) {
      for (int x = 0; x < 60; ++x)
        matrix += (x != 0 ? "," : "") + (x >= 20 && x < 40 ? hot : std::string("30.0"));
      matrix += "\n";
    }
    write(folder / "box.csv", matrix);
    write(folder / "images.csv",
          "file,motor,component,taken_at,emissivity,reflected_c,air_c,load_1_a,load_2_a,load_3_a\n"
          "box.csv,M-1,terminal box," +
              day + "T12:00,0.95,25,25,80,80,80\n");
    REQUIRE(run("mark box.csv --lug T1 --circle 10,10,5 --lug T2 --circle 30,10,5 --lug T3 "
                "--circle 50,10,5",
                folder)
                .exit_code == 0);
    return folder;
  };
  const fs::path before = survey("repair-before", "2026-03-04", "52.0", "103,103,100");
  const fs::path after = survey("repair-after", "2026-03-18", "30.2", "100,100,100");
  const Outcome outcome = run("verify '" + before.string() + "' '" + after.string() + "'");
  INFO(outcome.out << outcome.err);
  CHECK(outcome.exit_code == 0);
  CHECK(outcome.out.find("M-1: repaired") != std::string::npos);
}
