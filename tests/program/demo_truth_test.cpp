// The demo's truth comes from its forward model, not from the code under test: temperatures, bands
// and verdicts are held against what the scene was made of.

#include "run_program.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <map>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

/// What the demo promises of its own measurability.
constexpr double kRootMeanSquareLimit_k = 0.15;

const json& findings() {
  static const json result = [] {
    const fs::path out = fresh_folder("demo-result");
    const Outcome assessed =
        run("assess '" + demo_survey().string() + "' -o '" + out.string() + "'");
    INFO(assessed.err);
    REQUIRE(assessed.exit_code == 1);  // some of its inputs cannot be measured, on purpose
    return json_of(out / "findings.json");
  }();
  return result;
}

const json& truth() {
  static const json result = json_of(demo_survey() / "truth.json");
  return result;
}

const json* find_lug(const std::string& image, const std::string& name) {
  for (const json& candidate : findings()["images"]) {
    if (candidate["file"] != image) continue;
    for (const json& lug : candidate["lugs"]) {
      if (lug["name"] == name) return &lug;
    }
  }
  return nullptr;
}

std::string text(const json& value) {
  return value.is_string() ? value.get<std::string>() : value.dump();
}

}  // namespace

TEST_CASE("every lug of the demo is measured within 0.15 K RMS of its true temperature") {
  double squares = 0;
  int count = 0;
  std::printf("%-34s %-6s %9s %9s %7s  %s\n", "image", "lug", "true °C", "measured", "error K",
              "band (truth)");
  for (const json& expected : truth()["lugs"]) {
    const json* lug = find_lug(expected["image"], expected["lug"]);
    INFO(expected.dump());
    REQUIRE(lug != nullptr);
    if (expected["temperature_c"].is_null()) {
      CHECK((*lug)["temperature_c"].is_null());
      continue;
    }
    REQUIRE((*lug)["temperature_c"].is_number());
    const double measured = (*lug)["temperature_c"];
    const double error = measured - expected["temperature_c"].get<double>();
    std::printf("%-34s %-6s %9.2f %9.2f %7.3f  %s (%s)\n", text(expected["image"]).c_str(),
                text(expected["lug"]).c_str(), expected["temperature_c"].get<double>(), measured,
                error, text((*lug)["band"]).c_str(), text(expected["band"]).c_str());
    const auto flags = (*lug)["flags"].get<std::vector<std::string>>();
    const bool too_small = std::find(flags.begin(), flags.end(), "too_small") != flags.end();
    CHECK((*lug)["band"] == expected["band"]);
    CHECK((*lug)["band_by"] == expected["band_by"]);
    if (too_small) continue;  // flagged as likely too low, and not counted
    squares += error * error;
    ++count;
  }
  const double rms = std::sqrt(squares / count);
  std::printf("%d lugs, RMS error %.3f K\n", count, rms);
  CHECK(count > 60);
  CHECK(rms < kRootMeanSquareLimit_k);
}

TEST_CASE(
    "every finding of the demo has the true phase, band and verdict, and there is none besides") {
  const auto key = [](const json& f) {
    return text(f["motor"]) + " | " + text(f["component"]) + " | " + text(f["phase"]) + " | " +
           text(f["lug"]);
  };
  std::map<std::string, json> got;
  for (const json& finding : findings()["findings"]) got[key(finding)] = finding;
  std::printf("%-58s %-8s %-16s\n", "motor | component | phase | lug", "band", "verdict");
  for (const json& expected : truth()["findings"]) {
    INFO(expected.dump());
    const auto at = got.find(key(expected));
    REQUIRE(at != got.end());
    CHECK(at->second["band"] == expected["band"]);
    CHECK(at->second["verdict"] == expected["verdict"]);
    CHECK(at->second["electrical_phase"] == expected["electrical_phase"]);
    std::printf("%-58s %-8s %-16s\n", at->first.c_str(), text(at->second["band"]).c_str(),
                text(at->second["verdict"]).c_str());
    got.erase(at);
  }
  for (const auto& [name, finding] : got)
    FAIL_CHECK("not in the truth: " << name << " " << finding.dump());
}

TEST_CASE("every motor of the demo gets its true verdict, and all eleven verdicts occur") {
  std::map<std::string, json> got;
  for (const json& motor : findings()["motors"]) got[text(motor["motor"])] = motor["verdict"];
  for (const json& expected : truth()["motors"]) {
    INFO(expected.dump());
    CHECK(got.at(text(expected["motor"])) == expected["verdict"]);
  }
  std::map<std::string, int> verdicts;
  for (const json& component : findings()["components"]) ++verdicts[text(component["verdict"])];
  for (const json& finding : findings()["findings"]) ++verdicts[text(finding["verdict"])];
  for (const char* id :
       {"open_phase", "confirmed", "phase_agrees", "phase_conflict", "heat_only", "reading_only",
        "no_reading", "supply_unbalance", "load_unbalance", "not_judged", "even"}) {
    INFO(id);
    CHECK(verdicts[id] > 0);
  }
}

TEST_CASE("every image of the demo has its true status") {
  std::map<std::string, json> got;
  for (const json& image : findings()["images"]) got[text(image["file"])] = image["status"];
  for (const json& expected : truth()["images"]) {
    INFO(expected.dump());
    CHECK(got.at(text(expected["file"])) == expected["status"]);
  }
}

TEST_CASE("ranks run from 1 without a gap, and bands only fall") {
  const std::map<std::string, int> severity{
      {"watch", 0}, {"plan", 1}, {"monitor", 2}, {"urgent", 3}};
  int rank = 0;
  int last = 3;
  for (const json& finding : findings()["findings"]) {
    CHECK(finding["rank"] == ++rank);
    const int band = severity.at(text(finding["band"]));
    CHECK(band <= last);
    last = band;
  }
}

TEST_CASE("the same survey gives the same bytes, whatever the number of threads") {
  const fs::path one = fresh_folder("jobs-1");
  const fs::path four = fresh_folder("jobs-4");
  const std::string survey = "assess '" + demo_survey().string() + "' --as-of 2026-03-05 -o '";
  REQUIRE(run(survey + one.string() + "' --jobs 1").exit_code == 1);
  REQUIRE(run(survey + four.string() + "' --jobs 4").exit_code == 1);
  for (const char* name : {"findings.json", "ranked.csv", "report.html"}) {
    INFO(name);
    CHECK(text_of(one / name) == text_of(four / name));
    CHECK(!text_of(one / name).empty());
  }
}

TEST_CASE("every JSON file of the demo satisfies its schema") {
  findings();
  CHECK(check_schema("findings.schema.json", output_folder() / "demo-result/findings.json")
            .exit_code == 0);
  CHECK(check_schema("survey.schema.json", demo_survey() / "survey.json").exit_code == 0);
  CHECK(check_schema("truth.schema.json", demo_survey() / "truth.json").exit_code == 0);
  int marks = 0;
  for (const auto& entry : fs::recursive_directory_iterator(demo_survey() / "marks")) {
    if (entry.path().extension() != ".json") continue;
    const Outcome checked = check_schema("marks.schema.json", entry.path());
    INFO(checked.out << checked.err);
    CHECK(checked.exit_code == 0);
    ++marks;
  }
  CHECK(marks > 20);
  const fs::path out = fresh_folder("demo-json");
  write(out / "readings.json", run("readings --json '" + demo_survey().string() + "'").out);
  CHECK(check_schema("readings.schema.json", out / "readings.json").exit_code == 0);
}
