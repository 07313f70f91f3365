// Ten mistakes of a first-time user, each with the message that mends it; then the two commands
// that come before them: start and check.
#include "run_program.h"

#include <catch2/catch.hpp>
#include <cmath>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

/// Temperatures of 60 × 40 pixels with a little noise: a lug at `warm_c`, two at 31 °C.
std::string frame(double warm_c = 45) {
  std::string text;
  unsigned state = 1;
  for (int y = 0; y < 40; ++y) {
    for (int x = 0; x < 60; ++x) {
      state = state * 1103515245U + 12345U;
      const double noise = (state >> 16 & 0xFF) / 2550.0;
      const auto near = [x, y](int cx, int cy) { return std::hypot(x - cx, y - cy) < 7; };
      const double c = near(12, 20) ? warm_c : near(30, 20) || near(48, 20) ? 31 : 25;
      text += (x != 0 ? "," : "") + std::to_string(c + noise);
    }
    text += "\n";
  }
  return text;
}

std::string marks_of_lugs(const std::string& image, int lugs = 3) {
  std::string text = R"({"version":1,"image":")" + image + R"(","size":[60,40],"marks":[)";
  for (int i = 0; i < lugs; ++i) {
    text += std::string(i > 0 ? "," : "") + R"({"name":"T)" + std::to_string(i + 1) +
            R"(","role":"lug","shape":{"kind":"circle","center":[)" + std::to_string(12 + 18 * i) +
            R"(,20],"radius":6}})";
  }
  return text + "]}";
}

constexpr const char* kHeader =
    "file,motor,component,taken_at,emissivity,reflected_c,air_c,load_1_a,load_2_a,load_3_a\n";

/// A survey without a mistake.
fs::path good_survey(const std::string& name) {
  const fs::path folder = fresh_folder(name);
  write(folder / "motors.csv", "motor,rated_a\nCV-1,100\n");
  write(folder / "images.csv",
        std::string(kHeader) + "good.csv,CV-1,terminal box,2026-03-04,0.95,24,24,80,80,80\n");
  write(folder / "good.csv", frame());
  write(folder / "marks/good.csv.json", marks_of_lugs("good.csv"));
  return folder;
}

Outcome assess_folder(const fs::path& folder) {
  return run("assess '" + folder.string() + "'");
}

/// The one line that holds a text.
std::string line_with(const std::string& text, const std::string& wanted) {
  const auto at = text.find(wanted);
  if (at == std::string::npos) return "(no line with \"" + wanted + "\" in)\n" + text;
  const auto begin = text.rfind('\n', at) + 1;
  return text.substr(begin, text.find('\n', at) - begin);
}

std::string with_row(const std::string& row) {
  return std::string(kHeader) + row + "\n";
}

}  // namespace

TEST_CASE("a survey without a mistake has nothing to say") {
  const Outcome outcome = assess_folder(good_survey("first-good"));
  CHECK(outcome.exit_code == 0);
  CHECK(outcome.err.empty());
}

TEST_CASE("mistake 1: the folder is another one") {
  const Outcome outcome = run("assess bexly", fresh_folder("first-folder"));
  CHECK(outcome.exit_code == 3);
  CHECK(line_with(outcome.err, "no such folder") ==
        "ohmglow assess: bexly: there is no such folder: expected a survey folder with images in "
        "it");
}

TEST_CASE("mistake 2: the camera's picture in place of its temperatures") {
  const fs::path folder = good_survey("first-picture");
  write(folder / "images.csv", with_row("IMG_1.jpg,CV-1,terminal box,,0.95,24,24,80,80,80"));
  write(folder / "IMG_1.jpg", "\xFF\xD8\xFF\xE0 a picture");
  const Outcome outcome = assess_folder(folder);
  CHECK(outcome.exit_code == 3);
  CHECK(line_with(outcome.err, "IMG_1.jpg: ") ==
        "ohmglow assess: IMG_1.jpg: files of this format are not read: found \"JPEG\", expected "
        "TIFF, 16-bit PNG, NPY or FITS, or a text matrix named .csv, .tsv or .txt; export the "
        "image as a 16-bit TIFF or as a CSV matrix of temperatures");
}

TEST_CASE("mistake 3: numbers that say no temperature") {
  const fs::path folder = good_survey("first-undeclared");
  CHECK(shell("/usr/bin/python3 -c \"import numpy; numpy.save('raw.npy', "
              "numpy.arange(2400, dtype='uint16').reshape(40, 60))\"",
              folder)
            .exit_code == 0);
  write(folder / "images.csv", with_row("raw.npy,CV-1,terminal box,,0.95,24,24,80,80,80"));
  write(folder / "marks/raw.npy.json", marks_of_lugs("raw.npy"));
  fs::remove(folder / "marks/good.csv.json");
  const Outcome outcome = assess_folder(folder);
  CHECK(outcome.exit_code == 3);
  CHECK(line_with(outcome.err, "raw.npy: ") ==
        "ohmglow assess: raw.npy: the image holds integers and does not say what they mean: found "
        "\"uint16\", expected temperature = scale x stored + offset; fill in the cells scale, "
        "offset and unit (c or k) of this image in images.csv");
}

TEST_CASE("mistake 4: no lug is marked") {
  const fs::path folder = good_survey("first-unmarked");
  fs::remove_all(folder / "marks");
  const Outcome outcome = assess_folder(folder);
  CHECK(outcome.exit_code == 3);
  CHECK(line_with(outcome.err, "good.csv: ") ==
        "ohmglow assess: good.csv: no lug is marked; mark it with: ohmglow mark, or on the page");
}

TEST_CASE("mistake 5: the air in degrees Fahrenheit") {
  const fs::path folder = good_survey("first-fahrenheit");
  write(folder / "images.csv", with_row("good.csv,CV-1,terminal box,,0.95,75,75,80,80,80"));
  const Outcome outcome = assess_folder(folder);
  CHECK(outcome.exit_code == 1);
  const std::string line = line_with(outcome.err, "column air_c");
  CHECK(line.find("degrees Fahrenheit? then air_f") != std::string::npos);
  CHECK(line.starts_with(
      "ohmglow assess: images.csv, row 2, column air_c: every lug of good.csv is"));
}

TEST_CASE("mistake 6: a percentage for the emissivity") {
  const fs::path folder = good_survey("first-percent");
  write(folder / "images.csv", with_row("good.csv,CV-1,terminal box,,95,24,24,80,80,80"));
  const Outcome outcome = assess_folder(folder);
  CHECK(outcome.exit_code == 3);
  const std::string line = line_with(outcome.err, "column emissivity");
  CHECK(line.starts_with(
      "ohmglow assess: images.csv, row 2, column emissivity: the cell cannot be used: found "
      "\"95\", expected "));
  CHECK(line.find("did you mean 0.95?") != std::string::npos);
}

TEST_CASE("mistake 7: a motor by another name in another table") {
  const fs::path folder = good_survey("first-motor");
  write(folder / "readings.csv",
        "motor,test,value_1,value_2,value_3,unit\nCV1,winding_resistance,1,1,1,ohm\n");
  const Outcome outcome = assess_folder(folder);
  CHECK(outcome.exit_code == 1);
  CHECK(line_with(outcome.err, "column motor") ==
        "ohmglow assess: readings.csv, row 2, column motor: this motor is not in motors.csv: found "
        "\"CV1\", expected a motor of motors.csv (did you mean CV-1?); add a row for it there or "
        "correct the name; it is judged without its data");
}

TEST_CASE("mistake 8: the same table as text and as workbook") {
  const fs::path folder = good_survey("first-twice");
  CHECK(shell("/usr/bin/python3 -c \"import openpyxl; openpyxl.Workbook().save('images.xlsx')\"",
              folder)
            .exit_code == 0);
  const Outcome outcome = assess_folder(folder);
  CHECK(outcome.exit_code == 3);
  CHECK(line_with(outcome.err, "more than once") ==
        "ohmglow assess: images.csv: the folder holds this table more than once: found "
        "\"images.csv, images.xlsx\", expected one of them; keep the one that is right and move "
        "the other out of the folder; none is read until then");
}

TEST_CASE("mistake 9: a file name that two files could have") {
  const fs::path folder = good_survey("first-two-files");
  write(folder / "images.csv", with_row("IMG_1,CV-1,terminal box,,0.95,24,24,80,80,80"));
  write(folder / "img_1.csv", frame());
  write(folder / "IMG_1.TIF", "x");
  const Outcome outcome = assess_folder(folder);
  CHECK(outcome.exit_code == 3);
  CHECK(
      line_with(outcome.err, "column file") ==
      "ohmglow assess: images.csv, row 2, column file: no file has this name, and more than one "
      "may be meant: found \"IMG_1\", expected one of IMG_1.TIF, img_1.csv; write the one that is "
      "meant; the row is left out until then");
}

TEST_CASE("mistake 10: a table in a format that is not read") {
  const fs::path folder = good_survey("first-ods");
  write(folder / "readings.ods", "x");
  const Outcome outcome = assess_folder(folder);
  CHECK(outcome.exit_code == 1);
  CHECK(line_with(outcome.err, "readings.ods") ==
        "ohmglow assess: readings.ods: a table in this format is not read: found \"readings.ods\", "
        "expected readings.csv or readings.xlsx; save it as one of these");
}

TEST_CASE("what is only written otherwise is read, with a remark, and exits 0") {
  const fs::path folder = good_survey("first-otherwise");
  fs::remove(folder / "motors.csv");
  fs::remove(folder / "images.csv");
  write(folder / "Images.CSV",
        "sep=;\r\nfile;motor;component;emissivity;reflected_c;air_c;load_1_a;"
        "load_2_a;load_3_a;note\r\nGOOD;CV-1;terminal box;0,95;24;24;80;80;80;"
        "M\xFChle\r\n");
  const fs::path out = folder.string() + "-out";
  fs::remove_all(out);
  const Outcome outcome = run("assess '" + folder.string() + "' -o '" + out.string() + "'");
  CHECK(outcome.exit_code == 0);
  CHECK(line_with(outcome.err, "Windows-1252") ==
        "ohmglow assess: Images.CSV: this table is not encoded in UTF-8; it was read as "
        "Windows-1252; look whether its names are right, and save it as CSV in UTF-8 where not");
  CHECK(line_with(outcome.err, "column file") ==
        "ohmglow assess: Images.CSV, row 2, column file: a file is called otherwise than here: "
        "expected good.csv for \"GOOD\" in row 2; they were found and are used; write them as they "
        "are called");
  const json findings = json_of(out / "findings.json");
  CHECK(findings.at("images").at(0).at("status") == "measured");
  CHECK(findings.at("problems").at(0).at("remark") == true);
  CHECK(check_schema("findings.schema.json", out / "findings.json").err.empty());
  const std::string manifest = text_of(out / "manifest.json");
  CHECK(manifest.find("\"Images.CSV\"") != std::string::npos);
  CHECK(run("recheck '" + out.string() + "'").exit_code == 0);
  write(folder / "Images.CSV", text_of(folder / "Images.CSV") + "\r\n");
  CHECK(run("recheck '" + out.string() + "'").exit_code == 1);
}

TEST_CASE("start makes the tables of a bare folder, lists what is blank, and writes over nothing") {
  const fs::path folder = fresh_folder("first-start");
  write(folder / "BE-101_terminal_box.csv", frame());
  write(folder / "BE-101_terminal_box.jpg", "\xFF\xD8\xFF\xD9");
  write(folder / "CV-2/starter.csv", frame());
  write(folder / "IMG_0007.csv", frame());
  CHECK(shell("/usr/bin/python3 -c \"import numpy; numpy.save('CV-2/terminal box.npy', "
              "numpy.arange(4800, dtype='uint16').reshape(2, 40, 60))\"",
              folder)
            .exit_code == 0);
  const Outcome outcome = run("start '" + folder.string() + "'");
  CHECK(outcome.exit_code == 0);
  CHECK(outcome.err.empty());
  for (const char* said :
       {"4 images, 2 motors, 1 with a photograph", "wrote survey.json", "wrote images.csv",
        "wrote motors.csv", "images.csv   motor (1 row, first IMG_0007.csv)",
        "images.csv   component (1 row, first IMG_0007.csv)",
        "images.csv   scale, offset, unit (2 rows, first CV-2/terminal box.npy)",
        "images.csv   load_1_a, load_2_a, load_3_a (5 rows)", "motors.csv   rated_a (2 rows)"}) {
    CAPTURE(said);
    CHECK(outcome.out.find(said) != std::string::npos);
  }
  const std::string images = text_of(folder / "images.csv");
  CHECK(images.find("\nBE-101_terminal_box.csv,BE-101,terminal box,20") != std::string::npos);
  CHECK(images.find(",BE-101_terminal_box.jpg,\n") != std::string::npos);
  CHECK(images.find("\nCV-2/terminal box.npy,CV-2,terminal box,") != std::string::npos);
  CHECK(text_of(folder / "motors.csv").find("\nBE-101,") != std::string::npos);
  CHECK(json_of(folder / "survey.json").at("site") == "first-start");
  CHECK(check_schema("survey.schema.json", folder / "survey.json").err.empty());
  // What it wrote is a survey: only what is blank or unmarked is complained of.
  const Outcome assessed = assess_folder(folder);
  CHECK(assessed.err.find("unknown column") == std::string::npos);
  CHECK(assessed.err.find("IMG_0007.csv") == std::string::npos);

  fs::rename(folder / "motors.csv", folder / "Motors.CSV");
  write(folder / "survey.json", "{}");
  const Outcome again = run("start '" + folder.string() + "'");
  CHECK(again.exit_code == 0);
  CHECK(again.out.find("kept motors.csv: it was there") != std::string::npos);
  CHECK(text_of(folder / "survey.json") == "{}");
  CHECK_FALSE(fs::exists(folder / "motors.csv"));
  CHECK(text_of(folder / "images.csv") == images);
}

TEST_CASE("start says what it cannot use, and that a folder holds nothing") {
  const fs::path folder = fresh_folder("first-start-nothing");
  write(folder / "a.tif", "no image");
  const Outcome nothing = run("start '" + folder.string() + "'");
  CHECK(nothing.exit_code == 3);
  CHECK(nothing.err.find("no image in this folder can be read") != std::string::npos);
  CHECK_FALSE(fs::exists(folder / "survey.json"));
  write(folder / "BE-1_starter.csv", frame());
  const Outcome some = run("start '" + folder.string() + "'");
  CHECK(some.exit_code == 1);
  CHECK(some.err.find("ohmglow start: a.tif: ") != std::string::npos);
  CHECK(run("start '" + (folder / "no").string() + "'").exit_code == 3);
}

TEST_CASE("check lists what limits the result, worst first, with the cell or the image") {
  const fs::path folder = fresh_folder("first-check");
  write(folder / "motors.csv", "motor,rated_a,lug_area_cm2\nCV-1,100,1\nCV-2,,\n");
  write(folder / "images.csv",
        "file,motor,component,emissivity,reflected_c,air_c,distance_m,ifov_mrad,wind_m_s,load_1_a,"
        "load_2_a,load_3_a,scale,offset,unit\n"
        "far.csv,CV-1,terminal box,0.95,24,24,4,1,,80,80,80,,,\n"
        "bare.csv,CV-1,starter,0.95,24,,,,7,,,,,,\n"
        "two.csv,CV-2,terminal box,0.3,24,24,,,,8,8,8,,,\n"
        "none.csv,CV-2,starter,0.95,24,24,,,,80,80,80,,,\n"
        "raw.npy,CV-2,disconnect,0.95,24,24,,,,80,80,80,,,\n"
        "hot.npy,CV-1,disconnect,0.95,24,24,0.5,1,,80,80,80,0.01,0,c\n");
  for (const char* name : {"far.csv", "bare.csv", "two.csv", "none.csv"}) {
    write(folder / name, frame());
  }
  for (const char* name : {"far.csv", "bare.csv", "hot.npy"}) {
    write(folder / "marks" / (std::string(name) + ".json"), marks_of_lugs(name));
  }
  write(folder / "marks/two.csv.json", marks_of_lugs("two.csv", 2));
  CHECK(shell("/usr/bin/python3 -c \"\n"
              "import numpy\n"
              "noise = numpy.random.default_rng(1).normal(3000, 40, (40, 60)).astype('uint16')\n"
              "numpy.save('raw.npy', noise)\n"
              "noise[10:30, 3:20] = 5000\n"
              "numpy.save('hot.npy', numpy.minimum(noise, 5000))\n\"",
              folder)
            .exit_code == 0);
  const Outcome outcome = run("check '" + folder.string() + "' --json");
  CHECK(outcome.exit_code == 1);
  write(folder / "check.txt", outcome.out);
  CHECK(check_schema("check.schema.json", folder / "check.txt").err.empty());
  const json limits = json::parse(outcome.out).at("limits");
  std::vector<std::string> kinds;
  for (const json& limit : limits) {
    const auto kind = limit.at("kind").get<std::string>();
    if (kinds.empty() || kinds.back() != kind) kinds.push_back(kind);
  }
  CHECK(kinds == std::vector<std::string>{"not_measured", "not_marked", "missing_lug", "clipped",
                                          "too_far", "no_load", "no_rating", "no_air", "wind",
                                          "low_emissivity", "no_size", "no_reading"});
  const auto find = [&limits](const std::string& kind) {
    for (const json& limit : limits) {
      if (limit.at("kind") == kind) return limit;
    }
    return json::object();
  };
  CHECK(find("not_measured").at("image") == "raw.npy");
  CHECK(find("not_marked").at("image") == "none.csv");
  CHECK(find("missing_lug").at("image") == "two.csv");
  CHECK(find("clipped").at("mend") == "take hot.npy again with a higher temperature range");
  // 10 mm of lug over 3 × 1 mrad are 3.33 m.
  CHECK(find("too_far").at("mend") == "go to 3.3 m (from 4 m) and take far.csv again");
  CHECK(find("no_load").at("row") == 3);
  CHECK(find("no_load").at("column") == "load_1_a");
  CHECK(find("no_air").at("column") == "air_c");
  CHECK(find("no_rating").at("file") == "motors.csv");
  const Outcome text = run("check '" + folder.string() + "'");
  CHECK(text.exit_code == 1);
  CHECK(text.out.find("\nToo far for the lug (1)\n") != std::string::npos);
  CHECK(text.out.find("      images.csv, row 3, column air_c\n") != std::string::npos);
  CHECK(text.out.find("4 of 6 images can be measured") != std::string::npos);
}

TEST_CASE("check has nothing to say of a survey that lacks nothing, remarks apart") {
  const fs::path folder = fresh_folder("first-check-good");
  write(folder / "motors.csv", "motor,rated_a,lug_area_cm2\nCV-1,100,4\n");
  write(folder / "images.csv",
        "file,motor,component,emissivity,reflected_c,air_c,distance_m,ifov_mrad,load_1_a,load_2_a,"
        "load_3_a\nGOOD.csv,CV-1,terminal box,0.95,24,24,0.5,1,80,80,80\n");
  write(folder / "readings.csv",
        "motor,test,value_1,value_2,value_3,unit\nCV-1,winding_resistance,1,1,1,ohm\n");
  write(folder / "good.csv", frame());
  write(folder / "marks/good.csv.json", marks_of_lugs("good.csv"));
  const Outcome outcome = run("check '" + folder.string() + "'");
  CHECK(outcome.exit_code == 0);
  CHECK(outcome.out.find("For the record (1)") != std::string::npos);
  CHECK(run("check '" + (folder / "no").string() + "'").exit_code == 3);
}

TEST_CASE("check --watch looks again when a file changes") {
  const fs::path folder = good_survey("first-watch");
  fs::remove_all(folder / "marks");
  write(folder / "later.json", marks_of_lugs("good.csv"));
  fs::rename(folder / "later.json", folder.string() + "-later.json");
  const Outcome outcome =
      shell("(sleep 2; mkdir marks; mv '" + folder.string() +
                "-later.json' marks/good.csv.json; sleep 4; kill -INT $(cat pid)) & "
                "sh -c 'echo $$ > pid; exec " OHMGLOW_PROGRAM " check . --watch'",
            folder);
  CHECK(outcome.out.find("0 of 1 image can be measured") != std::string::npos);
  CHECK(outcome.out.find("1 of 1 image can be measured") != std::string::npos);
}
