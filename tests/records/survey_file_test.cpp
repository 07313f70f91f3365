// The rules under test are those of survey.json and of the folder scan in docs/survey-folder.md.
#include "survey_folder.h"

using ohmglow::ErrorKind;
using ohmglow::Survey;
using test::contains;
using test::only_problem;
using test::SurveyFolder;

namespace {

ohmglow::Error broken(std::string_view json) {
  return SurveyFolder("broken_survey_json").with("survey.json", json).error();
}

std::vector<std::string> files_of(const Survey& survey) {
  std::vector<std::string> files;
  for (const auto& image : survey.images) files.push_back(image.file);
  return files;
}

}  // namespace

TEST_CASE("an empty folder is an empty survey") {
  const Survey survey = SurveyFolder("empty").survey();
  CHECK(survey.problems.empty());
  CHECK(survey.images.empty());
  CHECK(survey.phase_names == ohmglow::default_phase_names());
}

TEST_CASE("a folder that is not there, or is a file, is an error") {
  const SurveyFolder folder("no_folder");
  const auto missing = ohmglow::records::read_survey(folder.path() / "nowhere");
  REQUIRE_FALSE(missing);
  CHECK(missing.error().kind == ErrorKind::missing);
  test::write(folder.path() / "a_file", "x");
  const auto file = ohmglow::records::read_survey(folder.path() / "a_file");
  REQUIRE_FALSE(file);
  CHECK(file.error().kind == ErrorKind::not_this_format);
}

TEST_CASE("survey.json says who, where, when, and what the phases are called") {
  const Survey survey =
      SurveyFolder("survey_json")
          .with("survey.json", R"({"site":"Bexley Creek grain terminal","surveyed_on":"2026-03-04",
                                 "thermographer":"A. Reader","policy":"mil_std_2194","phase_names":["R","Y","B"]})")
          .survey();
  CHECK(survey.site == "Bexley Creek grain terminal");
  CHECK(survey.surveyed_on->text == "2026-03-04");
  CHECK(survey.thermographer == "A. Reader");
  CHECK(survey.thermographer_level.empty());
  CHECK(survey.camera == ohmglow::Camera{});
  CHECK(survey.policy == "mil_std_2194");
  CHECK(survey.phase_names == ohmglow::PhaseNames{"R", "Y", "B"});
}

TEST_CASE("survey.json says how the thermographer is qualified and which camera it was") {
  const Survey survey =
      SurveyFolder("survey_json_camera")
          .with("survey.json",
                R"({"thermographer_level":"II","thermographer_certificate":"BXC-II-031",
                "camera":{"make":"own build","model":"loan 2","serial":"BXC-0417",
                          "calibrated_on":"2025-06-16","lens":"25 degrees"}})")
          .survey();
  CHECK(survey.thermographer_level == "II");
  CHECK(survey.thermographer_certificate == "BXC-II-031");
  CHECK(survey.camera == ohmglow::Camera{.make = "own build",
                                         .model = "loan 2",
                                         .serial = "BXC-0417",
                                         .calibrated_on = ohmglow::Moment::parse("2025-06-16"),
                                         .lens = "25 degrees"});
}

TEST_CASE("defaults fill the empty cells and absent columns of images.csv, a given cell wins") {
  const Survey survey =
      SurveyFolder("defaults")
          .with("survey.json",
                R"({"defaults":{"emissivity":0.9,"air_c":20,"component":"terminal box","scale":0.04,
                                   "unit":"k","taken_at":"2026-03-04"}})")
          .with("images.csv", "file,motor,emissivity\na.tif,M1,\nb.tif,M2,0.5\n")
          .survey();
  REQUIRE(survey.problems.empty());
  REQUIRE(survey.images.size() == 2);
  CHECK(survey.images[0].parameters.emissivity == ohmglow::Emissivity{0.9});
  CHECK(survey.images[1].parameters.emissivity == ohmglow::Emissivity{0.5});
  CHECK(survey.images[1].parameters.air_c == ohmglow::Celsius{20});
  CHECK(survey.images[1].component == "terminal box");
  CHECK(survey.images[1].taken_at->text == "2026-03-04");
  CHECK(survey.images[1].parameters.scale == 0.04);
}

TEST_CASE(
    "a default may complete a row's scale, and is read with a full stop whatever the table uses") {
  const Survey survey =
      SurveyFolder("default_unit")
          .with("survey.json", R"({"defaults":{"unit":"c","emissivity":0.95}})")
          .with("images.csv", "file;motor;component;scale\na.tif;M1;starter;0,04\n")
          .survey();
  REQUIRE(survey.images.size() == 1);
  CHECK(survey.images[0].parameters.scale == 0.04);
  CHECK(survey.images[0].parameters.emissivity == ohmglow::Emissivity{0.95});
}

TEST_CASE("a broken survey.json stops before anything is measured, with the member's name") {
  const std::vector<std::pair<std::string, std::string>> broken_files{
      {R"({"sight":"x"})", "sight"},
      {R"({"site":7})", "site"},
      {R"({"site":null})", "site"},
      {R"({"site":"a","site":"b"})", "site"},
      {R"({"defaults":{"air_c":20,"air_c":21}})", "defaults.air_c"},
      {R"({"defaults":{"file":"a.tif"}})", "defaults.file"},
      {R"({"defaults":{"emissivity":1.2}})", "defaults.emissivity"},
      {R"({"defaults":{"emissivity":"0.9"}})", "defaults.emissivity"},
      {R"({"defaults":{"page":1.5}})", "defaults.page"},
      {R"({"defaults":{"motor":12}})", "defaults.motor"},
      {R"({"defaults":{"emisivity":0.9}})", "defaults.emisivity"},
      {R"({"defaults":{"window_transmittance":0.9,"window_reflectance":0.2}})",
       "defaults.window_transmittance"},
      {R"({"defaults":[]})", "defaults"},
      {R"({"thermographer_level":2})", "thermographer_level"},
      {R"({"thermographer_certificate":null})", "thermographer_certificate"},
      {R"({"camera":"loan 2"})", "camera"},
      {R"({"camera":{"serial":417}})", "camera.serial"},
      {R"({"camera":{"calibrated_on":"last June"}})", "camera.calibrated_on"},
      {R"({"camera":{"calibrated_on":""}})", "camera.calibrated_on"},
      {R"({"camera":{"lense":"wide"}})", "camera.lense"},
      {R"({"surveyed_on":"yesterday"})", "surveyed_on"},
      {R"({"surveyed_on":"2026-02-30"})", "surveyed_on"},
      {R"({"phase_names":["A","B"]})", "phase_names"},
      {R"({"phase_names":["A","B","a"]})", "phase_names[2]"},
      {R"({"phase_names":["A","","C"]})", "phase_names[1]"},
      {R"({"phase_names":"ABC"})", "phase_names"},
      {R"({"policy":"no_such_policy"})", "policy"},
      {R"({"policy":"../policy.json"})", "policy"},
      {R"({"defaults":{"photo":"../a.jpg"}})", "defaults.photo"},
      {R"({"policy":"/etc/hostname"})", "policy"},
  };
  for (const auto& [json, member] : broken_files) {
    INFO(json);
    const ohmglow::Error error = broken(json);
    CHECK(error.place.file == "survey.json");
    CHECK(error.place.column == member);
  }
}

TEST_CASE("defaults know the running time and degrees Fahrenheit, and a row's own scale wins") {
  const Survey survey =
      SurveyFolder("default_scales")
          .with("survey.json", R"({"defaults":{"running_min":40,"air_f":68,"reflected_c":18}})")
          .with("images.csv",
                "file,motor,component,air_c,reflected_f\na.tif,M1,box,,\nb.tif,M1,box,25,50\n")
          .survey();
  REQUIRE(survey.problems.empty());
  REQUIRE(survey.images.size() == 2);
  CHECK(survey.images[0].parameters.running_min == 40);
  CHECK(survey.images[0].parameters.air_c == ohmglow::Celsius{20});
  CHECK(survey.images[0].parameters.reflected_c == ohmglow::Celsius{18});
  CHECK(survey.images[1].parameters.air_c == ohmglow::Celsius{25});
  CHECK(survey.images[1].parameters.reflected_c == ohmglow::Celsius{10});
}

TEST_CASE("a default in both scales is refused, in whatever order they stand") {
  for (const auto& [json, second] : std::vector<std::pair<std::string, std::string>>{
           {R"({"defaults":{"air_c":20,"air_f":68}})", "defaults.air_f"},
           {R"({"defaults":{"air_f":68,"air_c":20}})", "defaults.air_f"}}) {
    INFO(json);
    const ohmglow::Error error = broken(json);
    CHECK(error.kind == ErrorKind::conflict);
    CHECK(error.place.column == second);
    CHECK(contains(error.expected, "not both"));
  }
}

TEST_CASE("a default that cannot be used is answered with what was probably meant") {
  CHECK(contains(broken(R"({"defaults":{"emissivity":95}})").expected, "(did you mean 0.95?)"));
  CHECK(contains(broken(R"({"defaults":{"emissivity":"0,95"}})").expected, "(did you mean 0.95?)"));
  CHECK(
      contains(broken(R"({"defaults":{"emisivity":0.9}})").expected, "(did you mean emissivity?)"));
  CHECK(
      contains(broken(R"({"surveyed on":"2026-03-04"})").expected, "(did you mean surveyed_on?)"));
  CHECK(contains(broken(R"({"policy":"Neta-MTS"})").expected, "(did you mean neta_mts?)"));
}

TEST_CASE("what is not JSON is refused with its byte") {
  CHECK(broken("").kind == ErrorKind::empty);
  CHECK(broken(" \n").kind == ErrorKind::empty);
  CHECK(broken("[]").kind == ErrorKind::invalid_value);
  const ohmglow::Error error = broken("{\"site\": nowhere}");
  CHECK(error.kind == ErrorKind::not_this_format);
  REQUIRE(error.place.byte_offset.has_value());
  // The offending letter is the second of "nowhere", the ninth byte begins it.
  CHECK(*error.place.byte_offset == 10);
  CHECK(broken("{\"site\":\"x\"} trailing").kind == ErrorKind::not_this_format);
  CHECK(broken("{} // comment").kind == ErrorKind::not_this_format);
  CHECK(broken("{\"defaults\":{\"air_c\":1e999}}").kind == ErrorKind::not_this_format);
  CHECK(broken("{\"defaults\":{\"air_c\":NaN}}").kind == ErrorKind::not_this_format);
}

TEST_CASE("without images.csv every image of the folder is taken, sorted by path") {
  const Survey survey =
      SurveyFolder("scan")
          .with("z.tif", "x")
          .with("A.TIFF", "x")
          .with("fan 3/b.npy", "x")
          .with("fan 3/a.png", "x")
          .with("fan 3/notes.txt.bak", "x")
          .with("marks/z.tif.json", R"({"version":1,"image":"z.tif","size":[4,4],"marks":[]})")
          .with("marks/odd.tif", "x")
          .with(".hidden/c.tif", "x")
          .with(".d.tif", "x")
          .with("out/findings.json", "{}")
          .with("out/e.png", "x")
          .with("readme.md", "x")
          .with("circuit.csv", "motor,place,order\nM1,starter,1\n")
          .with("ranked.csv", "x")
          .survey();
  CHECK(survey.problems.empty());
  CHECK(files_of(survey) ==
        std::vector<std::string>{"A.TIFF", "fan 3/a.png", "fan 3/b.npy", "z.tif"});
  CHECK(survey.images[0].motor == "A");
  CHECK(survey.images[1].motor == "fan 3");
  CHECK(survey.images[1].component == "connection");
  CHECK_FALSE(survey.images[1].row.has_value());
  CHECK(survey.marks.count("z.tif") == 1);
}

TEST_CASE("a scan takes all parameters from the defaults") {
  const Survey survey =
      SurveyFolder("scan_defaults")
          .with("survey.json",
                R"({"defaults":{"motor":"M7","component":"starter","emissivity":0.8}})")
          .with("sub/a.tif", "x")
          .survey();
  REQUIRE(survey.images.size() == 1);
  CHECK(survey.images[0].motor == "M7");
  CHECK(survey.images[0].component == "starter");
  CHECK(survey.images[0].parameters.emissivity == ohmglow::Emissivity{0.8});
}

TEST_CASE("an images.csv without rows means no images, not a scan") {
  const Survey survey = SurveyFolder("no_rows")
                            .with("images.csv", "file,motor,component\n")
                            .with("a.tif", "x")
                            .survey();
  CHECK(survey.problems.empty());
  CHECK(survey.images.empty());
}
