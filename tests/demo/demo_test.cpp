#include "offered/demo/demo.h"

#include "survey_fixture.h"

#include <map>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

namespace fs = std::filesystem;
using nlohmann::json;
using namespace ohmglow;

namespace {

std::map<std::string, std::string> all_files(const fs::path& folder) {
  std::map<std::string, std::string> files;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    if (entry.is_regular_file()) {
      files[entry.path().lexically_relative(folder).generic_string()] = content_of(entry.path());
    }
  }
  return files;
}

std::uintmax_t bytes_in(const fs::path& folder) {
  std::uintmax_t bytes = 0;
  for (const auto& [name, content] : all_files(folder)) bytes += content.size();
  return bytes;
}

json truth_of(const fs::path& folder) {
  return json::parse(content_of(folder / "truth.json"));
}

std::set<std::string> values_of(const json& rows, const char* member) {
  std::set<std::string> values;
  for (const auto& row : rows) values.insert(row.at(member).get<std::string>());
  return values;
}

int check_schema(const std::string& schema, const std::string& files) {
  const std::string command =
      fmt::format("{} -B '{}/tests/check_schema.py' '{}/docs/schema/{}' {}", OHMGLOW_PYTHON,
                  OHMGLOW_SOURCE_DIR, OHMGLOW_SOURCE_DIR, schema, files);
  return std::system(command.c_str());
}

}  // namespace

TEST_CASE("the same seed writes the same bytes") {
  // The room's own promise (demo.h); no outside source.
  const auto once = all_files(small_survey());
  const auto again = all_files(fresh_survey("small_again", {.small = true}));
  REQUIRE(once.size() > 20);
  CHECK(once == again);
}

TEST_CASE("another seed changes the noise of every image and no truth of the circuits") {
  // The room's own promise (demo.h); no outside source.
  const auto one = all_files(small_survey());
  const auto other = all_files(fresh_survey("small_other", {.seed = 7, .small = true}));
  REQUIRE(one.size() == other.size());
  for (const auto& [name, content] : one) {
    CAPTURE(name);
    const bool noisy = name.starts_with("route/") || name == "readings.csv";
    if (noisy) CHECK(content != other.at(name));
    if (!noisy && !name.starts_with("marks/")) CHECK(content == other.at(name));
  }
}

TEST_CASE("a folder with something in it is refused and nothing is written") {
  // The room's own promise (demo.h); no outside source.
  const fs::path folder = output_path("occupied");
  fs::remove_all(folder);
  fs::create_directories(folder);
  std::ofstream(folder / "mine.txt") << "keep me";
  const auto written = demo::write_survey(folder);
  REQUIRE_FALSE(written);
  CHECK(written.error().kind == ErrorKind::conflict);
  CHECK_FALSE(written.error().mend.empty());
  CHECK(written.error().place.file == folder.string());
  CHECK(all_files(folder).size() == 1);
}

TEST_CASE("a file in the folder's place is refused") {
  // The room's own promise (demo.h); no outside source.
  const std::string path = output_path("a_file");
  std::ofstream(path) << "not a folder";
  const auto written = demo::write_survey(path);
  REQUIRE_FALSE(written);
  CHECK(written.error().kind == ErrorKind::conflict);
  CHECK(content_of(path) == "not a folder");
}

TEST_CASE("a folder that cannot be made is the system's error") {
  // The room's own promise (demo.h): /proc takes no new folders, not even from the superuser.
  const auto written = demo::write_survey("/proc/ohmglow_demo");
  REQUIRE_FALSE(written);
  CHECK(written.error().kind == ErrorKind::system);
}

TEST_CASE("an empty folder is taken") {
  // The room's own promise (demo.h); no outside source.
  const fs::path folder = output_path("empty_before");
  fs::remove_all(folder);
  fs::create_directories(folder);
  CHECK(demo::write_survey(folder, {.small = true}).has_value());
  CHECK(fs::exists(folder / "survey.json"));
}

TEST_CASE("images lie in a subfolder and marks mirror it") {
  // The survey folder's layout as docs/ lay it down (marks/ mirrors the subfolder).
  const json truth = truth_of(full_survey());
  const auto files = all_files(full_survey());
  for (const auto& image : truth.at("images")) {
    const std::string file = image.at("file");
    CAPTURE(file);
    CHECK(file.starts_with("route/"));
    CHECK(files.contains(file));
    CHECK(files.contains(fmt::format("marks/{}.json", file)) == (image.at("status") != "unmarked"));
  }
  CHECK(truth.at("images").size() == 34);
  CHECK(truth.at("motors").size() == 17);
}

TEST_CASE("the survey exercises every verdict, band, column and status") {
  // The survey's own purpose; no outside source.
  const json truth = truth_of(full_survey());
  CHECK(values_of(truth.at("motors"), "verdict") ==
        std::set<std::string>{"open_phase", "confirmed", "phase_agrees", "phase_conflict",
                              "heat_only", "reading_only", "no_reading", "supply_unbalance",
                              "load_unbalance", "not_judged", "even"});
  CHECK(values_of(truth.at("images"), "status") ==
        std::set<std::string>{"measured", "unmarked", "rejected"});
  CHECK(values_of(truth.at("lugs"), "band") ==
        std::set<std::string>{"none", "watch", "plan", "monitor", "urgent"});
  CHECK(values_of(truth.at("lugs"), "band_by") ==
        std::set<std::string>{"none", "like", "air", "limit"});
}

TEST_CASE("the small survey fits beside the sources and still holds the main verdicts") {
  // Size: the samples' own budget, 3 MiB; the full one is to stay a quick download.
  CHECK(bytes_in(small_survey()) < 3 * 1024 * 1024);
  CHECK(bytes_in(full_survey()) < 15 * 1024 * 1024);
  const json truth = truth_of(small_survey());
  CHECK(values_of(truth.at("motors"), "verdict") ==
        std::set<std::string>{"confirmed", "heat_only", "reading_only", "even"});
  CHECK(values_of(truth.at("images"), "status") == std::set<std::string>{"measured"});
}

TEST_CASE("every JSON file that is written keeps to its schema") {
  // JSON Schema 2020-12 by python3-jsonschema.
  for (const fs::path& folder : {full_survey(), small_survey()}) {
    const auto in_it = [&](const char* files) {
      return fmt::format("'{}'/{}", folder.string(), files);
    };
    CHECK(check_schema("truth.schema.json", in_it("truth.json")) == 0);
    CHECK(check_schema("survey.schema.json", in_it("survey.json")) == 0);
    CHECK(check_schema("marks.schema.json", in_it("marks/route/*.json")) == 0);
  }
}

TEST_CASE("an independent reading of files and balance finds every lug's true temperature") {
  // numpy, tifffile, astropy and libtiff read; scipy integrates Planck's law and solves the
  // balance.
  constexpr double kRms_k = 0.15;    // what the survey promises: noise of 3×3 pixels and its bias
  constexpr double kWorst_k = 0.40;  // the bare lug of emissivity 0.40 shows 2.5 times the noise
  for (const fs::path& folder : {full_survey(), small_survey()}) {
    std::string printed;
    REQUIRE(run_script("check_images.py", folder, &printed) == 0);
    CAPTURE(printed);
    std::istringstream in(printed);
    std::size_t lugs = 0;
    double rms = 1e9;
    double worst = 1e9;
    in >> lugs >> rms >> worst;
    CHECK(lugs == truth_of(folder).at("lugs").size());
    CHECK(rms < kRms_k);
    CHECK(worst < kWorst_k);
  }
}

TEST_CASE("readings bear out the verdicts and no number sits close to a limit") {
  // NEMA MG 1 unbalance and the wye's legs by numpy; the rules written down a second time in
  // Python.
  CHECK(run_script("check_story.py", full_survey()) == 0);
  CHECK(run_script("check_story.py", small_survey()) == 0);
}
