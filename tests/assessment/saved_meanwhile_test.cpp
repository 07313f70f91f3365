// What a manifest vouches for: the bytes that were measured, whatever is saved while a run is under
// way. A hash beside a number must be the hash of what the number came from.

#include "offered/assessment/motor_by_motor.h"
#include "offered/files/folder.h"
#include "offered/intake/survey_tables.h"
#include "offered/results/kept_results.h"
#include "offered/results/manifest.h"
#include "ohmglow/survey_folder.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <functional>
#include <map>
#include <span>

using namespace ohmglow;
namespace fs = std::filesystem;

namespace {

void save(const fs::path& file, const std::string& text) {
  fs::create_directories(file.parent_path());
  std::ofstream(file) << text;
}

std::string hash_of(const std::string& text) {
  return records::sha256(std::as_bytes(std::span(text)));
}

/// 20 by 20 pixels of 30 °C, three lugs of 5 by 5, the second at `hot`.
std::string matrix_with(double hot) {
  std::string text;
  for (int y = 0; y < 20; ++y) {
    for (int x = 0; x < 20; ++x) {
      const bool in_second = y >= 2 && y < 7 && x >= 7 && x < 12;
      text += fmt::format("{}{}", x == 0 ? "" : ",", in_second ? hot : 30.0);
    }
    text += '\n';
  }
  return text;
}

/// Three lugs side by side; the second is called so.
std::string marks_called(const std::string& file, const std::string& second) {
  std::string text = fmt::format(R"({{"version":1,"image":"{}","size":[20,20],"marks":[)", file);
  int x = 2;
  for (const std::string& name : {std::string("T1"), second, std::string("T3")}) {
    text += fmt::format(
        R"({}{{"name":"{}","role":"lug","phase":{},"shape":{{"kind":"rectangle","corner":[{},2],"size":[4,4]}}}})",
        x == 2 ? "" : ",", name, (x + 3) / 5, x);
    x += 5;
  }
  return text + "]}";
}

constexpr const char* kImages =
    "file,motor,component,emissivity,reflected_c,air_c,scale,offset,unit\n"
    "a.csv,M1,box,0.95,25,25,1,0,c\n"
    "b.csv,M2,box,0.95,25,25,1,0,c\n"
    "c.csv,M3,box,0.95,25,25,1,0,c\n";

/// A run over a folder, one motor after the other; `after` is called as each is kept.
class Underway {
 public:
  Underway(const std::string& name, const std::function<void(const fs::path&, std::size_t)>& after)
      : folder(fs::path(OHMGLOW_TEST_OUTPUT) / name) {
    fs::remove_all(folder);
    save(folder / "images.csv", kImages);
    for (const char* file : {"a.csv", "b.csv", "c.csv"}) save(folder / file, matrix_with(60));
    for (const char* file : {"a.csv", "b.csv"}) {
      save(folder / "marks" / (std::string(file) + ".json"), marks_called(file, "T2"));
    }
    auto large = records::read_large_survey(folder);
    REQUIRE(large);
    read = std::move(*large);
    policy = records::read_policy("", "").value();
    auto journal = records::Journal::create({}, "");
    REQUIRE(journal);
    std::vector<records::Journal> journals;
    journals.push_back(std::move(*journal));
    results = std::make_unique<records::KeptResults>(read.survey, read.cut, policy, judging,
                                                     std::move(journals));
    assessment::Options options;
    options.jobs = 1;
    const assessment::MotorByMotor parts(read.survey, read.images, read.cut, policy, options,
                                         [this](const std::string& file, Survey& motor) {
                                           records::take_in_marks(folder, file, motor);
                                         });
    const std::vector<std::size_t> all{0, 1, 2};
    parts.assess(all, [&](std::size_t motor, const diagnosis::MotorState& state) {
      REQUIRE(results->add(motor, state));
      after(folder, motor);
      return true;
    });
    results->rank();
  }

  [[nodiscard]] std::map<std::string, FileRecord> inputs() const {
    std::map<std::string, FileRecord> files;
    const auto its = records::inputs_of(*results, {});
    for (std::size_t i = 0; i < its.count; ++i) {
      if (const auto file = its.record(i)) files.emplace(file->path, *file);
    }
    return files;
  }

  fs::path folder;
  records::LargeSurvey read;
  severity::Policy policy;
  diagnosis::Options judging;
  std::unique_ptr<records::KeptResults> results;
};

}  // namespace

TEST_CASE("a mark saved while a run is under way is not vouched for unless it was measured") {
  const Underway run("marks_saved", [](const fs::path& folder, std::size_t motor) {
    if (motor != 0) return;
    save(folder / "marks/a.csv.json", marks_called("a.csv", "L2"));  // its image is done
    save(folder / "marks/b.csv.json", marks_called("b.csv", "L2"));  // this one is to come
  });
  const auto inputs = run.inputs();
  CHECK(inputs.at("marks/a.csv.json").sha256 == hash_of(marks_called("a.csv", "T2")));
  CHECK(inputs.at("marks/b.csv.json").sha256 == hash_of(marks_called("b.csv", "L2")));
  CHECK(inputs.at("marks/a.csv.json").bytes == marks_called("a.csv", "T2").size());

  // A report draws the marks that were measured.
  const auto whole = run.results->whole();
  REQUIRE(whole);
  CHECK(whole->survey.marks.at("a.csv").marks[1].name == "T2");
  CHECK(whole->survey.marks.at("b.csv").marks[1].name == "L2");
  CHECK(whole->images[0].lugs[1].name == "T2");
  CHECK(whole->images[1].lugs[1].name == "L2");
  const auto page = run.results->page(0, 10);
  REQUIRE(page);
  CHECK(page->survey.marks.at("a.csv").marks[1].name == "T2");
}

TEST_CASE("marks that came or went after their image was measured do not change what is recorded") {
  const Underway run("marks_come_and_go", [](const fs::path& folder, std::size_t motor) {
    if (motor != 2) return;
    save(folder / "marks/c.csv.json", marks_called("c.csv", "T2"));
    fs::remove(folder / "marks/b.csv.json");
  });
  const auto inputs = run.inputs();
  CHECK_FALSE(inputs.contains("marks/c.csv.json"));
  CHECK(inputs.at("marks/b.csv.json").sha256 == hash_of(marks_called("b.csv", "T2")));
  CHECK(run.results->totals().unmarked == 1);
}

TEST_CASE("tables and images saved while a run is under way are recorded as they were read") {
  const Underway run("tables_saved", [](const fs::path& folder, std::size_t motor) {
    if (motor != 0) return;
    save(folder / "images.csv", std::string(kImages) + "d.csv,M4,box,0.95,25,25,1,0,c\n");
    save(folder / "readings.csv", "motor,test,value_1,value_2,value_3,unit\n");
    save(folder / "a.csv", matrix_with(90));
    save(folder / "b.csv", matrix_with(90));
  });
  const auto inputs = run.inputs();
  CHECK(inputs.at("images.csv").sha256 == hash_of(kImages));
  CHECK_FALSE(inputs.contains("readings.csv"));
  CHECK(inputs.at("a.csv").sha256 == hash_of(matrix_with(60)));
  CHECK(inputs.at("b.csv").sha256 == hash_of(matrix_with(90)));
  CHECK(inputs.at("b.csv").bytes == matrix_with(90).size());
}
