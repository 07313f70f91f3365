// JSON Schema (draft 2020-12, json-schema.org) as Debian's python3-jsonschema checks it: the
// schemas in docs/schema must take what the program writes and reads, and refuse what it refuses.
#include "../findings_text.h"
#include "offered/editing/survey_edits.h"
#include "offered/intake/mark_files.h"
#include "offered/results/findings_texts.h"
#include "sample_assessment.h"
#include "survey_folder.h"

#include <cstdlib>
#include <nlohmann/json.hpp>

using Json = nlohmann::json;
using Texts = std::vector<std::string>;
using ohmglow::by_hand::findings_text;
using ohmglow::records::look_json;
using ohmglow::records::marks_json;
using ohmglow::records::readings_json;

namespace fs = std::filesystem;

namespace {

const fs::path kSource = OHMGLOW_SOURCE_DIR;

struct Checked {
  int exit_code;
  std::string complaints;
};

/// One run of the checker over all files.
Checked check(const std::string& schema, const std::vector<fs::path>& files) {
  std::string command = OHMGLOW_PYTHON " '" + (kSource / "tests/check_schema.py").string() + "' '" +
                        (kSource / "docs/schema" / (schema + ".schema.json")).string() + "'";
  for (const fs::path& file : files) command += " '" + file.string() + "'";
  const fs::path talk = test::output("schema/talk.txt");
  const int status = std::system((command + " 2> '" + talk.string() + "'").c_str());
  REQUIRE(WIFEXITED(status));
  // 2 would be a misuse of the script itself; a traceback exits with 1 and must not pass for a
  // refusal.
  REQUIRE(WEXITSTATUS(status) <= 1);
  REQUIRE_FALSE(test::contains(test::read(talk), "Traceback"));
  return {WEXITSTATUS(status), test::read(talk)};
}

bool keeps_to(const std::string& schema, const std::vector<fs::path>& files) {
  const Checked checked = check(schema, files);
  UNSCOPED_INFO(checked.complaints);
  return checked.exit_code == 0;
}

/// Those of the texts that the schema takes.
Texts taken(const std::string& schema, const Texts& texts) {
  std::vector<fs::path> files;
  for (const std::string& text : texts) {
    files.push_back(
        test::output("schema/" + schema + "/" + std::to_string(files.size()) + "_.json"));
    test::write(files.back(), text);
  }
  const Checked checked = check(schema, files);
  UNSCOPED_INFO(checked.complaints.substr(0, 2000));
  Texts result;
  for (std::size_t i = 0; i < texts.size(); ++i) {
    if (!test::contains(checked.complaints, files[i].string() + ":")) result.push_back(texts[i]);
  }
  CHECK((checked.exit_code == 0) == (result.size() == texts.size()));
  return result;
}

const Texts kNone;

using Changes = std::vector<std::pair<std::string, Json>>;

/// The document with each of the changes, one at a time.
Texts changed(const Json& good, const Changes& changes) {
  Texts texts;
  for (const auto& [where, value] : changes) {
    Json bad = good;
    bad[Json::json_pointer(where)] = value;
    texts.push_back(bad.dump());
  }
  return texts;
}

/// Every way to leave out one member, or to add an unknown one, of any object in the document.
void break_objects(const Json& whole, const Json::json_pointer& at, Texts& broken) {
  const Json& here = whole.at(at);
  if (here.is_array()) {
    for (std::size_t i = 0; i < here.size(); ++i) break_objects(whole, at / i, broken);
  }
  if (!here.is_object()) return;
  Json more = whole;
  more[at]["surplus"] = 1;
  broken.push_back(more.dump());
  for (const auto& item : here.items()) {
    Json less = whole;
    less[at].erase(item.key());
    broken.push_back(less.dump());
    break_objects(whole, at / item.key(), broken);
  }
}

Texts broken_objects(const std::string& text) {
  Texts broken;
  break_objects(Json::parse(text), Json::json_pointer{}, broken);
  REQUIRE(broken.size() > 5);
  return broken;
}

ohmglow::MarkFile sample_marks() {
  ohmglow::MarkFile marks{.image = "bay 2/a.tif", .width = 64, .height = 48, .marks = {}};
  ohmglow::Mark lug;
  lug.name = "T1";
  lug.phase = ohmglow::Phase::one;
  lug.shape = ohmglow::Circle{{4, 5}, 2.5};
  lug.emissivity = ohmglow::Emissivity{0.7};
  lug.emissivity_u = 0.04;
  lug.material = "zinc";
  lug.origin = ohmglow::MarkOrigin::carried;
  lug.carried_from = "2025";
  lug.confidence = 0.5;
  ohmglow::Mark air;
  air.name = "air";
  air.role = ohmglow::MarkRole::ambient;
  air.shape = ohmglow::Rectangle{{0, 0}, {4, 4}};
  ohmglow::Mark foil;
  foil.name = "foil";
  foil.role = ohmglow::MarkRole::reflector;
  foil.shape = ohmglow::Polygon{{{0, 0}, {1, 0}, {1, 1}}};
  marks.marks = {lug, air, foil};
  return marks;
}

std::vector<fs::path> files_named(const fs::path& folder, std::string_view part_of_path) {
  std::vector<fs::path> files;
  if (!fs::exists(folder)) return files;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    const std::string path = entry.path().generic_string();
    if (entry.is_regular_file() && path.ends_with(".json") && test::contains(path, part_of_path)) {
      files.push_back(entry.path());
    }
  }
  return files;
}

}  // namespace

TEST_CASE("findings.json keeps to its schema, full and bare") {
  const Texts texts{findings_text(test::sample_assessment()),
                    findings_text(test::bare_assessment())};
  CHECK(taken("findings", texts) == texts);
}

TEST_CASE("the schema of findings.json demands every member and takes no other") {
  // The members of band_probability are the policy's, so that none of them can be demanded.
  Json json = Json::parse(findings_text(test::sample_assessment()));
  for (auto& image : json["images"]) {
    for (auto& lug : image["lugs"]) lug["band_probability"] = nullptr;
  }
  for (auto& finding : json["findings"]) finding["band_probability"] = nullptr;
  const Texts broken = broken_objects(json.dump());
  CHECK(broken.size() > 200);
  CHECK(taken("findings", broken) == kNone);
}

TEST_CASE(
    "a wrong type, a wrong word or a number out of range breaks the schema of findings.json") {
  const Changes changes{{"/version", 2},
                        {"/findings/0/rank", 0},
                        {"/findings/0/rank", "1"},
                        {"/findings/0/verdict", "certain"},
                        {"/findings/0/band_by", "luck"},
                        {"/findings/0/phase", 4},
                        {"/findings/0/motor", nullptr},
                        {"/findings/0/flags/0", "windy"},
                        {"/findings/0/band_probability/plan", 1.5},
                        {"/images/0/status", "seen"},
                        {"/images/0/sha256", "abc"},
                        {"/images/0/lugs/0/pixels", -1},
                        {"/images/0/lugs/0/u_c", -0.5},
                        {"/images/0/lugs/0/hottest", Json::array({1})},
                        {"/images/0/load_a", Json::array({1, 2})},
                        {"/options/as_of", "today"},
                        {"/motors/0/electrical/0/test", "rotor_sweep"},
                        {"/problems/0/row", "4"}};
  const Json good = Json::parse(findings_text(test::sample_assessment()));
  CHECK(taken("findings", changed(good, changes)) == kNone);
}

TEST_CASE("readings_json keeps to its schema, and the schema is strict") {
  const std::string text = readings_json(test::sample_assessment());
  CHECK(taken("readings", {text}) == Texts{text});
  CHECK(taken("readings", broken_objects(text)) == kNone);
}

TEST_CASE("rotor_json keeps to its schema, and the schema is strict") {
  using namespace ohmglow;
  rotor::Sweep sweep;
  sweep.motor = "M1";
  sweep.name = "bought";
  sweep.taken_at = Moment::parse("2026-03-04");
  sweep.pattern = rotor::Pattern::pole_pattern;
  sweep.also = {rotor::Pattern::pairs_differ};
  sweep.cannot_tell = {sentence("model: {}", std::string("a"))};
  for (auto& pair : sweep.pairs) pair.mean = Henry{0.02};
  sweep.harmonics = {{2, rotor::Sequence::negative, Percent{0.3}, Percent{0.01}}};
  sweep.readings.resize(36);
  sweep.next_test = sentence("model: {}", std::string("b"));
  rotor::Sweep full = sweep;
  full.pairs[0].peak_drift = Percent{0.1};
  full.closing = Percent{-0.01};
  full.eccentricity = rotor::SweepEccentricity{Percent{10}, Percent{9}, Percent{11},
                                               sentence("model: {}", std::string("c"))};
  rotor::AirGap bare;
  bare.motor = "M1";
  bare.mean = Millimetre{1.6};
  rotor::AirGap gap = bare;
  gap.end = MotorEnd::opposite;
  gap.offset = rotor::Direction{Percent{6}, 348.7};
  gap.fixed = gap.turning = gap.offset;
  gap.limit = Percent{5};
  gap.result = rotor::Conformity::too_close;
  const Texts texts{records::rotor_json({{full, sweep}, {gap, bare}}, {}),
                    records::rotor_json({}, {})};
  CHECK(taken("rotor", texts) == texts);
  CHECK(taken("rotor", broken_objects(texts[0])) == kNone);
}

TEST_CASE("look_json keeps to its schema, and the schema is strict") {
  ohmglow::records::Look look;
  look.image.pixels = cv::Mat(3, 4, CV_16U, cv::Scalar(0));
  look.image.format = "tiff";
  look.image.dtype = "uint16";
  look.stored = {.min = 1, .max = 3, .mean = 2, .finite = 12, .no_data = 0};
  look.declaration = ohmglow::Declaration{0.01, 0, ohmglow::TemperatureUnit::kelvin, "images.csv"};
  const Texts texts{look_json(look, "a.tif", {}), look_json(std::nullopt, "x", {"not an image"})};
  CHECK(taken("look", texts) == texts);
  CHECK(taken("look", broken_objects(texts[0])) == kNone);
}

TEST_CASE("written marks keep to their schema, and the schema refuses what the reader refuses") {
  const std::string marks = marks_json(sample_marks());
  CHECK(taken("marks", {marks}) == Texts{marks});
  const Changes changes{{"/version", 2},
                        {"/size/0", 0},
                        {"/size/0", 1.5},
                        {"/marks/0/phase", 4},
                        {"/marks/0/role", "spot"},
                        {"/marks/0/emissivity", 0},
                        {"/marks/0/confidence", 1.5},
                        {"/marks/0/origin", "guessed"},
                        {"/marks/0/shape/radius", 0},
                        {"/marks/0/shape/center/0", 2e7},
                        {"/marks/0/shape/kind", "star"},
                        {"/marks/1/shape/size/0", -1},
                        {"/marks/2/shape/points", Json::parse("[[0,0],[1,1]]")},
                        {"/marks/0/colour", "red"},
                        {"/marks/0/shape/size", Json::parse("[1,1]")},
                        {"/owner", "me"}};
  const Texts texts = changed(Json::parse(marks), changes);
  CHECK(taken("marks", texts) == kNone);
  for (const std::string& text : texts) {
    INFO(text);
    const test::SurveyFolder folder("schema_marks");
    test::write(folder.path() / "marks/bay 2/a.tif.json", text);
    const auto read =
        ohmglow::records::read_marks(folder.path(), "bay 2/a.tif", ohmglow::default_phase_names());
    CHECK((!read || read->problems.size() == 1));
  }
}

TEST_CASE("the built-in policies keep to their schema, and the schema is strict") {
  const auto policies = files_named(kSource / "src/severity/policies", "policies/");
  REQUIRE(policies.size() >= 2);
  CHECK(keeps_to("policy", policies));
  const std::string own = R"({"version":1,"id":"own","title":"T","source":"s","rule":"r","bands":[
      {"id":"warm","title":"T","action":"a","source":"s"}]})";
  CHECK(taken("policy", {own}) == Texts{own});
  CHECK(taken("policy", broken_objects(own)) == kNone);
}

TEST_CASE("survey.json: schema and reader take and refuse the same") {
  const Texts good{
      "{}",
      R"({"site":"x","surveyed_on":"2026-03-04","thermographer":"y","policy":"neta_mts",
                       "phase_names":["A","B","C"],
                       "defaults":{"emissivity":0.9,"unit":"k","scale":0.01,"page":2}})",
      R"({"thermographer_level":"II","thermographer_certificate":"7","camera":{}})",
      R"({"camera":{"make":"","model":"m","serial":"s","calibrated_on":"2025-06-16","lens":"l"}})",
      R"({"band_um":[7.5,14]})",
      R"({"calibration":{"a_um":9.335907,"b_um_k":178.7685,"c":6815.4168}})"};
  const Texts bad{R"({"band_um":[8]})",
                  R"({"band_um":[0,14]})",
                  R"({"band_um":"8-14"})",
                  R"({"spectral_response":""})",
                  R"({"spectral_response":7})",
                  R"({"calibration":{"a_um":9,"b_um_k":1}})",
                  R"({"calibration":{"a_um":0,"b_um_k":1,"c":1}})",
                  R"({"calibration":{"a_um":9,"b_um_k":1,"c":1,"d":1}})",
                  R"({"band_um":[8,14],"calibration":{"a_um":9,"b_um_k":1,"c":1}})",
                  R"({"band_um":[8,14],"spectral_response":"lens.csv"})",
                  R"({"sight":"x"})",
                  R"({"site":7})",
                  R"({"site":null})",
                  R"({"site":"a","site":"b"})",
                  R"({"defaults":{"file":"a.tif"}})",
                  R"({"defaults":{"emissivity":1.2}})",
                  R"({"defaults":{"emissivity":"0.9"}})",
                  R"({"defaults":{"air_c":NaN}})",
                  R"({"defaults":{"page":1.5}})",
                  R"({"defaults":{"motor":12}})",
                  R"({"defaults":{"unit":"f"}})",
                  R"({"defaults":{"distance_m":0}})",
                  R"({"defaults":{"humidity_pct":101}})",
                  R"({"defaults":{"running_min":-1}})",
                  R"({"defaults":{"air_f":-460}})",
                  R"({"defaults":{"air_c":20,"air_f":68}})",
                  R"({"defaults":{"saved_reflected_c":20,"saved_reflected_f":68}})",
                  R"({"surveyed_on":"yesterday"})",
                  R"({"thermographer_level":2})",
                  R"({"camera":"m"})",
                  R"({"camera":{"calibrated_on":"2025"}})",
                  R"({"camera":{"owner":"x"}})",
                  R"({"phase_names":["A","B"]})",
                  R"({"phase_names":["A","A","C"]})",
                  "[]"};
  CHECK(taken("survey", good) == good);
  CHECK(taken("survey", bad) == kNone);
  for (const std::string& text : good) {
    INFO(text);
    CHECK(test::SurveyFolder("schema_survey").with("survey.json", text).survey().problems.empty());
  }
  for (const std::string& text : bad) {
    INFO(text);
    const auto error = test::SurveyFolder("schema_survey").with("survey.json", text).error();
    CHECK(error.place.file == "survey.json");
  }
}

TEST_CASE("the schema of survey.json knows the columns of images.csv, each once") {
  const Json schema = Json::parse(test::read(kSource / "docs/schema/survey.schema.json"));
  const Json& defaults = schema["properties"]["defaults"]["properties"];
  const auto refused = [](const std::string& member) {
    return test::SurveyFolder("schema_columns")
        .with("survey.json", "{\"defaults\":{\"" + member + "\":[]}}")
        .error();
  };
  for (const auto& item : defaults.items()) {
    INFO(item.key());
    // An array is complained about as a value, not as a name.
    CHECK(test::contains(refused(item.key()).what, "type"));
  }
  // And the reader knows no other: it lists its columns when it meets a stranger.
  const std::string known = refused("stranger").expected;
  CHECK(std::count(known.begin(), known.end(), ',') == static_cast<long>(defaults.size()));
}

TEST_CASE("the survey and marks of samples/ keep to their schemas") {
  const auto surveys = files_named(kSource / "samples", "/survey.json");
  const auto marks = files_named(kSource / "samples", "/marks/");
  if (!surveys.empty()) CHECK(keeps_to("survey", surveys));
  if (!marks.empty()) CHECK(keeps_to("marks", marks));
}
