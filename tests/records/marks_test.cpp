// The rules under test are those of marks/ in docs/survey-folder.md.
#include "offered/editing/survey_edits.h"
#include "offered/intake/mark_files.h"
#include "survey_folder.h"

#include <cmath>

using ohmglow::MarkFile;
using ohmglow::Phase;
using ohmglow::Survey;
using test::contains;
using test::only_problem;
using test::SurveyFolder;

namespace {

const std::string kCircle = R"({"kind":"circle","center":[4,5],"radius":2})";

std::string mark(const std::string& name, const std::string& more = "",
                 const std::string& shape = kCircle) {
  return R"({"name":")" + name + R"(","role":"lug","shape":)" + shape + more + "}";
}

std::string file(const std::string& marks, const std::string& image = "a.tif") {
  return R"({"version":1,"image":")" + image + R"(","size":[64,48],"marks":[)" + marks + "]}";
}

Survey survey_with(const std::string& marks_file) {
  return SurveyFolder("marks")
      .with("images.csv", "file,motor,component\na.tif,M1,starter\n")
      .with("marks/a.tif.json", marks_file)
      .survey();
}

const MarkFile& marks_of(const Survey& survey) {
  return survey.marks.at("a.tif");
}

}  // namespace

TEST_CASE("marks keep their shapes, roles, phases and origin") {
  const Survey survey = survey_with(file(
      mark("T1") + "," +
      mark(
          "box",
          R"(,"phase":2,"emissivity":0.95,"emissivity_u":0.015,"material":"tinned copper","origin":"hand")",
          R"({"kind":"rectangle","corner":[1,2],"size":[3,4]})") +
      "," +
      mark("poly", R"(,"phase":"L3","origin":"carried","from":"2025 survey","confidence":0.75)",
           R"({"kind":"polygon","points":[[0,0],[5,0],[0,5.5]]})") +
      R"(,{"name":"wall","role":"ambient","shape":)" + kCircle + "}"));
  REQUIRE(survey.problems.empty());
  const MarkFile& marks = marks_of(survey);
  CHECK(marks.image == "a.tif");
  CHECK(marks.width == 64);
  CHECK(marks.height == 48);
  REQUIRE(marks.marks.size() == 4);
  CHECK(marks.marks[0].phase == Phase::one);
  CHECK(std::get<ohmglow::Circle>(marks.marks[0].shape).radius == 2);
  CHECK(marks.marks[1].phase == Phase::two);
  CHECK(marks.marks[1].emissivity == ohmglow::Emissivity{0.95});
  CHECK(marks.marks[1].emissivity_u == 0.015);
  CHECK(marks.marks[1].material == "tinned copper");
  CHECK(std::get<ohmglow::Rectangle>(marks.marks[1].shape).size == ohmglow::PixelPoint{3, 4});
  CHECK(marks.marks[2].phase == Phase::three);
  CHECK(marks.marks[2].origin == ohmglow::MarkOrigin::carried);
  CHECK(marks.marks[2].carried_from == "2025 survey");
  CHECK(marks.marks[2].confidence == 0.75);
  CHECK_FALSE(marks.marks[2].is_confirmed());
  CHECK(std::get<ohmglow::Polygon>(marks.marks[2].shape).points.back() ==
        ohmglow::PixelPoint{0, 5.5});
  CHECK(marks.marks[3].role == ohmglow::MarkRole::ambient);
  CHECK_FALSE(marks.marks[3].phase.has_value());
}

TEST_CASE("a mark counts as confirmed where a person made it or said so") {
  // docs/survey-folder.md: absent is true for hand, false for the others.
  const auto is_confirmed = [](const std::string& members) {
    const Survey survey = survey_with(file(mark("T1", members)));
    REQUIRE(survey.problems.empty());
    return marks_of(survey).marks.at(0).is_confirmed();
  };
  CHECK(is_confirmed(""));
  CHECK(is_confirmed(R"(,"origin":"hand")"));
  CHECK_FALSE(is_confirmed(R"(,"origin":"hand","confirmed":false)"));
  CHECK_FALSE(is_confirmed(R"(,"origin":"proposed")"));
  CHECK_FALSE(is_confirmed(R"(,"origin":"carried")"));
  CHECK(is_confirmed(R"(,"origin":"carried","confirmed":true)"));
}

TEST_CASE("a bad mark is left out with its place, the others stay") {
  const std::vector<std::pair<std::string, std::string>> bad{
      {mark("T2", R"(,"colour":"red")"), "marks[1].colour"},
      {mark("T2", R"(,"emissivity":0)"), "marks[1].emissivity"},
      {mark("T2", R"(,"emissivity":1.1)"), "marks[1].emissivity"},
      {mark("T2", R"(,"emissivity_u":-0.1)"), "marks[1].emissivity_u"},
      {mark("T2", R"(,"confidence":2)"), "marks[1].confidence"},
      {mark("T2", R"(,"origin":"guessed")"), "marks[1].origin"},
      {mark("T2", R"(,"phase":4)"), "marks[1].phase"},
      {mark("T2", R"(,"phase":1.5)"), "marks[1].phase"},
      {mark("T2", R"(,"phase":"N")"), "marks[1].phase"},
      {mark("left lug"), "marks[1].phase"},
      {mark("T1"), "marks[1].name"},
      {mark(""), "marks[1].name"},
      {R"({"name":"T2","shape":)" + kCircle + "}", "marks[1].role"},
      {R"({"name":"T2","role":"spot","shape":)" + kCircle + "}", "marks[1].role"},
      {R"({"name":"T2","role":"lug"})", "marks[1].shape"},
      {mark("T2", "", R"({"kind":"star"})"), "marks[1].shape.kind"},
      {mark("T2", "", R"({"center":[1,1],"radius":1})"), "marks[1].shape.kind"},
      {mark("T2", "", R"({"kind":"circle","center":[1,1]})"), "marks[1].shape.radius"},
      {mark("T2", "", R"({"kind":"circle","center":[1,1],"radius":0})"), "marks[1].shape.radius"},
      {mark("T2", "", R"({"kind":"circle","center":[1,1,1],"radius":1})"), "marks[1].shape.center"},
      {mark("T2", "", R"({"kind":"circle","center":[1,2e7],"radius":1})"),
       "marks[1].shape.center[1]"},
      {mark("T2", "", R"({"kind":"circle","center":[1,"2"],"radius":1})"),
       "marks[1].shape.center[1]"},
      {mark("T2", "", R"({"kind":"circle","center":[1,2],"radius":1,"size":[1,1]})"),
       "marks[1].shape.size"},
      {mark("T2", "", R"({"kind":"rectangle","corner":[1,2],"size":[-1,4]})"),
       "marks[1].shape.size[0]"},
      {mark("T2", "", R"({"kind":"polygon","points":[[0,0],[1,1]]})"), "marks[1].shape.points"},
      {mark("T2", "", R"({"kind":"polygon","points":[[0,0],[1,1],[2]]})"),
       "marks[1].shape.points[2]"},
      {"[]", "marks[1]"},
  };
  for (const auto& [text, place] : bad) {
    INFO(text);
    const Survey survey = survey_with(file(mark("T1") + "," + text + "," + mark("T3")));
    CHECK(marks_of(survey).marks.size() == 2);
    const auto problem = only_problem(survey);
    CHECK(problem.file == "marks/a.tif.json");
    CHECK(problem.column == place);
    CHECK(contains(problem.message, "left out"));
  }
}

TEST_CASE("a broken mark file leaves its image without marks and says why") {
  const std::vector<std::string> broken{
      "",
      "{",
      "[]",
      R"({"version":1})",
      file("", "b.tif"),
      R"({"version":2,"image":"a.tif","size":[64,48],"marks":[]})",
      R"({"version":"1","image":"a.tif","size":[64,48],"marks":[]})",
      R"({"version":1,"image":"a.tif","size":[0,48],"marks":[]})",
      R"({"version":1,"image":"a.tif","size":[64.5,48],"marks":[]})",
      R"({"version":1,"image":"a.tif","size":[64,48],"marks":{}})",
      R"({"version":1,"image":"a.tif","size":[64,48],"marks":[],"extra":1})",
      R"({"version":1,"image":"a.tif","size":[64,48],"marks":[],"marks":[]})"};
  for (const std::string& text : broken) {
    INFO(text);
    const Survey survey = survey_with(text);
    CHECK(survey.images.size() == 1);
    CHECK(survey.marks.empty());
    CHECK(only_problem(survey).file == "marks/a.tif.json");
  }
}

TEST_CASE("marks mirror the subfolders of their images and may name the file or its path") {
  const Survey survey =
      SurveyFolder("mirrored")
          .with("images.csv",
                "file,motor,component\nbay 2/a.tif,M1,starter\nbay 3/a.tif,M2,starter\n")
          .with("marks/bay 2/a.tif.json", file(mark("T1")))
          .with("marks/bay 3/a.tif.json", file(mark("T2"), "bay 3/a.tif"))
          .survey();
  CHECK(survey.problems.empty());
  CHECK(survey.marks.at("bay 2/a.tif").marks.at(0).name == "T1");
  CHECK(survey.marks.at("bay 3/a.tif").marks.at(0).name == "T2");
}

TEST_CASE("a mark file of no listed image is one problem, that of a rejected row is none") {
  const Survey survey =
      SurveyFolder("orphans")
          .with("images.csv", "file,motor,component,emissivity\na.tif,M1,starter,2\n")
          .with("marks/a.tif.json", file(mark("T1")))
          .with("marks/gone.tif.json", file(mark("T1"), "gone.tif"))
          .survey();
  REQUIRE(survey.problems.size() == 2);
  CHECK(survey.problems[0].column == "emissivity");
  CHECK(survey.problems[1].file == "marks/gone.tif.json");
  CHECK(contains(survey.problems[1].message, "no image of the survey"));
}

TEST_CASE("a survey's own phase names tell a lug's phase") {
  const Survey survey = SurveyFolder("declared_names")
                            .with("survey.json", R"({"phase_names":["R","Y","B"]})")
                            .with("images.csv", "file,motor,component\na.tif,M1,starter\n")
                            .with("marks/a.tif.json", file(mark("Y")))
                            .survey();
  CHECK(survey.problems.empty());
  CHECK(survey.marks.at("a.tif").marks.at(0).phase == Phase::two);
}

TEST_CASE("marks that are written read back the same, in a subfolder too") {
  const SurveyFolder folder("write_marks");
  MarkFile marks{.image = "bay 2/a.tif", .width = 64, .height = 48, .marks = {}};
  ohmglow::Mark lug{
      .name = "T1 \"left\"", .phase = Phase::one, .shape = ohmglow::Circle{{0.1, 1.0 / 3}, 2.5}};
  lug.emissivity = ohmglow::Emissivity{0.7};
  lug.emissivity_u = 0.04;
  lug.material = "zinc";
  lug.origin = ohmglow::MarkOrigin::proposed;
  lug.confidence = 0.125;
  marks.marks.push_back(lug);
  marks.marks.push_back({.name = "air",
                         .role = ohmglow::MarkRole::ambient,
                         .phase = {},
                         .shape = ohmglow::Polygon{{{0, 0}, {1, 0}, {1, 1}}}});
  REQUIRE(ohmglow::records::write_marks(folder.path(), marks).has_value());
  CHECK(ohmglow::records::marks_path(folder.path(), "bay 2/a.tif") ==
        folder.path() / "marks/bay 2/a.tif.json");
  const auto read =
      ohmglow::records::read_marks(folder.path(), "bay 2/a.tif", ohmglow::default_phase_names());
  REQUIRE(read.has_value());
  CHECK(read->problems.empty());
  CHECK(read->file.image == "bay 2/a.tif");
  REQUIRE(read->file.marks.size() == 2);
  CHECK(std::get<ohmglow::Circle>(read->file.marks[0].shape).center ==
        ohmglow::PixelPoint{0.1, 1.0 / 3});
  CHECK(ohmglow::records::marks_json(read->file) == ohmglow::records::marks_json(marks));
}

TEST_CASE("marks are neither read nor written outside the survey folder") {
  const SurveyFolder folder("marks_outside");
  const MarkFile marks{.image = "../../escape.tif", .width = 1, .height = 1, .marks = {}};
  const auto written = ohmglow::records::write_marks(folder.path(), marks);
  REQUIRE_FALSE(written);
  CHECK(written.error().kind == ohmglow::ErrorKind::outside_survey);
  const auto read =
      ohmglow::records::read_marks(folder.path(), "../../x.tif", ohmglow::default_phase_names());
  REQUIRE_FALSE(read);
  CHECK(read.error().kind == ohmglow::ErrorKind::outside_survey);
}

TEST_CASE(
    "a material that is not known is a problem that names the known ones, where no emissivity "
    "stands beside it") {
  // docs/survey-folder.md: the material serves a mark without an emissivity.
  const auto problems_of = [](const std::string& members) {
    return SurveyFolder("marks_material")
        .with("images.csv", "file,motor,component\na.tif,M,box\n")
        .with("marks/a.tif.json",
              R"({"version":1,"image":"a.tif","size":[40,30],"marks":[{"name":"T1","role":"lug",)" +
                  members + R"("shape":{"kind":"circle","center":[9,9],"radius":4}}]})")
        .survey();
  };
  const auto stranger = problems_of(R"("material":"gold leaf",)");
  CHECK(test::only_problem(stranger).column == "marks[0].material");
  CHECK(test::contains(test::only_problem(stranger).message, "copper_oxidised"));
  CHECK(stranger.marks.at("a.tif").marks.size() == 1);
  CHECK(problems_of(R"("material":"Copper, oxidised",)").problems.empty());
  CHECK(problems_of(R"("material":"gold leaf","emissivity":0.03,)").problems.empty());
}
