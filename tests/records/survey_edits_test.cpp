// What is expected of an edited file follows from the rule that every byte stays but the cell that
// was edited; what an edited table says is told by the csv module of Python's standard library.
#include "offered/editing/survey_edits.h"

#include "offered/editing/survey_drafts.h"
#include "offered/intake/mark_files.h"
#include "survey_folder.h"

#include <csignal>
#include <cstdlib>
#include <random>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

using namespace ohmglow;
using records::CellText;
using records::kNoFile;
using records::Saved;
using test::contains;
using test::SurveyFolder;

namespace {

std::string etag(const SurveyFolder& folder, std::string_view file) {
  const auto found = records::etag_of(folder.path(), file);
  REQUIRE(found);
  return *found;
}

Saved good(const Result<Saved>& saved) {
  if (!saved) FAIL(sentence_with_place(saved.error()));
  return *saved;
}

Error refused(const Result<Saved>& saved) {
  REQUIRE_FALSE(saved.has_value());
  return saved.error();
}

Result<Saved> save_image(const SurveyFolder& folder, const std::string& file,
                         const std::vector<CellText>& cells, int page = 1) {
  return records::save_image(folder.path(), {file, page}, cells, etag(folder, "images.csv"));
}

Result<Saved> add_reading(const SurveyFolder& folder, const std::vector<CellText>& cells) {
  return records::add_reading(folder.path(), cells, etag(folder, "readings.csv"));
}

const std::vector<CellText> kReading{{"motor", "M1"},    {"test", "winding_resistance"},
                                     {"value_1", "1"},   {"value_2", "1.1"},
                                     {"value_3", "1.2"}, {"unit", "ohm"}};

struct Case {
  std::string name;
  std::string before;
  std::vector<CellText> cells;
  std::string after;
};

}  // namespace

TEST_CASE("an edited cell of images.csv changes no other byte") {
  const std::string mark = "\xEF\xBB\xBF";
  const auto [name, before, cells, after] = GENERATE_COPY(values<Case>({
      {"comma",
       "file,motor,component,emissivity\na.tif,M,box,0.9\nb.tif,M,box,0.8\n",
       {{"emissivity", "0.95"}},
       "file,motor,component,emissivity\na.tif,M,box,0.95\nb.tif,M,box,0.8\n"},
      {"byte order mark and CRLF",
       mark + "file,motor,component,emissivity\r\na.tif,M,box,0.9\r\nb.tif,M,box,0.8\r\n",
       {{"emissivity", "0.95"}},
       mark + "file,motor,component,emissivity\r\na.tif,M,box,0.95\r\nb.tif,M,box,0.8\r\n"},
      {"semicolon and decimal comma",
       "file;motor;component;emissivity;air_c\na.tif;M;box;0,9;21,5\nb.tif;M;box;0,8;20\n",
       {{"air_c", "19,75"}},
       "file;motor;component;emissivity;air_c\na.tif;M;box;0,9;19,75\nb.tif;M;box;0,8;20\n"},
      {"tab, no line end at the end",
       "file\tmotor\tcomponent\tnote\na.tif\tM\tbox\tx",
       {{"note", "a, b; c"}},
       "file\tmotor\tcomponent\tnote\na.tif\tM\tbox\ta, b; c"},
      {"quoted cells with line breaks and delimiters",
       "file,motor,component,note\n\"b.tif\",\"M\",\"box\",\"one\r\ntwo, \"\"three\"\"\"\n"
       "\"a.tif\",\"M\", box ,\"x\"\n",
       {{"note", "y"}},
       "file,motor,component,note\n\"b.tif\",\"M\",\"box\",\"one\r\ntwo, \"\"three\"\"\"\n"
       "\"a.tif\",\"M\", box ,\"y\"\n"},
      {"a value that needs quotes",
       "file,motor,component,note\na.tif,M,box,x\n",
       {{"note", "say \"no\",\nthen go"}},
       "file,motor,component,note\na.tif,M,box,\"say \"\"no\"\",\nthen go\"\n"},
      {"unknown columns and another order",
       "Bay , Motor,note,FILE,component\n7,M, n ,b.tif,box\n8,M, n ,./a.tif,box\n",
       {{"Component", "starter"}},
       "Bay , Motor,note,FILE,component\n7,M, n ,b.tif,box\n8,M, n ,./a.tif,starter\n"},
      {"an unknown column itself",
       "file,motor,component,bay\na.tif,M,box,7\n",
       {{"bay", "9"}},
       "file,motor,component,bay\na.tif,M,box,9\n"},
      {"blank lines, rows of delimiters, and a row that reads as a comment",
       "file,motor,component,air_c\n\n# route 7,,,\na.tif,M,box,20\n\n,,,\n  \n",
       {{"air_c", "21"}},
       "file,motor,component,air_c\n\n# route 7,,,\na.tif,M,box,21\n\n,,,\n  \n"},
      {"a cell that is emptied",
       "file,motor,component,emissivity\na.tif,M,box,\"0.9\"\n",
       {{"emissivity", ""}},
       "file,motor,component,emissivity\na.tif,M,box,\n"},
      {"a row that ends early",
       "file,motor,component,emissivity,air_c\na.tif,M,box\n",
       {{"air_c", "20"}},
       "file,motor,component,emissivity,air_c\na.tif,M,box,,20\n"},
      {"a missing column goes to the right end",
       "file;motor;component\r\na.tif;M;box\r\nb.tif;M;box\r\n",
       {{"emissivity", "0,95"}, {"air_c", "20"}},
       "file;motor;component;emissivity;air_c\r\na.tif;M;box;0,95;20\r\nb.tif;M;box\r\n"},
      {"beyond cells that stand under no name",
       "file,motor,component\nb.tif,M,box,0.5\na.tif,M,box\n",
       {{"emissivity", "0.95"}},
       "file,motor,component,,emissivity\nb.tif,M,box,0.5\na.tif,M,box,,0.95\n"},
      {"other rows are filled up where the delimiter could not be told otherwise",
       "file;motor;component;air_c\na.tif;M;box;20,5\nb.tif;M;box;20,5\nc.tif;M;box;20,5\n",
       {{"emissivity", "0,95"}},
       "file;motor;component;air_c;emissivity\na.tif;M;box;20,5;0,95\nb.tif;M;box;20,5;\n"
       "c.tif;M;box;20,5;\n"},
      {"a temperature in °C goes into the °F cell that the row fills",
       "file,motor,component,air_f\nb.tif,M,box,60\na.tif,M,box,\"68\"\n",
       {{"air_c", "19.5"}, {"emissivity", ""}},
       "file,motor,component,air_f\nb.tif,M,box,60\na.tif,M,box,\"67.1\"\n"},
      {"the same with the table's decimal mark",
       "file;motor;component;air_f;air_c\na.tif;M;box;68,5;\nb.tif;M;box;;20,5\n",
       {{"AIR_C", "19,5"}},
       "file;motor;component;air_f;air_c\na.tif;M;box;67,1;\nb.tif;M;box;;20,5\n"},
      {"a row that fills neither scale takes the one that is typed",
       "file,motor,component,air_f\na.tif,M,box,\nb.tif,M,box,68\n",
       {{"air_c", "19.5"}},
       "file,motor,component,air_f,air_c\na.tif,M,box,,19.5\nb.tif,M,box,68\n"},
      {"a row is moved to the other scale by naming both",
       "file,motor,component,air_f\na.tif,M,box,68\n",
       {{"air_f", ""}, {"air_c", "19.5"}},
       "file,motor,component,air_f,air_c\na.tif,M,box,,19.5\n"},
      {"CR alone",
       "file,motor,component,air_c\ra.tif,M,box,20\r",
       {{"air_c", "21"}},
       "file,motor,component,air_c\ra.tif,M,box,21\r"},
  }));
  CAPTURE(name);
  SurveyFolder folder("edit_image");
  folder.with("images.csv", before);
  const Saved saved = good(save_image(folder, "a.tif", cells));
  CHECK(test::read(folder.path() / "images.csv") == after);
  CHECK(saved.etag == etag(folder, "images.csv"));
}

TEST_CASE("the row that a save reports is the one that problems name") {
  SurveyFolder folder("edit_row_number");
  folder.with("images.csv",
              "file,motor,component,note\nb.tif,M,box,\"one\ntwo\"\n\na.tif,M,box,x\n");
  CHECK(good(save_image(folder, "a.tif", {{"note", "y"}})).row == 4);
  CHECK(folder.survey().images.at(1).row == 4);
}

TEST_CASE("the right page of an image is edited") {
  SurveyFolder folder("edit_page");
  folder.with("images.csv", "file,motor,component,page,air_c\na.tif,M,box,,20\na.tif,M,box,2,20\n");
  good(save_image(folder, "a.tif", {{"air_c", "25"}}, 2));
  CHECK(test::read(folder.path() / "images.csv") ==
        "file,motor,component,page,air_c\na.tif,M,box,,20\na.tif,M,box,2,25\n");
}

TEST_CASE(
    "an image without a row gets one below the last, and the end of the file stays as it was") {
  const auto [before, after] = GENERATE(table<std::string, std::string>({
      {"file,motor,component\nb.tif,M,box\n", "file,motor,component\nb.tif,M,box\na.tif,N,box\n"},
      {"file,motor,component\r\nb.tif,M,box", "file,motor,component\r\nb.tif,M,box\r\na.tif,N,box"},
      {"file,motor,component,air_c\nb.tif,M,box,20\n,,,\n\n",
       "file,motor,component,air_c\nb.tif,M,box,20\na.tif,N,box,\n,,,\n\n"},
  }));
  SurveyFolder folder("edit_new_row");
  folder.with("images.csv", before).with("a.tif", "x");
  good(save_image(folder, "a.tif", {{"motor", "N"}, {"component", "box"}}));
  CHECK(test::read(folder.path() / "images.csv") == after);
  const Error no_file = refused(save_image(folder, "c.tif", {{"motor", "N"}}));
  CHECK(no_file.kind == ErrorKind::missing);
  CHECK(refused(save_image(folder, "../c.tif", {{"motor", "N"}})).kind ==
        ErrorKind::outside_survey);
}

TEST_CASE("without images.csv a save makes one that lists every image that was taken before") {
  SurveyFolder folder("edit_no_images");
  folder.with("BE-01/box, open.tif", "x").with("fan.tif", "x").with("fan 2.png", "x");
  folder.with("survey.json", R"({"defaults":{"component":"terminal box","emissivity":0.9}})");
  folder.with("motors.csv", "motor\nfan\n");
  const auto before = folder.survey();
  good(save_image(folder, "fan.tif", {{"emissivity", "0.8"}}));
  const auto after = folder.survey();
  CHECK(after.problems.empty());
  REQUIRE(after.images.size() == 3);
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(after.images[i].file == before.images[i].file);
    CHECK(after.images[i].motor == before.images[i].motor);
    CHECK(after.images[i].component == "terminal box");
    CHECK(after.images[i].parameters.emissivity->value() ==
          (after.images[i].file == "fan.tif" ? 0.8 : 0.9));
  }
}

TEST_CASE("an image whose name no table can hold stops the making of images.csv") {
  SurveyFolder folder("edit_odd_name");
  folder.with(" odd.tif", "x").with("fan.tif", "x");
  const Error error = refused(save_image(folder, "fan.tif", {{"emissivity", "0.8"}}));
  CHECK(error.found == " odd.tif");
  CHECK_FALSE(test::fs::exists(folder.path() / "images.csv"));
}

TEST_CASE(
    "what the reader would complain about is refused with its complaint, and nothing written") {
  const std::string images =
      "file,motor,component,emissivity,window_transmittance,window_reflectance\n"
      "a.tif,M,box,0.9,,\nb.tif,M,box,oops,,\nd.tif,M,box,,,\n";
  SurveyFolder folder("edit_refused");
  folder.with("images.csv", images).with("c.tif", "x");
  struct Wrong {
    std::string file;
    std::vector<CellText> cells;
    std::string column;
    std::string words;
  };
  const auto [file, cells, column, words] = GENERATE(values<Wrong>({
      {"a.tif", {{"emissivity", "1.5"}}, "emissivity", "above 0 and at most 1"},
      {"a.tif", {{"emissivity", "0,95"}}, "emissivity", "found \"0,95\""},
      {"a.tif", {{"taken_at", "yesterday"}}, "taken_at", "a date such as"},
      {"a.tif", {{"motor", ""}}, "motor", "the cell is empty"},
      {"a.tif", {{"emissivities", "0.9"}}, "emissivities", "not known"},
      {"a.tif",
       {{"window_transmittance", "0.8"}, {"window_reflectance", "0.4"}},
       "window_transmittance",
       "more than falls on it"},
      {"a.tif", {{"file", "d.tif"}}, "file", "row already"},
      {"a.tif", {{"note", std::string("bell\a")}}, "note", "control characters"},
      {"a.tif", {{"note", std::string("n\0", 2)}}, "", "NUL"},
      {"a.tif", {{"note", "\xff"}}, "", "UTF-8"},
      {"a.tif", {{"scale", "2"}}, "unit", "without the unit"},
      {"b.tif", {{"emissivity", "0"}}, "emissivity", "found \"0\""},
      {"c.tif", {{"air_c", "20"}}, "motor", "the cell is empty"},
  }));
  CAPTURE(file, column, words);
  const Error error = refused(save_image(folder, file, cells));
  CAPTURE(sentence_with_place(error));
  CHECK(contains(sentence_with_place(error), words));
  if (!column.empty()) CHECK(error.place.column == column);
  CHECK(error.kind != ErrorKind::conflict);
  CHECK_FALSE(contains(sentence(error), "left out until then"));
  CHECK(test::read(folder.path() / "images.csv") == images);
}

TEST_CASE("a row with a complaint can be mended, and complaints of other rows stop nobody") {
  SurveyFolder folder("edit_mend");
  folder.with("images.csv",
              "file,motor,component,emissivity,air_c\na.tif,M,box,oops,20\n"
              "b.tif,,box,0.9,cold\n");
  good(save_image(folder, "a.tif", {{"air_c", "21"}}));
  good(save_image(folder, "b.tif", {{"air_c", "19"}}));
  good(save_image(folder, "a.tif", {{"emissivity", "0.9"}}));
  good(save_image(folder, "b.tif", {{"motor", "M"}}));
  CHECK(folder.survey().problems.empty());
}

TEST_CASE("a number in the other decimal mark is refused with the mark that the table uses") {
  SurveyFolder folder("edit_decimal_mark");
  folder.with("images.csv",
              "file;motor;component;emissivity;air_c\na.tif;M;box;0.9;20.5\n"
              "b.tif;M;box;;\n");
  const Error error = refused(save_image(folder, "a.tif", {{"emissivity", "0,8"}}));
  CHECK(contains(sentence(error), "numbers with \".\""));
}

TEST_CASE("a save from an older state of the file is refused as a conflict") {
  SurveyFolder folder("edit_conflict");
  folder.with("images.csv", "file,motor,component\na.tif,M,box\n");
  const std::string seen = etag(folder, "images.csv");
  good(save_image(folder, "a.tif", {{"air_c", "20"}}));
  const std::string written = test::read(folder.path() / "images.csv");
  const Error error =
      refused(records::save_image(folder.path(), {"a.tif", 1}, {{"air_c", "30"}}, seen));
  CHECK(error.kind == ErrorKind::conflict);
  CHECK(error.place.file == "images.csv");
  CHECK(test::read(folder.path() / "images.csv") == written);
  CHECK(
      refused(records::save_image(folder.path(), {"a.tif", 1}, {{"air_c", "30"}}, kNoFile)).kind ==
      ErrorKind::conflict);
  CHECK(refused(records::delete_reading(folder.path(), 2, seen)).kind == ErrorKind::conflict);
  CHECK(refused(records::delete_reading(folder.path(), 2, kNoFile)).kind == ErrorKind::missing);
}

TEST_CASE("readings are added, changed and deleted by the row that problems name") {
  SurveyFolder folder("edit_readings");
  good(add_reading(folder, kReading));
  CHECK(contains(test::read(folder.path() / "readings.csv"),
                 "motor,test,taken_at,place,value_1,value_2,value_3,unit"));
  CHECK(folder.survey().readings.at(0).values[1] == 1.1);
  folder.with("readings.csv",
              "motor;test;value_1;value_2;value_3;unit;who\r\n"
              "M1;line_current;10,5;11;12;a;\"J\r\nK\"\r\n"
              "M2;line_current;20;21;22;a;\r\n");
  std::vector<CellText> cells = kReading;
  cells[3].text = "1,1";
  cells[4].text = "1,2";
  CHECK(good(add_reading(folder, cells)).row == 4);
  const std::string tag = etag(folder, "readings.csv");
  const auto changed =
      records::change_reading(folder.path(), 3, {{"value_2", "21,5"}, {"place", "mcc"}}, tag);
  CHECK(good(changed).row == 3);
  CHECK(test::read(folder.path() / "readings.csv") ==
        "motor;test;value_1;value_2;value_3;unit;who;place\r\n"
        "M1;line_current;10,5;11;12;a;\"J\r\nK\"\r\n"
        "M2;line_current;20;21,5;22;a;;mcc\r\nM1;winding_resistance;1;1,1;1,2;ohm;\r\n");
  const std::string then = good(records::delete_reading(folder.path(), 2, changed->etag)).etag;
  CHECK(test::read(folder.path() / "readings.csv") ==
        "motor;test;value_1;value_2;value_3;unit;who;place\r\n"
        "M2;line_current;20;21,5;22;a;;mcc\r\nM1;winding_resistance;1;1,1;1,2;ohm;\r\n");
  CHECK(refused(records::delete_reading(folder.path(), 9, then)).kind == ErrorKind::missing);
  const Error unit = refused(records::change_reading(folder.path(), 2, {{"unit", "volts"}}, then));
  CHECK(unit.place.row == 2);
  CHECK(unit.place.column == "unit");
}

TEST_CASE("a reading keeps to the scale of its temperature, and one that cannot be is refused") {
  SurveyFolder folder("edit_fahrenheit");
  const std::string head = "motor,test,value_1,value_2,value_3,unit,temperature_f\n";
  folder.with("readings.csv", head + "M1,winding_resistance,1,1.1,1.2,ohm,77\n");
  const auto change = [&folder](const std::string& text) {
    return records::change_reading(folder.path(), 2, {{"temperature_c", text}},
                                   etag(folder, "readings.csv"));
  };
  good(change("30"));
  CHECK(test::read(folder.path() / "readings.csv") ==
        head + "M1,winding_resistance,1,1.1,1.2,ohm,86\n");
  // An empty cell of the other scale says nothing of this one.
  good(change(""));
  CHECK(folder.survey().readings.at(0).temperature_c == ohmglow::Celsius{30});
  CHECK(refused(change("warm")).place.column == "temperature_f");
}

TEST_CASE("a draft keeps to the scale of its row") {
  SurveyFolder folder("draft_fahrenheit");
  folder.with("images.csv", "file,motor,component,air_f\na.tif,M,box,68\n");
  const auto current = folder.survey().images.at(0);
  const auto draft = records::draft_image(folder.path(), current, {{"air_c", "25"}});
  if (!draft) FAIL(sentence_with_place(draft.error()));
  CHECK(draft->parameters.air_c == ohmglow::Celsius{25});
}

TEST_CASE("a save for an image that is not there offers the names near to it") {
  SurveyFolder folder("edit_near_file");
  folder.with("images.csv", "file,motor,component\nbay 2/a1.tif,M,box\n")
      .with("bay 2/IR_Box.tif", "x")
      .with("bay 2/starter.tif", "x");
  const Error error = refused(save_image(folder, "bay 2/ir-box.tif", {{"note", "x"}}));
  CHECK(error.expected == "an image file in the survey folder (did you mean bay 2/IR_Box.tif?)");
  const Error none = refused(save_image(folder, "bay 3/ir-box.tif", {{"note", "x"}}));
  CHECK(none.expected == "an image file in the survey folder");
}

TEST_CASE("the last row goes without a trace at the end of the file") {
  const auto [before, after] = GENERATE(table<std::string, std::string>(
      {{"h\nX\n", "h\n"}, {"h\nX", "h"}, {"h\r\nX", "h"}, {"h\nX\n\n", "h\n\n"}}));
  const std::string head = "motor,test,value_1,value_2,value_3,unit";
  const auto spelled = [&head](std::string text) {
    if (const auto at = text.find('X'); at != std::string::npos)
      text.replace(at, 1, "M,line_current,1,2,3,a");
    return text.replace(0, 1, head);
  };
  SurveyFolder folder("edit_last_row");
  folder.with("readings.csv", spelled(before));
  const long row = 2;
  good(records::delete_reading(folder.path(), row, etag(folder, "readings.csv")));
  CHECK(test::read(folder.path() / "readings.csv") == spelled(after));
}

TEST_CASE("the raw texts are what is written, with the etag to save against") {
  SurveyFolder folder("edit_texts");
  folder.with("images.csv", "File;motor;component;emissivity;Bay\na.tif;M;\"box; left\";0,90;\n");
  folder.with("survey.json", R"({"defaults":{"emissivity":0.95,"note":"dry"}})");
  const auto row = records::image_text(folder.path(), {"a.tif", 1});
  if (!row) FAIL(sentence_with_place(row.error()));
  CHECK(row->etag == etag(folder, "images.csv"));
  CHECK(row->dialect.decimal_mark == ',');
  REQUIRE(row->rows.size() == 1);
  CHECK(row->rows[0].row == 2);
  CHECK(row->rows[0].cells == std::vector<CellText>{{"File", "a.tif"},
                                                    {"motor", "M"},
                                                    {"component", "box; left"},
                                                    {"emissivity", "0,90"},
                                                    {"Bay", ""}});
  CHECK(records::image_text(folder.path(), {"b.tif", 1})->rows.empty());
  CHECK(records::table_text(folder.path(), "images.csv")->rows.size() == 1);
  CHECK(records::table_text(folder.path(), "readings.csv")->etag == kNoFile);
  CHECK(records::reading_text(folder.path(), 2)->rows.empty());
  const auto defaults = records::defaults_text(folder.path());
  REQUIRE(defaults);
  CHECK(defaults->rows.at(0).cells ==
        std::vector<CellText>{{"emissivity", "0.95"}, {"note", "dry"}});
  CHECK(records::etag_of(folder.path(), "../x").error().kind == ErrorKind::outside_survey);
}

TEST_CASE("an independent reader finds one cell changed and all others as they were") {
  // Source: the csv module of Python's standard library writes the tables and reads them back.
  SurveyFolder folder("edit_python");
  const std::string path = folder.path().string();
  const auto python = [&path](const std::string& name, const std::string& program) {
    test::write(path + "/" + name + ".py", program);
    return std::system((OHMGLOW_PYTHON " '" + path + "/" + name + ".py' '" + path + "'").c_str());
  };
  REQUIRE(python("make", R"(
import csv, json, random, sys
r = random.Random(23)
parts = ['a', 'motor', '"', '\n', '\r\n', ',', ';', '\t', ' ', '1.5', '1,5', 'é', '😀', "'", '=1+1', '#']
word = lambda: 'x' + ''.join(r.choice(parts) for _ in range(r.randrange(6))) + 'x'
for i in range(60):
    d, end = r.choice(',;\t'), r.choice(['\n', '\r\n'])
    rows = [['file', 'motor', 'component', 'note', 'bay', 'air_c']]
    for k in range(r.randrange(2, 7)):
        rows.append([f'f{k}.tif', 'M', word(), word(), word(), r.choice(['', '20'])])
    text = '\ufeff' if i % 2 else ''
    import io
    out = io.StringIO(newline='')
    csv.writer(out, delimiter=d, lineterminator=end, quoting=r.choice([csv.QUOTE_ALL, csv.QUOTE_MINIMAL])).writerows(rows)
    text += out.getvalue()
    if i % 3 == 0: text = text.rstrip('\r\n')
    open(f'{sys.argv[1]}/{i}.csv', 'w', newline='', encoding='utf-8').write(text)
    row = r.randrange(1, len(rows))
    col = r.choice(['component', 'note', 'bay'])
    json.dump([d, row, col], open(f'{sys.argv[1]}/{i}.json', 'w'))
    open(f'{sys.argv[1]}/{i}.edit', 'w', newline='', encoding='utf-8').write(f'{row - 1}\x1f{col}\x1f{word()}')
)") == 0);
  int edited = 0;
  for (int i = 0; i < 60; ++i) {
    const std::string number = std::to_string(i);
    folder.with("images.csv", test::read(path + "/" + number + ".csv"));
    const std::string edit = test::read(path + "/" + number + ".edit");
    const auto first = edit.find('\x1f');
    const auto second = edit.find('\x1f', first + 1);
    const auto saved =
        save_image(folder, "f" + edit.substr(0, first) + ".tif",
                   {{edit.substr(first + 1, second - first - 1), edit.substr(second + 1)}});
    if (!saved) continue;  // a value that would turn the table's delimiter or decimal mark
    ++edited;
    test::fs::copy_file(path + "/images.csv", path + "/" + number + ".out",
                        test::fs::copy_options::overwrite_existing);
  }
  CHECK(edited >= 55);
  CHECK(python("check", R"(
import csv, json, os, sys
def rows(path, d):
    text = open(path, newline='', encoding='utf-8').read()
    import io
    return text, list(csv.reader(io.StringIO(text, newline=''), delimiter=d, strict=True))
for i in range(60):
    base = f'{sys.argv[1]}/{i}'
    if not os.path.exists(base + '.out'): continue
    d, row, col = json.load(open(base + '.json'))
    (old_text, old), (new_text, new) = rows(base + '.csv', d), rows(base + '.out', d)
    value = open(base + '.edit', newline='', encoding='utf-8').read().split('\x1f', 2)[2]
    at = old[0].index(col)
    old[row][at] = value
    assert old == new, (i, old, new)
    assert old_text.startswith('\ufeff') == new_text.startswith('\ufeff')
    assert old_text[-1:] == new_text[-1:] or row == len(old) - 1
)") == 0);
}

TEST_CASE("marks are saved only over the marks that the caller saw") {
  SurveyFolder folder("edit_marks");
  const MarkFile marks{
      "sub/a.tif", 64, 48, {Mark{.name = "T1", .phase = Phase::one, .shape = Circle{{10, 10}, 4}}}};
  CHECK(*records::marks_etag(folder.path(), "sub/a.tif") == kNoFile);
  const std::string first = good(records::save_marks(folder.path(), marks, kNoFile)).etag;
  CHECK(*records::marks_etag(folder.path(), "sub/a.tif") == first);
  MarkFile other = marks;
  other.marks.front().name = "T2";
  const std::string second = good(records::save_marks(folder.path(), other, first)).etag;
  CHECK(refused(records::save_marks(folder.path(), marks, first)).kind == ErrorKind::conflict);
  CHECK(refused(records::save_marks(folder.path(), marks, kNoFile)).kind == ErrorKind::conflict);
  CHECK(records::read_marks(folder.path(), "sub/a.tif", default_phase_names())
            ->file.marks.front()
            .name == "T2");
  test::fs::remove(records::marks_path(folder.path(), "sub/a.tif"));
  const Error gone = refused(records::save_marks(folder.path(), marks, second));
  CHECK(gone.kind == ErrorKind::conflict);
  CHECK(contains(gone.what, "not there"));
}

TEST_CASE("marks from a text are held to the same schema as those of a file") {
  const auto parse = [](const std::string& text) {
    return records::parse_marks(text, "a.tif", default_phase_names());
  };
  const auto good_marks = parse(
      R"({"version":1,"image":"a.tif","size":[9,9],"marks":[{"name":"T1","role":"lug",
          "shape":{"kind":"circle","center":[4,4],"radius":2}}]})");
  REQUIRE(good_marks);
  CHECK(good_marks->problems.empty());
  CHECK(good_marks->file.marks.at(0).phase == Phase::one);
  CHECK_FALSE(parse(R"({"version":1,"image":"b.tif","size":[9,9],"marks":[]})"));
  CHECK_FALSE(parse(R"({"version":1,"image":"a.tif","size":[9,9],"marks":[],"more":1})"));
  const auto bad = parse(R"({"version":1,"image":"a.tif","size":[9,9],"marks":[{"name":"T1"}]})");
  REQUIRE(bad);
  CHECK(bad->problems.size() == 1);
  CHECK(bad->problems.front().file == "marks/a.tif.json");
}

TEST_CASE("of many who save at once, each builds upon the last and none is lost") {
  SurveyFolder folder("edit_threads");
  folder.with("readings.csv", "motor,test,value_1,value_2,value_3,unit\n");
  constexpr int kEach = 10;
  const auto work = [&folder] {
    for (int done = 0; done < kEach;) {
      const auto tag = records::etag_of(folder.path(), "readings.csv");
      const auto saved = records::add_reading(folder.path(), kReading, *tag);
      if (saved) ++done;
      if (!saved && saved.error().kind != ErrorKind::conflict) return;
    }
  };
  std::thread one(work);
  std::thread two(work);
  std::thread three(work);
  one.join();
  two.join();
  three.join();
  CHECK(folder.survey().readings.size() == 3 * kEach);
}

TEST_CASE("whoever is killed while saving leaves the old file or the whole new one") {
  SurveyFolder folder("edit_killed");
  std::string table = "motor,test,value_1,value_2,value_3,unit,note\n";
  for (int i = 0; i < 3000; ++i) table += "M1,line_current,1,2,3,a,row\n";
  folder.with("readings.csv", table);
  std::mt19937 random(5);
  std::size_t rows = folder.survey().readings.size();
  int killed_amid = 0;
  for (int round = 0; round < 25; ++round) {
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
      for (;;) {
        const auto tag = records::etag_of(folder.path(), "readings.csv");
        if (tag) static_cast<void>(records::add_reading(folder.path(), kReading, *tag));
      }
    }
    // Amid one of the saves that follow the first.
    const std::string before = test::read(folder.path() / "readings.csv");
    while (test::read(folder.path() / "readings.csv") == before) ::usleep(1'000);
    ::usleep(static_cast<useconds_t>(random() % 20'000));
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
    const std::string text = test::read(folder.path() / "readings.csv");
    REQUIRE(text.starts_with(table));
    REQUIRE(text.ends_with('\n'));
    const auto survey = folder.survey();
    REQUIRE(survey.problems.empty());
    REQUIRE(survey.readings.size() >= rows);
    rows = survey.readings.size();
    for (const auto& entry : test::fs::directory_iterator(folder.path())) {
      if (entry.path().extension() == ".tmp") ++killed_amid;
    }
  }
  CHECK(rows > 3000);  // some were saved
  INFO(killed_amid << " kills left a temporary file");
  // A lock of a killed program holds nobody up.
  good(add_reading(folder, kReading));
}

TEST_CASE("of several rows for an image the one that the survey is read from is changed") {
  SurveyFolder folder("edit_second_row");
  folder.with("images.csv",
              "file,motor,component,emissivity\na.tif,M,box,oops\nb.tif,M,box,0.9\n"
              "a.tif,M,box,0.8\n");
  good(save_image(folder, "a.tif", {{"emissivity", "0.7"}}));
  CHECK(test::read(folder.path() / "images.csv") ==
        "file,motor,component,emissivity\na.tif,M,box,oops\nb.tif,M,box,0.9\na.tif,M,box,0.7\n");
}

TEST_CASE("a table with a damaged row can be edited beside it") {
  SurveyFolder folder("edit_beside_damage");
  folder.with("images.csv",
              "file,motor,component,note\na.tif,M,box,\nb.tif,M,box,\"open\nc.tif,M,box,\n");
  good(save_image(folder, "c.tif", {{"note", "x"}}));
  CHECK(test::read(folder.path() / "images.csv") ==
        "file,motor,component,note\na.tif,M,box,\nb.tif,M,box,\"open\nc.tif,M,box,x\n");
}
