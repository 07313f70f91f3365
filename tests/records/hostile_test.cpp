// Survey folders come from anywhere: none of this may leave the folder, flood the output or stop
// the rest of the survey. The rules are those of docs/survey-folder.md.
#include "survey_folder.h"

#include <sys/stat.h>

using ohmglow::ErrorKind;
using ohmglow::Survey;
using test::contains;
using test::only_problem;
using test::SurveyFolder;

namespace fs = std::filesystem;

namespace {

constexpr std::size_t kShortMessage = 400;

std::string images(const std::string& cells) {
  return "file,motor,component,photo\n" + cells + "\n";
}

}  // namespace

TEST_CASE("no path of images.csv leaves the survey folder") {
  for (const std::string path : {"/etc/hostname", "../a.tif", "sub/../../a.tif", "..",
                                 "..\\..\\a.tif", "C:\\a.tif", "c:a.tif", "\\\\server\\a.tif"}) {
    INFO(path);
    const Survey listed =
        SurveyFolder("escape").with("images.csv", images(path + ",M1,starter,")).survey();
    CHECK(listed.images.empty());
    CHECK(only_problem(listed).column == "file");
    CHECK(contains(only_problem(listed).message, "inside the survey folder"));
    const Survey photo = SurveyFolder("escape_photo")
                             .with("images.csv", images("a.tif,M1,starter," + path))
                             .survey();
    CHECK(photo.images.empty());
    CHECK(only_problem(photo).column == "photo");
  }
}

TEST_CASE("a link that leads out is refused, one that stays inside is followed") {
  const fs::path outside = test::output("outside_of_links");
  fs::create_directories(outside);
  test::write(outside / "secret.tif", "x");
  SurveyFolder folder("links");
  folder.with("inside.tif", "x")
      .with("images.csv", images("way/secret.tif,M1,starter,\nb.tif,M1,starter,\n"
                                 "c.tif,M1,starter,\nround.tif,M1,starter,"));
  fs::create_directory_symlink(outside, folder.path() / "way");
  fs::create_symlink(outside / "secret.tif", folder.path() / "b.tif");
  fs::create_symlink("inside.tif", folder.path() / "c.tif");
  fs::create_symlink("round.tif", folder.path() / "round.tif");
  const Survey survey = folder.survey();
  REQUIRE(survey.images.size() == 1);
  CHECK(survey.images[0].file == "c.tif");
  REQUIRE(survey.problems.size() == 3);
  CHECK(contains(survey.problems[0].message, "link that leads out"));
  CHECK(contains(survey.problems[1].message, "link that leads out"));
}

TEST_CASE("a scan follows no link out and no folder in a circle") {
  const fs::path outside = test::output("outside_of_scan");
  fs::create_directories(outside);
  test::write(outside / "secret.tif", "x");
  SurveyFolder folder("scan_links");
  folder.with("sub/a.tif", "x");
  fs::create_directory_symlink(outside, folder.path() / "way");
  fs::create_directory_symlink(folder.path(), folder.path() / "sub/circle");
  fs::create_symlink(outside / "secret.tif", folder.path() / "b.tif");
  const Survey survey = folder.survey();
  REQUIRE(survey.images.size() == 1);
  CHECK(survey.images[0].file == "sub/a.tif");
  CHECK(only_problem(survey).file == "b.tif");
}

TEST_CASE("a table that is a folder, a pipe or a device is refused at once") {
  SurveyFolder folder("odd_tables");
  fs::create_directories(folder.path() / "motors.csv");
  fs::create_symlink("/dev/zero", folder.path() / "readings.csv");
  REQUIRE(::mkfifo((folder.path() / "images.csv").c_str(), 0600) == 0);
  const Survey survey = folder.survey();
  REQUIRE(survey.problems.size() == 3);
  for (const auto& problem : survey.problems) CHECK(contains(problem.message, "regular file"));
}

TEST_CASE("a table link that leads nowhere is a problem, not an absent table") {
  SurveyFolder folder("dangling");
  fs::create_symlink("nowhere.csv", folder.path() / "motors.csv");
  CHECK(only_problem(folder.survey()).file == "motors.csv");
}

TEST_CASE("a cell of a megabyte costs one short complaint") {
  const std::string huge(1 << 20, '9');
  const Survey number = SurveyFolder("huge_number")
                            .with("motors.csv", "motor,rated_a\nM1," + huge + "x\nM2,3\n")
                            .survey();
  CHECK(number.motors.size() == 1);
  CHECK(only_problem(number).message.size() < kShortMessage);
  const Survey id =
      SurveyFolder("huge_id").with("motors.csv", "motor\n" + huge + "\nM2\n").survey();
  CHECK(id.motors.size() == 1);
  CHECK(only_problem(id).message.size() < kShortMessage);
  const Survey path = SurveyFolder("huge_path")
                          .with("images.csv", images(huge.substr(0, 9000) + ",M1,starter,"))
                          .survey();
  CHECK(path.images.empty());
  CHECK(only_problem(path).message.size() < kShortMessage);
  const Survey header =
      SurveyFolder("huge_header").with("motors.csv", "motor," + huge + "\nM1,2\n").survey();
  CHECK(header.motors.size() == 1);
  CHECK(only_problem(header).message.size() < kShortMessage);
}

TEST_CASE("a header of ten thousand unknown columns is one short complaint") {
  std::string header = "motor";
  for (int i = 0; i < 10'000; ++i) header += ",c" + std::to_string(i);
  const Survey survey = SurveyFolder("wide").with("motors.csv", header + "\nM1,1\n").survey();
  CHECK(survey.motors.size() == 1);
  CHECK(only_problem(survey).message.size() < kShortMessage);
}

TEST_CASE("control characters and NUL bytes do not get through a table") {
  const Survey escape =
      SurveyFolder("escape_sequence").with("motors.csv", "motor\n\x1b[31mred\nM2\n").survey();
  CHECK(escape.motors.size() == 1);
  CHECK(only_problem(escape).message.find('\x1b') == std::string::npos);
  const Survey nul =
      SurveyFolder("nul").with("motors.csv", std::string_view("motor\nM\0001\n", 10)).survey();
  CHECK(nul.motors.empty());
  CHECK(only_problem(nul).file == "motors.csv");
}

TEST_CASE("a table that is neither UTF-8 nor Windows-1252 is refused as a whole, once") {
  const Survey survey =
      SurveyFolder("neither").with("motors.csv", "motor,description\nM1,F\x81\xFCller\n").survey();
  CHECK(survey.motors.empty());
  CHECK(only_problem(survey).file == "motors.csv");
}

TEST_CASE("invalid UTF-8 and control characters in survey.json are refused") {
  CHECK(SurveyFolder("json_latin1").with("survey.json", "{\"site\":\"F\xFCller\"}").error().kind ==
        ErrorKind::not_this_format);
  CHECK(SurveyFolder("json_escape").with("survey.json", R"({"site":"\u001b[31m"})").error().kind ==
        ErrorKind::invalid_value);
  CHECK(SurveyFolder("json_nul").with("survey.json", std::string_view("{}\0{", 4)).error().kind ==
        ErrorKind::not_this_format);
}

TEST_CASE("deep JSON is refused without deep recursion") {
  constexpr std::size_t kDepth = 2'000'000;
  const auto deep = [](std::string_view opening, std::string_view closing) {
    std::string text = "{\"defaults\":";
    for (std::size_t i = 0; i < kDepth; ++i) text += opening;
    text += '1';
    for (std::size_t i = 0; i < kDepth; ++i) text += closing;
    return text + "}";
  };
  const auto nested = SurveyFolder("deep").with("survey.json", deep("[", "]")).error();
  CHECK(nested.kind == ErrorKind::too_large);
  CHECK(SurveyFolder("deep_objects").with("survey.json", deep("{\"a\":", "}")).error().kind ==
        ErrorKind::too_large);
  CHECK(SurveyFolder("deep_open").with("survey.json", std::string(kDepth, '[')).error().kind !=
        ErrorKind::system);
}

TEST_CASE("a JSON file over its limit is refused before it is read") {
  const std::string large = test::around("{\"site\":\"", 'x', std::size_t{17} << 20, "\"}");
  CHECK(SurveyFolder("large_json").with("survey.json", large).error().kind == ErrorKind::too_large);
}

TEST_CASE("a member's name of a megabyte is quoted short") {
  const std::string json = test::around("{\"", 'k', 1 << 20, "\":1}");
  const auto error = SurveyFolder("long_member").with("survey.json", json).error();
  CHECK(sentence_with_place(error).size() < kShortMessage);
}

TEST_CASE("a row that is damaged is left out with its place, the others are judged") {
  const Survey survey =
      SurveyFolder("damaged_rows")
          .with("motors.csv", "motor,description\nM1,first\nM2,\"never closed\nM3,third\n")
          .survey();
  REQUIRE(survey.motors.size() == 2);
  CHECK(survey.motors[1].id == "M3");
  CHECK(only_problem(survey).row == 3);
  CHECK(only_problem(survey).column == "description");
  CHECK(contains(only_problem(survey).message, "quote"));
  const Survey nul = SurveyFolder("nul_in_file_name")
                         .with("motors.csv", "motor\nM1\n")
                         .with("a.tif", "x")
                         .with("images.csv", images(std::string("a.tif,M1,starter,\nb\0.tif,M1,"
                                                                "starter,\nc.tif,M1,starter,",
                                                                54)))
                         .survey();
  CHECK(nul.images.size() == 2);
  CHECK(only_problem(nul).row == 3);
  CHECK(only_problem(nul).column == "file");
}

TEST_CASE("a row of a hundred thousand cells is refused alone") {
  std::string rows = "motor,description\nM1,first\nM2,second";
  for (int i = 0; i < 100'000; ++i) rows += ",x";
  const Survey survey = SurveyFolder("wide_row").with("motors.csv", rows + "\nM3,third\n").survey();
  CHECK(survey.motors.size() == 2);
  CHECK(only_problem(survey).row == 3);
  CHECK(only_problem(survey).message.size() < kShortMessage);
}
