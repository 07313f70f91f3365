// What a survey with mistakes in it gets: one clear line for each mistake, and everything else
// measured.

#include "run_program.h"

#include <catch2/catch.hpp>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

/// A 60 × 40 matrix of 25 °C with a warm square, as text.
std::string matrix(double warm_c) {
  std::string text;
  for (int y = 0; y < 40; ++y) {
    for (int x = 0; x < 60; ++x) {
      const bool warm = x >= 20 && x < 30 && y >= 10 && y < 20;
      text += (x != 0 ? "," : "") + std::to_string(warm ? warm_c : 25.0);
    }
    text += "\n";
  }
  return text;
}

std::string marks(const std::string& image, const std::string& more = "") {
  return R"({"version":1,"image":")" + image +
         R"(","size":[60,40],"marks":[)"
         R"({"name":"T1","role":"lug","phase":1,"shape":{"kind":"rectangle","corner":[21,11],"size":[7,7]}},)"
         R"({"name":"T2","role":"lug","phase":2,"shape":{"kind":"circle","center":[45,15],"radius":4}},)"
         R"({"name":"T3","role":"lug","phase":3,"shape":{"kind":"circle","center":[45,30],"radius":4}})" +
         more + "]}";
}

const char* const kImagesHeader = "file,motor,component,taken_at,emissivity,reflected_c,air_c\n";

fs::path survey(const std::string& name) {
  const fs::path folder = fresh_folder(name);
  write(folder / "motors.csv", "motor,rated_a\nCV-1,100\n");
  write(folder / "images.csv",
        std::string(kImagesHeader) + "good.csv,CV-1,terminal box,2026-03-04,0.95,24,24\n");
  write(folder / "good.csv", matrix(45));
  write(folder / "marks/good.csv.json", marks("good.csv"));
  return folder;
}

struct Assessed {
  Outcome outcome;
  json findings;
};

Assessed assess(const fs::path& folder) {
  const fs::path out = folder.string() + "-out";
  fs::remove_all(out);
  Assessed result{run("assess '" + folder.string() + "' -o '" + out.string() + "'"), {}};
  if (fs::exists(out / "findings.json")) result.findings = json_of(out / "findings.json");
  return result;
}

bool has_problem(const json& findings, const std::string& file, const std::string& column,
                 const std::string& words, const json& row) {
  for (const json& problem : findings["problems"]) {
    if (problem["file"] == file && problem["row"] == row &&
        (column.empty() || problem["column"] == column) &&
        problem["message"].get<std::string>().find(words) != std::string::npos) {
      return true;
    }
  }
  return false;
}

std::string status_of(const json& findings, const std::string& file) {
  for (const json& image : findings["images"]) {
    if (image["file"] == file) return image["status"];
  }
  return "absent";
}

}  // namespace

TEST_CASE("a clean survey ends with 0 and measures its image") {
  const auto [outcome, findings] = assess(survey("clean"));
  INFO(outcome.err);
  CHECK(outcome.exit_code == 0);
  CHECK(status_of(findings, "good.csv") == "measured");
  CHECK(findings["problems"].empty());
  CHECK(findings["findings"][0]["lug"] == "T1");
  CHECK(findings["findings"][0]["band"] == "urgent");
}

TEST_CASE("each mistake is one line, and the good image is measured all the same") {
  const fs::path folder = survey("mistakes");
  std::string rows = text_of(folder / "images.csv");
  rows += "cut.tif,CV-1,starter,2026-03-04,0.95,24,24\n";         // row 3: truncated file
  rows += "gone.tif,CV-1,starter,2026-03-04,0.95,24,24\n";        // row 4: not there
  rows += "good.csv,CV-1,terminal box,2026-03-04,0.95,24,24\n";   // row 5: the same image again
  rows += "out.csv,CV-1,disconnect,2026-03-04,1.7,24,24\n";       // row 6: impossible emissivity
  rows += "../good.csv,CV-1,disconnect,2026-03-04,0.95,24,24\n";  // row 7: leaves the folder
  rows += "bare.csv,CV-1,disconnect,2026-03-04,0.95,24,24\n";     // row 8: no marks
  rows += "odd.csv,CV-1,drive output,2026-03-04,0.95,24,24\n";    // row 9: a mark outside
  write(folder / "images.csv", rows);
  write(folder / "cut.tif", std::string("II*\0\x08\0\0\0\x05", 9));
  write(folder / "marks/cut.tif.json", marks("cut.tif"));
  write(folder / "bare.csv", matrix(30));
  write(folder / "odd.csv", matrix(30));
  write(
      folder / "marks/odd.csv.json",
      marks(
          "odd.csv",
          R"(,{"name":"T4","role":"lug","phase":1,"shape":{"kind":"circle","center":[400,30],"radius":4}})"));
  write(folder / "readings.csv",
        "motor,test,taken_at,value_1,value_2,value_3,unit\n"
        "CV-1,winding_resistance,2026-03-01,0.50,0.51,0.50,furlong\n"
        "CV-9,winding_resistance,2026-03-01,0.50,0.50,0.50,ohm\n");

  const auto [outcome, findings] = assess(folder);
  INFO(outcome.err);
  CHECK(outcome.exit_code == 1);
  CHECK(status_of(findings, "good.csv") == "measured");
  CHECK(status_of(findings, "cut.tif") == "rejected");
  CHECK(status_of(findings, "gone.tif") == "rejected");
  CHECK(status_of(findings, "bare.csv") == "unmarked");
  CHECK(status_of(findings, "odd.csv") == "measured");
  INFO(findings["problems"].dump(1));
  CHECK(has_problem(findings, "cut.tif", "", "", nullptr));
  CHECK(has_problem(findings, "gone.tif", "", "", nullptr));
  CHECK(has_problem(findings, "images.csv", "file", "good.csv", 5));
  CHECK(has_problem(findings, "images.csv", "emissivity", "1.7", 6));
  CHECK(has_problem(findings, "images.csv", "file", "../good.csv", 7));
  CHECK(has_problem(findings, "bare.csv", "", "mark", nullptr));
  CHECK(has_problem(findings, "odd.csv", "", "T4", nullptr));
  CHECK(has_problem(findings, "readings.csv", "unit", "furlong", 2));
  CHECK(has_problem(findings, "readings.csv", "", "CV-9", 3));
  // Each of them is also said on stderr, and in the report.
  for (const char* word : {"cut.tif", "gone.tif", "1.7", "../good.csv", "T4", "furlong", "CV-9"}) {
    CHECK(outcome.err.find(word) != std::string::npos);
    CHECK(text_of(fs::path(folder.string() + "-out") / "report.html").find(word) !=
          std::string::npos);
  }
}

TEST_CASE("a table without a required column is one problem that names the column") {
  const fs::path folder = survey("no-column");
  write(folder / "readings.csv", "motor,value_1,value_2,value_3,unit\nCV-1,1,1,1,ohm\n");
  const auto [outcome, findings] = assess(folder);
  CHECK(outcome.exit_code == 1);
  CHECK(has_problem(findings, "readings.csv", "", "expected test", 1));
}

TEST_CASE("integers without a declaration are rejected with the three cells to fill in") {
  const fs::path folder = survey("undeclared");
  REQUIRE(shell(std::string(OHMGLOW_PYTHON) +
                    " -c \"import numpy, tifffile; tifffile.imwrite('counts.tif', numpy.full((40, "
                    "60), 29800, 'uint16'))\"",
                folder)
              .exit_code == 0);
  write(folder / "images.csv",
        text_of(folder / "images.csv") + "counts.tif,CV-1,starter,2026-03-04,0.95,24,24\n");
  write(folder / "marks/counts.tif.json", marks("counts.tif"));
  const auto [outcome, findings] = assess(folder);
  CHECK(outcome.exit_code == 1);
  CHECK(status_of(findings, "counts.tif") == "rejected");
  for (const char* cell : {"scale", "offset", "unit"}) {
    CHECK(has_problem(findings, "counts.tif", "", cell, nullptr));
  }
}

TEST_CASE("a folder with nothing usable ends with 3 and says why") {
  const fs::path folder = fresh_folder("nothing");
  const Outcome outcome = run("assess '" + folder.string() + "' -o '" + folder.string() + "-out'");
  CHECK(outcome.exit_code == 3);
  CHECK(outcome.err.find("could be measured") != std::string::npos);
  CHECK(!fs::exists(folder.string() + "-out/findings.json"));
}

TEST_CASE("a folder that is not there ends with 3 and names it") {
  const Outcome outcome = run("assess /nowhere/at-all");
  CHECK(outcome.exit_code == 3);
  CHECK(outcome.err.find("/nowhere/at-all") != std::string::npos);
}

TEST_CASE("a broken survey.json or policy ends with 3 before anything is measured") {
  const fs::path folder = survey("broken-json");
  write(folder / "survey.json", "{\"site\": \"Bexley Creek\", \"sites\": 3}");
  const Outcome unknown = assess(folder).outcome;
  CHECK(unknown.exit_code == 3);
  CHECK(unknown.err.find("sites") != std::string::npos);
  write(folder / "survey.json", "{\"site\": ");
  CHECK(assess(folder).outcome.exit_code == 3);
  write(folder / "survey.json", "{\"policy\": \"no_such_policy\"}");
  const Outcome policy = assess(folder).outcome;
  CHECK(policy.exit_code == 3);
  CHECK(policy.err.find("no_such_policy") != std::string::npos);
}
