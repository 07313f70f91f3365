// Tables and files under the names, and in the encodings, that people keep them in.
#include "../python.h"
#include "offered/editing/survey_edits.h"
#include "offered/intake/survey_tables.h"
#include "survey_folder.h"

#include <algorithm>

using namespace ohmglow;
using test::only_problem;
using test::SurveyFolder;

namespace {

constexpr const char* kHeader = "file,motor,component\n";

std::string in_utf_16(std::string_view ascii) {
  std::string bytes("\xFF\xFE");
  for (const char c : ascii) bytes.append({c, '\0'});
  return bytes;
}

bool tells(const Problem& problem, std::string_view text) {
  return problem.message.find(text) != std::string::npos;
}

/// A workbook of one sheet, in a folder.
void write_workbook(const SurveyFolder& folder, const std::string& file, const std::string& rows) {
  static_cast<void>(words_from_python("kept-" + folder.path().filename().string() + file,
                                      "import openpyxl\nbook = openpyxl.Workbook()\nfor row in " +
                                          rows + ":\n    book.active.append(row)\nbook.save('" +
                                          (folder.path() / file).string() + "')\n"));
}

}  // namespace

TEST_CASE("a table is found by its name in any letters, and called as it is called") {
  SurveyFolder folder("kept-letters");
  folder.with("Images.CSV", std::string(kHeader) + "a.csv,M1,box\n,M1,box\n")
      .with("MOTORS.csv", "motor,rated_a\nM1,10\n")
      .with("a.csv", "1,2\n");
  const Survey survey = folder.survey();
  CHECK(survey.images.size() == 1);
  CHECK(survey.motors.size() == 1);
  const Problem problem = only_problem(survey);
  CHECK(problem.file == "Images.CSV");
  CHECK(problem.row == 3);
  CHECK(survey.tables.images == "Images.CSV");
  REQUIRE(survey.files.size() == 2);
  CHECK(survey.files[0].path == "MOTORS.csv");
  CHECK(survey.files[1].path == "Images.CSV");
  CHECK_FALSE(survey.files[1].sha256.empty());
}

TEST_CASE("a table that is there twice is read from neither, and both are named") {
  SurveyFolder folder("kept-twice");
  folder.with("images.csv", kHeader).with("Images.CSV", kHeader).with("a.csv", "1,2\n");
  const Survey survey = folder.survey();
  CHECK(survey.images.empty());
  const Problem problem = only_problem(survey);
  CHECK(tells(problem, "Images.CSV, images.csv"));
  CHECK(tells(problem, "move the other out"));
  CHECK_FALSE(problem.is_remark);
  CHECK(records::table_names(folder.path()).images.empty());
}

TEST_CASE("a table that only another program reads says which to save it as") {
  SurveyFolder folder("kept-ods");
  folder.with("readings.ods", "x").with("motors.xls", "x");
  const Survey survey = folder.survey();
  REQUIRE(survey.problems.size() == 2);
  CHECK(tells(survey.problems[0], "motors.csv or motors.xlsx"));
  CHECK(tells(survey.problems[1], "readings.csv or readings.xlsx"));
}

TEST_CASE("UTF-16, sep= and Windows-1252 are read; only the last is a guess, and says so once") {
  SurveyFolder folder("kept-encodings");
  folder.with("motors.csv", in_utf_16("sep=;\r\nmotor;rated_a\r\nM1;12,5\r\nM2;7\r\n"))
      .with("readings.csv",
            "motor,test,place,value_1,value_2,value_3,unit\nM1,line_current,M\xFChle,1,2,3,a\n"
            "M1,line_current,M\xFChle,1,2,x,a\n");
  const Survey survey = folder.survey();
  REQUIRE(survey.motors.size() == 2);
  CHECK(survey.motors[0].rated_a->value() == 12.5);
  REQUIRE(survey.readings.size() == 1);
  CHECK(survey.readings[0].place == "Mühle");
  REQUIRE(survey.problems.size() == 2);
  CHECK(survey.problems[0].is_remark);
  CHECK(tells(survey.problems[0], "Windows-1252"));
  CHECK(survey.problems[1].row == 3);
  CHECK(any_unused(survey.problems));
  CHECK_FALSE(any_unused(std::span(survey.problems).first(1)));
}

TEST_CASE("a workbook is a table, with the rows that a spreadsheet shows") {
  SurveyFolder folder("kept-workbook");
  write_workbook(folder, "images.xlsx",
                 "[['file', 'motor', 'component', 'emissivity'], ['a.csv', 'M1', 'box', 0.95], "
                 "[], ['b.csv', 'M1', 'box', 3]]");
  folder.with("a.csv", "1,2\n").with("b.csv", "1,2\n");
  const Survey survey = folder.survey();
  REQUIRE(survey.images.size() == 1);
  CHECK(survey.images[0].parameters.emissivity->value() == 0.95);
  const Problem problem = only_problem(survey);
  CHECK(problem.file == "images.xlsx");
  CHECK(problem.row == 4);
  CHECK(problem.column == "emissivity");
  REQUIRE(survey.files.size() == 1);
  CHECK(survey.files[0].path == "images.xlsx");
}

TEST_CASE("a workbook that is none is refused as a table, once") {
  SurveyFolder folder("kept-no-workbook");
  folder.with("motors.xlsx", "motor\nM1\n");
  CHECK(tells(only_problem(folder.survey()), "this is no workbook"));
}

TEST_CASE("a file is found in other letters, without its ending, composed otherwise, below") {
  SurveyFolder folder("kept-files");
  folder
      .with("images.csv", std::string(kHeader) +
                              "img_1.csv,M1,a\nIMG_2,M1,b\nMu\xCC\x88hle.csv,M1,c\nd.csv,M1,d\n"
                              "route/E,M1,e\nthere.csv,M1,f\n")
      .with("IMG_1.CSV", "1,2\n")
      .with("img_2.csv", "1,2\n")
      .with("M\xC3\xBChle.csv", "1,2\n")
      .with("bay 2/d.csv", "1,2\n")
      .with("bay 2/Route/e.csv", "1,2\n")
      .with("there.csv", "1,2\n");
  const Survey survey = folder.survey();
  std::vector<std::string> files;
  for (const ImageEntry& entry : survey.images) files.push_back(entry.file);
  CHECK(files == std::vector<std::string>{"IMG_1.CSV", "img_2.csv", "M\xC3\xBChle.csv",
                                          "bay 2/d.csv", "bay 2/Route/e.csv", "there.csv"});
  const Problem problem = only_problem(survey);
  CHECK(problem.is_remark);
  CHECK(tells(problem, "5 files are called otherwise"));
  CHECK(tells(problem, "IMG_1.CSV for \"img_1.csv\" in row 2"));
  CHECK(problem.column == "file");
}

TEST_CASE("two files that a name may mean are both named, and the row waits") {
  SurveyFolder folder("kept-two");
  folder.with("images.csv", std::string(kHeader) + "a,M1,box\n")
      .with("a.csv", "1,2\n")
      .with("A.TIF", "x");
  const Survey survey = folder.survey();
  CHECK(survey.images.empty());
  const Problem problem = only_problem(survey);
  CHECK(tells(problem, "A.TIF, a.csv"));
  CHECK(problem.row == 2);
  CHECK_FALSE(problem.is_remark);
}

TEST_CASE("what is looked for stays inside the survey folder") {
  SurveyFolder outside("kept-outside");
  outside.with("far.csv", "1,2\n");
  SurveyFolder folder("kept-inside");
  folder.with("images.csv",
              std::string(kHeader) + "../kept-outside/FAR.csv,M1,a\nlink.csv,M1,b\nFAR.csv,M1,c\n");
  std::filesystem::create_symlink(outside.path() / "far.csv", folder.path() / "LINK.csv");
  std::filesystem::create_directory_symlink(outside.path(), folder.path() / "below");
  const Survey survey = folder.survey();
  // The third is found nowhere: links to folders are not followed.
  REQUIRE(survey.images.size() == 1);
  CHECK(survey.images[0].file == "FAR.csv");
  REQUIRE(survey.problems.size() == 2);
  CHECK(tells(survey.problems[0], "a path with \"..\""));
  CHECK(tells(survey.problems[1], "a link that leads out of the survey folder"));
}

TEST_CASE("names in the marks folder and in results are no images") {
  SurveyFolder folder("kept-marks");
  folder.with("images.csv", std::string(kHeader) + "A.csv,M1,box\n")
      .with("marks/a.csv", "x")
      .with("out/a.csv", "x")
      .with("out/findings.json", "{}");
  const Survey survey = folder.survey();
  REQUIRE(survey.images.size() == 1);
  CHECK(survey.images[0].file == "A.csv");
  CHECK(survey.problems.empty());
}

TEST_CASE("a cell of a table in UTF-16 is saved in UTF-16, with every other byte kept") {
  SurveyFolder folder("kept-save");
  folder.with("Images.csv", in_utf_16("sep=;\r\nfile;motor;component\r\nA;M1;box\r\n"))
      .with("a.csv", "1,2\n");
  const records::ImageKey key{.file = "a.csv"};
  const auto before = records::image_text(folder.path(), key);
  REQUIRE(before);
  REQUIRE(before->rows.size() == 1);
  const auto saved = records::save_image(folder.path(), key, {{"note", "seen"}}, before->etag);
  if (!saved) FAIL(sentence_with_place(saved.error()));
  CHECK(test::read(folder.path() / "Images.csv") ==
        in_utf_16("sep=;\r\nfile;motor;component;note\r\nA;M1;box;seen\r\n"));
  CHECK(records::etag_of(folder.path(), "images.csv") == saved->etag);
  CHECK_FALSE(test::fs::exists(folder.path() / "images.csv"));
}

TEST_CASE("a character that the table's encoding lacks is refused, and the file stays") {
  SurveyFolder folder("kept-lacking");
  const std::string table =
      "motor,test,place,value_1,value_2,value_3,unit\nM1,line_current,M\xFChle,1,2,3,a\n";
  folder.with("readings.csv", table);
  const auto etag = records::etag_of(folder.path(), "readings.csv");
  REQUIRE(etag);
  const auto refused = records::change_reading(folder.path(), 2, {{"place", "3 Ω"}}, *etag);
  REQUIRE_FALSE(refused);
  CHECK(sentence(refused.error()).find("Windows-1252") != std::string::npos);
  CHECK(test::read(folder.path() / "readings.csv") == table);
  CHECK(records::change_reading(folder.path(), 2, {{"place", "Höhe"}}, *etag));
  CHECK(test::read(folder.path() / "readings.csv").find("H\xF6he") != std::string::npos);
}

TEST_CASE("a workbook is shown and not written") {
  SurveyFolder folder("kept-read-only");
  write_workbook(folder, "readings.xlsx",
                 "[['motor', 'test', 'value_1', 'value_2', 'value_3', 'unit'], "
                 "['M1', 'line_current', 10, 11, 12, 'a']]");
  const auto shown = records::table_text(folder.path(), "readings.csv");
  REQUIRE(shown);
  REQUIRE(shown->rows.size() == 1);
  CHECK(shown->rows[0].cells[2].text == "10");
  const std::string bytes = test::read(folder.path() / "readings.xlsx");
  const auto refused = records::change_reading(folder.path(), 2, {{"value_1", "9"}}, shown->etag);
  REQUIRE_FALSE(refused);
  CHECK(refused.error().kind == ErrorKind::unsupported);
  CHECK(sentence(refused.error()).find("save it as readings.csv") != std::string::npos);
  CHECK(test::read(folder.path() / "readings.xlsx") == bytes);
  CHECK_FALSE(test::fs::exists(folder.path() / "readings.csv"));
}

TEST_CASE("a survey without motors.csv is complete; with one, who it leaves out is named") {
  SurveyFolder folder("kept-no-motors");
  folder.with("images.csv", std::string(kHeader) + "a.csv,M1,box\n").with("a.csv", "1,2\n");
  const auto complaints = [&folder] {
    const auto read = records::read_large_survey(folder.path());
    REQUIRE(read);
    return diagnosis::unknown_motors(read->survey, read->cut).size();
  };
  CHECK(complaints() == 0);
  folder.with("motors.csv", "motor\nM2\n");
  CHECK(complaints() == 1);
}
