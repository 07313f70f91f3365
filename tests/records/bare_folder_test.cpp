// What the names in a folder without tables say. Source: written for this test.
#include "offered/intake/bare_folder.h"

#include "survey_folder.h"

using namespace ohmglow::records;
using test::SurveyFolder;

TEST_CASE("motor and component are guessed from the names of files and folders") {
  using Names = GuessedNames;
  CHECK(guess_names("route/BE-101_terminal_box.tif") == Names{"BE-101", "terminal box"});
  CHECK(guess_names("BE-101/starter 2.tif") == Names{"BE-101", "starter"});
  CHECK(guess_names("be101-TerminalBox.tif") == Names{"be101", "terminal box"});
  CHECK(guess_names("pump 3 starter load side.csv") == Names{"pump 3", "starter load side"});
  CHECK(guess_names("CV-4/Disconnect/IMG_0031.png") == Names{"CV-4", "disconnect"});
  CHECK(guess_names("BE-101_2.tif") == Names{"BE-101", ""});
  CHECK(guess_names("BE-101.tif") == Names{"BE-101", ""});
}

TEST_CASE("a camera's counting, a day and a word name no motor") {
  for (const char* file : {"IMG_0031.tif", "IR0031.tif", "2026-03-04/0031.tif", "0031.tif",
                           "scan.tif", "thermal image 12.tif", "route/photo.tif"}) {
    CAPTURE(file);
    CHECK(guess_names(file).motor.empty());
  }
}

TEST_CASE("photographs are paired by name, then by time, each the nearest to the other") {
  using Pairs = std::vector<std::optional<std::size_t>>;
  CHECK(pair_photos({{"a/BE-101_ir.tif", {}}, {"b/BE-101.tif", {}}},
                    {{"b/BE-101.jpg", {}}, {"a/BE-101 photo.JPG", {}}}) == Pairs{1, 0});
  // Two of one name, and one that is nearer to another image.
  CHECK(pair_photos({{"x1.tif", 100.}, {"x2.tif", 110.}}, {{"p.jpg", 108.}}) ==
        Pairs{std::nullopt, 0});
  CHECK(pair_photos({{"x1.tif", 100.}}, {{"p.jpg", 131.}}) == Pairs{std::nullopt});
  CHECK(pair_photos({{"x1.tif", 100.}}, {{"p.jpg", 98.}, {"q.jpg", 102.}}) == Pairs{0});
  CHECK(pair_photos({{"x1.tif", {}}}, {{"p.jpg", 98.}}) == Pairs{std::nullopt});
}

TEST_CASE("a bare folder's files leave out tables, marks and results") {
  SurveyFolder folder("bare");
  folder.with("a.tif", "x")
      .with("b/c.csv", "x")
      .with("p.JPG", "x")
      .with("Motors.csv", "x")
      .with("marks/m.tif", "x")
      .with("out/findings.json", "x")
      .with("out/o.tif", "x")
      .with("readme.txt", "x");
  const auto files = bare_files(folder.path());
  CHECK(files.images == std::vector<std::string>{"a.tif", "b/c.csv"});
  CHECK(files.photos == std::vector<std::string>{"p.JPG"});
  CHECK(has_table(folder.path(), "motors.csv"));
  CHECK_FALSE(has_table(folder.path(), "images.csv"));
}
