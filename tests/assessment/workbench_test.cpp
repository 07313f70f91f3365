// A survey that stays open: whatever is changed, its numbers are those of a run on the survey as it
// then is. Runs themselves are held against published values elsewhere.

#include "offered/assessment/workbench.h"

#include "kept.h"
#include "offered/editing/survey_drafts.h"
#include "offered/intake/mark_files.h"
#include "offered/intake/survey_tables.h"
#include "offered/results/findings_texts.h"
#include "ohmglow/survey_folder.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

using namespace ohmglow;
namespace fs = std::filesystem;

namespace {

constexpr int kSide = 60;

void write(const fs::path& file, const std::string& text) {
  fs::create_directories(file.parent_path());
  std::ofstream(file) << text;
}

/// A temperature matrix with three warm patches, hottest in the middle one.
std::string matrix(double hottest) {
  std::string text;
  for (int y = 0; y < kSide; ++y) {
    for (int x = 0; x < kSide; ++x) {
      const bool warm = y > 20 && y < 40;
      const double t = !warm ? 25 : x < 20 ? 31 : x < 40 ? hottest : 30.5;
      text += (x == 0 ? "" : ",") + std::to_string(t + 0.01 * ((x * 7 + y * 13) % 5));
    }
    text += "\n";
  }
  return text;
}

std::string marks(const std::string& file, double radius) {
  std::string list;
  for (int i = 0; i < 3; ++i) {
    list += std::string(i == 0 ? "" : ",") + R"({"name":"T)" + std::to_string(i + 1) +
            R"(","role":"lug","shape":{"kind":"circle","center":[)" + std::to_string(10 + 20 * i) +
            R"(,30],"radius":)" + std::to_string(radius) + "}}";
  }
  return R"({"version":1,"image":")" + file + R"(","size":[60,60],"marks":[)" + list + "]}";
}

/// Four motors, one of them seen twice; one image is not marked, one cannot be read.
fs::path survey_folder(const std::string& name) {
  const fs::path folder = fs::path(OHMGLOW_TEST_OUTPUT) / "workbench" / name;
  fs::remove_all(folder);
  write(folder / "motors.csv",
        "motor,rated_a,criticality,downtime_cost_per_h\nM1,30,2,100\nM2,40,5,900\nM3,20,1,10\n");
  write(folder / "images.csv",
        "file,motor,component,taken_at,emissivity,air_c,load_1_a,load_2_a,load_3_a\n"
        "a.csv,M2,terminal box,2026-03-04,0.95,25,20,20,20\n"
        "b.csv,M1,terminal box,2026-03-04,0.95,25,20,20,20\n"
        "c.csv,M2,disconnect,2026-03-04,0.9,25,20,20,20\n"
        "d.csv,M2,terminal box,2026-03-04,0.95,25,20,20,20\n"
        "e.csv,M3,terminal box,2026-03-04,0.95,25,,,\n"
        "gone.csv,M4,terminal box,2026-03-04,0.95,25,,,\n");
  write(folder / "readings.csv",
        "motor,test,taken_at,place,value_1,value_2,value_3,unit\n"
        "M1,winding_resistance,2026-03-03,terminal box,0.52,0.52,0.41,ohm\n"
        "M2,winding_resistance,2026-03-03,terminal box,0.5,0.5,0.5,ohm\n");
  const std::map<std::string, double> hottest{
      {"a.csv", 55}, {"b.csv", 48}, {"c.csv", 35}, {"d.csv", 33}, {"e.csv", 40}};
  for (const auto& [file, t] : hottest) {
    write(folder / file, matrix(t));
    if (file != "e.csv") write(folder / "marks" / (file + ".json"), marks(file, 7));
  }
  return folder;
}

Survey survey_of(const fs::path& folder) {
  auto survey = records::read_survey(folder);
  REQUIRE(survey);
  return std::move(*survey);
}

severity::Policy policy() {
  auto read = records::read_policy("", "");
  REQUIRE(read);
  return std::move(*read);
}

diagnosis::Options judging() {
  diagnosis::Options options;
  options.as_of = Moment::parse("2026-03-05")->day;
  return options;
}

std::string assessed(const fs::path& folder, const diagnosis::Options& how = judging()) {
  test::Kept kept(survey_of(folder), policy(), how);
  kept.assess();
  return kept.findings();
}

/// findings.json of all that a bench has judged.
std::string findings_of(assessment::Workbench& bench) {
  const assessment::Judged judged = bench.whole();
  test::Kept kept(judged.survey, bench.policy(), bench.options().judging);
  for (std::size_t i = 0; i < judged.motors.size(); ++i) {
    REQUIRE(kept.results->add(i, *judged.motors[i]));
  }
  kept.results->rank();
  return kept.findings();
}

/// The motors' findings in the order of the list, and their images, as texts.
std::vector<std::string> shown(assessment::Workbench& bench) {
  std::vector<std::string> texts;
  int rank = 0;
  for (const auto& next : bench.ranked()->findings) {
    auto finding = next.motor->assessment.findings[next.finding];
    finding.rank = ++rank;
    finding.case_number = next.case_number;
    texts.push_back(records::finding_text(next.motor->assessment, finding));
  }
  for (const std::string& id : bench.motors()) {
    const auto motor = bench.motor(id);
    for (std::size_t i = 0; i < motor->images.size(); ++i) {
      texts.push_back(records::image_text(motor->assessment, i));
    }
    for (const auto& component : motor->assessment.components) {
      texts.push_back(records::component_text(motor->assessment, component));
    }
  }
  return texts;
}

/// The same of a whole assessment.
std::vector<std::string> shown(const diagnosis::Assessment& whole) {
  std::vector<std::string> texts;
  for (const auto& finding : whole.findings) texts.push_back(records::finding_text(whole, finding));
  for (const auto& motor : whole.motors) {
    for (std::size_t i = 0; i < whole.images.size(); ++i) {
      if (whole.images[i].motor == motor.motor) texts.push_back(records::image_text(whole, i));
    }
    for (const auto& component : whole.components) {
      if (component.motor == motor.motor)
        texts.push_back(records::component_text(whole, component));
    }
  }
  return texts;
}

class Open {
 public:
  explicit Open(const std::string& name, const diagnosis::Options& how = judging())
      : folder(survey_folder(name)), how_(how), bench(survey_of(folder), policy(), options(how)) {
    bench.measure_all([](std::size_t, std::size_t) { return true; });
  }
  void is_as_assessed() {
    bench.measure_all([](std::size_t, std::size_t) { return true; });
    test::Kept kept(survey_of(folder), policy(), how_);
    kept.assess();
    const auto whole = kept.results->whole();
    REQUIRE(whole);
    CHECK(shown(bench) == shown(*whole));
    CHECK(findings_of(bench) == kept.findings());
  }

  fs::path folder;

 private:
  static assessment::WorkbenchOptions options(const diagnosis::Options& how) {
    assessment::WorkbenchOptions options;
    options.judging = how;
    return options;
  }
  diagnosis::Options how_;

 public:
  assessment::Workbench bench;
};

}  // namespace

TEST_CASE("a survey that is kept open shows what assess writes") {
  Open open("as_assessed");
  CHECK(open.bench.progress().done == 6);
  CHECK(open.bench.motors() == std::vector<std::string>{"M1", "M2", "M3", "M4"});
  open.is_as_assessed();
}

TEST_CASE("trials by Monte Carlo do not depend on judging motor by motor") {
  auto how = judging();
  how.uncertainty = diagnosis::Uncertainty::monte_carlo;
  how.decision = severity::Decision::guarded;
  Open("monte_carlo", how).is_as_assessed();
}

TEST_CASE("after marks have changed, the numbers are those of the survey as it is") {
  Open open("marks");
  const auto other_motor = open.bench.motor("M1");
  write(open.folder / "marks/a.csv.json", marks("a.csv", 4));
  const auto read = records::read_marks(open.folder, "a.csv", default_phase_names());
  REQUIRE(read);
  const auto before = open.bench.revision();
  open.bench.change_marks("a.csv", read->file);
  CHECK(open.bench.revision() > before);
  CHECK(open.bench.known("M2") == nullptr);
  CHECK(open.bench.known("M1") == other_motor);
  open.is_as_assessed();
  fs::remove(open.folder / "marks/a.csv.json");
  open.bench.change_marks("a.csv", std::nullopt);
  open.is_as_assessed();
}

TEST_CASE("after tables have changed, only what they touch is worked out again") {
  Open open("tables");
  const auto m1 = open.bench.motor("M1");
  const auto m2 = open.bench.motor("M2");
  const auto change = [&](const std::string& file, const std::string& text) {
    write(open.folder / file, text);
    auto tables = records::read_tables(open.folder);
    REQUIRE(tables);
    open.bench.change_tables(std::move(*tables));
  };
  SECTION("a reading") {
    change("readings.csv",
           "motor,test,taken_at,place,value_1,value_2,value_3,unit\nM1,winding_resistance,2026-03-"
           "03,terminal box,0.5,0.5,0.5,ohm\n"
           "M2,winding_resistance,2026-03-03,terminal box,0.5,0.5,0.5,ohm\n");
    CHECK(open.bench.known("M1") == nullptr);
    CHECK(open.bench.known("M2") == m2);
    CHECK(open.bench.progress().done == 6);
  }
  SECTION("a motor's stake, which changes its place in the list") {
    change(
        "motors.csv",
        "motor,rated_a,criticality,downtime_cost_per_h\nM1,30,5,100000\nM2,40,5,900\nM3,20,1,10\n");
    CHECK(open.bench.known("M1") == nullptr);
    CHECK(open.bench.known("M2") == m2);
  }
  SECTION("the same tables written anew") {
    const auto before = open.bench.revision();
    auto tables = records::read_tables(open.folder);
    REQUIRE(tables);
    open.bench.change_tables(std::move(*tables));
    CHECK(open.bench.revision() == before);
    CHECK(open.bench.known("M1") == m1);
  }
  open.is_as_assessed();
}

TEST_CASE("readings that have changed alone touch their motors alone") {
  Open open("readings");
  const auto m2 = open.bench.motor("M2");
  write(open.folder / "readings.csv",
        "motor,test,taken_at,place,value_1,value_2,value_3,unit\n"
        "M2,winding_resistance,2026-03-03,terminal box,0.5,0.5,0.5,ohm\n"
        "M3,winding_resistance,2026-03-03,terminal box,0.5,0.4,0.5,ohm\n"
        "M3,winding_resistance,2026-03-03,terminal box,warm,0.4,0.5,ohm\n");
  auto read = records::read_readings(open.folder);
  CHECK(open.bench.change_readings(read.readings, read.shop_tests, read.problems));
  CHECK(open.bench.known("M1") == nullptr);
  CHECK(open.bench.known("M3") == nullptr);
  CHECK(open.bench.known("M2") == m2);
  open.is_as_assessed();
  read.readings.front().motor = "M9";
  CHECK_FALSE(open.bench.change_readings(read.readings, read.shop_tests, read.problems));
  open.is_as_assessed();
}

TEST_CASE("an image's parameters that have changed touch its motor alone") {
  Open open("parameters");
  const auto m1 = open.bench.motor("M1");
  auto survey = survey_of(open.folder);
  write(open.folder / "images.csv",
        "file,motor,component,taken_at,emissivity,air_c,load_1_a,load_2_a,load_3_a\n"
        "a.csv,M2,terminal box,2026-03-04,0.7,22,20,20,20\n"
        "b.csv,M1,terminal box,2026-03-04,0.95,25,20,20,20\n"
        "c.csv,M2,disconnect,2026-03-04,0.9,25,20,20,20\n"
        "d.csv,M2,terminal box,2026-03-04,0.95,25,20,20,20\n"
        "e.csv,M3,terminal box,2026-03-04,0.95,25,,,\n"
        "gone.csv,M4,terminal box,2026-03-04,0.95,25,,,\n");
  const auto drafted = records::draft_image(open.folder, survey.images.front(), {});
  REQUIRE(drafted);
  open.bench.change_image(0, *drafted);
  CHECK(open.bench.known("M2") == nullptr);
  CHECK(open.bench.known("M1") == m1);
  open.is_as_assessed();
}

TEST_CASE("a survey read anew takes over images that have come, gone and moved") {
  Open open("anew");
  write(open.folder / "images.csv",
        "file,motor,component,taken_at,emissivity,air_c,load_1_a,load_2_a,load_3_a\n"
        "b.csv,M1,terminal box,2026-03-04,0.95,25,20,20,20\n"
        "a.csv,M2,terminal box,2026-03-04,0.8,25,20,20,20\n"
        "e.csv,M5,terminal box,2026-03-04,0.95,25,,,\n");
  write(open.folder / "marks/e.csv.json", marks("e.csv", 7));
  open.bench.change_survey(survey_of(open.folder));
  open.is_as_assessed();
}

TEST_CASE("an image file with other bytes is measured again when its motor is looked at") {
  Open open("other_bytes");
  write(open.folder / "b.csv", matrix(70) + "\n");
  open.bench.look_again("M1");
  open.is_as_assessed();
}

TEST_CASE("a draft shows what saving it would, and changes nothing") {
  Open open("draft");
  const auto before = open.bench.motor("M2");
  const auto place = open.bench.find_image("a.csv");
  REQUIRE(place);
  write(open.folder / "marks/a.csv.json", marks("a.csv", 3));
  const auto read = records::read_marks(open.folder, "a.csv", default_phase_names());
  REQUIRE(read);
  const auto tried =
      open.bench.try_out("M2", place, {.marks = read->file, .entry = {}, .readings = {}});
  REQUIRE(tried);
  CHECK(open.bench.known("M2") == before);
  open.bench.change_marks("a.csv", read->file);
  const auto after = open.bench.motor("M2");
  for (std::size_t i = 0; i < after->images.size(); ++i) {
    CHECK(records::image_text(tried->assessment, i) == records::image_text(after->assessment, i));
  }
  REQUIRE(tried->assessment.findings.size() == after->assessment.findings.size());
  for (std::size_t i = 0; i < after->assessment.findings.size(); ++i) {
    CHECK(records::finding_text(tried->assessment, tried->assessment.findings[i]) ==
          records::finding_text(after->assessment, after->assessment.findings[i]));
  }
  CHECK_FALSE(open.bench.try_out("nobody", {}, {}));
}

TEST_CASE("measuring that is told to stop leaves the rest for when it is asked for") {
  const fs::path folder = survey_folder("stopped");
  assessment::WorkbenchOptions options;
  options.judging = judging();
  options.jobs = 1;
  assessment::Workbench bench(survey_of(folder), policy(), options);
  bench.measure_all([](std::size_t, std::size_t) { return false; });
  CHECK(bench.progress().done == 1);
  CHECK(findings_of(bench) == assessed(folder));
  CHECK(bench.motor("nobody") == nullptr);
}
