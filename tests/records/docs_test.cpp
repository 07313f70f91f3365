// The user's page docs/survey-folder.md against the reader itself: its examples work, and its
// tables name the columns that the reader knows.
#include "survey_folder.h"

#include <nlohmann/json.hpp>
#include <set>

using test::SurveyFolder;

namespace {

const std::string& page() {
  static const std::string text =
      test::read(test::fs::path(OHMGLOW_SOURCE_DIR) / "docs/survey-folder.md");
  return text;
}

/// The JSON example below a heading.
std::string example(const std::string& heading) {
  const auto section = page().find("\n## " + heading + "\n");
  REQUIRE(section != std::string::npos);
  const std::string opening = "```json\n";
  const auto from = page().find(opening, section);
  const auto to = page().find("```", from + opening.size());
  REQUIRE(to != std::string::npos);
  return page().substr(from + opening.size(), to - from - opening.size());
}

/// The names in the first column of the table below a heading.
std::vector<std::string> columns(const std::string& heading) {
  const auto section = page().find("\n## " + heading + "\n");
  REQUIRE(section != std::string::npos);
  std::istringstream lines(page().substr(section + 4, page().find("\n## ", section + 4) - section));
  std::vector<std::string> names;
  for (std::string line; std::getline(lines, line);) {
    if (!line.starts_with("| `")) continue;
    std::string cell = line.substr(0, line.find(" |", 2));
    while (cell.find('`') != std::string::npos) {
      cell.erase(0, cell.find('`') + 1);
      names.push_back(cell.substr(0, cell.find('`')));
      cell.erase(0, cell.find('`') + 1);
    }
  }
  return names;
}

std::string joined(const std::vector<std::string>& names) {
  std::string text;
  for (const std::string& name : names) text += (text.empty() ? "" : ",") + name;
  return text;
}

}  // namespace

TEST_CASE("the page's example of survey.json is read") {
  const auto survey =
      SurveyFolder("docs_survey").with("survey.json", example("survey.json")).survey();
  CHECK(survey.site == "Bexley Creek grain terminal");
  CHECK(survey.phase_names[2] == "C");
}

TEST_CASE("the page's example of marks is read") {
  const auto survey =
      SurveyFolder("docs_marks")
          .with("images.csv", "file,motor,component\nbe2/terminal box.tif,BE-2,terminal box\n")
          .with("marks/be2/terminal box.tif.json", example("marks"))
          .survey();
  CHECK(survey.problems.empty());
  CHECK(survey.marks.at("be2/terminal box.tif").marks.size() == 2);
}

TEST_CASE("the page's example of a policy is read") {
  const auto policy =
      ohmglow::records::parse_policy(example("A policy file of one's own"), "plant.json");
  if (!policy) FAIL(sentence_with_place(policy.error()));
  CHECK(policy->bands.size() == 2);
}

TEST_CASE("the page's tables list no column that the reader does not know") {
  const auto motors = columns("motors.csv");
  const auto images = columns("images.csv");
  const auto readings = columns("readings.csv");
  const auto sweeps = columns("sweeps.csv");
  const auto air_gap = columns("air_gap.csv");
  CHECK(sweeps.size() == 14);
  CHECK(air_gap.size() == 9);
  CHECK(motors.size() == 38);
  CHECK(readings.size() == 19);
  const auto circuit = columns("circuit.csv");
  CHECK(circuit.size() == 11);
  const auto survey = SurveyFolder("docs_columns")
                          .with("circuit.csv", joined(circuit) + "\n")
                          .with("motors.csv", joined(motors) + "\n")
                          .with("images.csv", joined(images) + "\n")
                          .with("readings.csv", joined(readings) + "\n")
                          .with("sweeps.csv", joined(sweeps) + "\n")
                          .with("air_gap.csv", joined(air_gap) + "\n")
                          .survey();
  for (const auto& problem : survey.problems) CHECK(problem.message.empty());
}

TEST_CASE("the page lists every column of images.csv that the schema of survey.json lists") {
  const auto schema = nlohmann::json::parse(
      test::read(test::fs::path(OHMGLOW_SOURCE_DIR) / "docs/schema/survey.schema.json"));
  std::set<std::string> expected{"file"};
  for (const auto& item : schema["properties"]["defaults"]["properties"].items())
    expected.insert(item.key());
  const auto listed = columns("images.csv");
  CHECK(std::set<std::string>(listed.begin(), listed.end()) == expected);
}
