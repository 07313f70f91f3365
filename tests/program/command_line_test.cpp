// The command line as scripts rely on it: exit codes, what goes to which stream, help that is true.

#include "run_program.h"

#include <algorithm>
#include <catch2/catch.hpp>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

TEST_CASE("--version and every --help end with 0 and give an example") {
  CHECK(run("--version").exit_code == 0);
  CHECK(run("--version").out.find("ohmglow ") == 0);
  CHECK(run("--help").exit_code == 0);
  for (const char* command : {"assess", "calibration", "demo", "emissivity", "look", "mark",
                              "readings", "recheck", "rotor", "sign", "verify"}) {
    const Outcome help = run(std::string(command) + " --help");
    INFO(command);
    CHECK(help.exit_code == 0);
    CHECK(help.out.find("Example: ohmglow " + std::string(command)) != std::string::npos);
    CHECK(help.err.empty());
  }
}

TEST_CASE("wrong usage ends with 2, says what was found, and echoes the command line on stderr") {
  for (const char* line :
       {"", "asess", "assess", "assess . --format pdf2", "assess . --reference hottest",
        "assess . --as-of yesterday", "look x --page 0", "mark x.tif --circle 1,2,3",
        "mark x.tif --lug T1 --circle 1,2", "mark x.tif --lug T1", "demo"}) {
    const Outcome outcome = run(line, fresh_folder("usage"));
    INFO(line << " → " << outcome.err);
    CHECK(outcome.exit_code == 2);
    CHECK(outcome.err.find("command line: ohmglow") != std::string::npos);
    CHECK(outcome.out.empty());
  }
}

TEST_CASE(
    "--fail-at ends with 4 where its band is reached and refuses a band that the policy lacks") {
  const std::string survey = "assess '" + demo_survey().string() + "' --fail-at ";
  CHECK(run(survey + "urgent").exit_code == 4);
  const Outcome unknown = run(survey + "terrible");
  CHECK(unknown.exit_code == 2);
  CHECK(unknown.err.find("watch") != std::string::npos);
}

TEST_CASE("assess --json prints findings.json and nothing else on stdout") {
  const fs::path out = fresh_folder("json-out");
  const Outcome printed =
      run("assess '" + demo_survey().string() + "' --json --as-of 2026-03-05 -o '" + out.string() +
          "' --format json");
  CHECK(printed.exit_code == 1);
  CHECK(printed.out == text_of(out / "findings.json"));
  CHECK(fs::exists(out / "findings.json"));
  CHECK(!fs::exists(out / "report.html"));
}

TEST_CASE("output that is no terminal holds no colour codes") {
  const Outcome printed = run("assess '" + demo_survey().string() + "'");
  CHECK(printed.out.find('\x1b') == std::string::npos);
  CHECK(printed.out.find("urgent") != std::string::npos);
}

TEST_CASE("--progress always draws on stderr, never draws nothing") {
  const std::string survey = "assess '" + demo_survey().string() + "' --progress ";
  CHECK(run(survey + "always").err.find("measuring") != std::string::npos);
  CHECK(run(survey + "never").err.find("measuring") == std::string::npos);
}

TEST_CASE("--uncertainty, --seed and --decision change the result as they say") {
  const std::string survey = "assess '" + demo_survey().string() + "' --as-of 2026-03-05 --json ";
  const auto result = [&survey](const std::string& options) {
    return json::parse(run(survey + options).out);
  };
  const json simple = result("");
  CHECK(simple["options"]["uncertainty"] == "linear");
  CHECK(simple["options"]["seed"].is_null());
  CHECK(simple["options"]["decision"] == "simple");
  // The first finding may be of the currents alone.
  const auto of_lug = [](const json& assessed) {
    return *std::find_if(assessed["findings"].begin(), assessed["findings"].end(),
                         [](const json& finding) { return !finding["lug"].is_null(); });
  };
  CHECK(of_lug(simple)["monte_carlo"].is_null());
  CHECK_FALSE(of_lug(simple)["budget"].empty());

  const json guarded = result("--decision guarded");
  CHECK(guarded["options"]["guard_factor"] == 1.64);
  CHECK(guarded["findings"].size() >= simple["findings"].size());
  for (const json& finding : simple["findings"]) CHECK(finding["band"] == finding["band_simple"]);

  const fs::path out = fresh_folder("monte-carlo");
  const Outcome sampled = run(survey + "--uncertainty monte-carlo --seed 9 --jobs 1 -o '" +
                              out.string() + "' --format json");
  CHECK(json::parse(sampled.out)["options"]["seed"] == 9);
  CHECK(of_lug(json::parse(sampled.out))["monte_carlo"]["trials"] >= 20000);
  CHECK(check_schema("findings.schema.json", out / "findings.json").exit_code == 0);
  CHECK(sampled.out == run(survey + "--uncertainty monte-carlo --seed 9 --jobs 3").out);
  CHECK(sampled.out != run(survey + "--uncertainty monte-carlo --seed 10").out);
  CHECK(run(survey + "--uncertainty guess").exit_code == 2);
  CHECK(run(survey + "--decision bold").exit_code == 2);
}

TEST_CASE("--policy, --reference and --reading-age change the result as they say") {
  const auto result = [](const std::string& options) {
    return json::parse(run("assess '" + demo_survey().string() + "' --json " + options).out);
  };
  CHECK(result("--policy mil_std_2194")["policy"]["id"] == "mil_std_2194");
  CHECK(result("--reference median")["options"]["reference"] == "median");
  const auto verdicts = [](const json& findings, const std::string& id) {
    int count = 0;
    for (const json& finding : findings["findings"]) count += finding["verdict"] == id ? 1 : 0;
    return count;
  };
  CHECK(verdicts(result(""), "confirmed") > 0);
  CHECK(verdicts(result("--reading-age 0"), "confirmed") == 0);
  const json low = result("--max-megapixels 0.001");
  for (const json& image : low["images"]) CHECK(image["status"] == "rejected");
}

TEST_CASE("demo refuses a folder with something in it") {
  const fs::path folder = fresh_folder("demo-full");
  write(folder / "mine.txt", "mine");
  const Outcome outcome = run("demo '" + folder.string() + "'");
  CHECK(outcome.exit_code == 3);
  CHECK(text_of(folder / "mine.txt") == "mine");
}

TEST_CASE("demo --seed changes the noise and --small the size") {
  const fs::path one = fresh_folder("seed-1");
  const fs::path two = fresh_folder("seed-2");
  REQUIRE(run("demo --small --seed 1 '" + one.string() + "'").exit_code == 0);
  REQUIRE(run("demo --small --seed 2 '" + two.string() + "'").exit_code == 0);
  CHECK(shell("diff -rq '" + one.string() + "' '" + two.string() + "'").exit_code == 1);
  std::uintmax_t bytes = 0;
  for (const auto& entry : fs::recursive_directory_iterator(one)) {
    if (entry.is_regular_file()) bytes += entry.file_size();
  }
  CHECK(bytes < 3u << 20u);
}

TEST_CASE("marks are added, listed and removed from the shell, in the file that assess reads") {
  const fs::path folder = fresh_folder("marking");
  write(folder / "motors.csv", "motor\nDF-1\n");
  std::string matrix;
  for (int y = 0; y < 30; ++y) {
    for (int x = 0; x < 40; ++x)
      matrix += (x != 0 ? "," : "") + std::to_string(x < 20 ? 52.25 : 25.5);
    matrix += "\n";
  }
  write(folder / "route/DF-1.csv", matrix);
  write(folder / "images.csv",
        "file,motor,component,emissivity,reflected_c,air_c\nroute/"
        "DF-1.csv,DF-1,starter,0.95,24,24\n");

  const Outcome added =
      run("mark route/DF-1.csv --lug T1 --circle 10,10,4 --emissivity 0.9 --lug T2 --rectangle "
          "26,6,8,8 "
          "--lug left --polygon 24,20,34,20,34,28 --phase 3 --json",
          folder);
  INFO(added.err);
  REQUIRE(added.exit_code == 0);
  const fs::path file = folder / "marks/route/DF-1.csv.json";
  CHECK(json_of(file) == json::parse(added.out));
  CHECK(check_schema("marks.schema.json", file).exit_code == 0);
  const json marks = json_of(file)["marks"];
  REQUIRE(marks.size() == 3);
  CHECK(marks[0]["phase"] == 1);
  CHECK(marks[0]["emissivity"] == 0.9);
  CHECK(marks[2]["phase"] == 3);

  CHECK(run("mark route/DF-1.csv --lug T1 --circle 10,10,4", folder).exit_code ==
        3);  // there already
  CHECK(run("mark route/DF-1.csv --lug T9 --circle 100,10,4", folder).exit_code == 3);  // outside
  CHECK(run("mark route/DF-1.csv --lug strange --circle 10,10,4", folder).exit_code ==
        3);  // no phase
  CHECK(json_of(file)["marks"].size() == 3);
  CHECK(run("mark route/DF-1.csv --list", folder).out.find("left") != std::string::npos);

  const Outcome assessed = run("assess . --json", folder);
  INFO(assessed.err);
  CHECK(assessed.exit_code == 0);
  CHECK(json::parse(assessed.out)["findings"][0]["lug"] == "T1");

  CHECK(run("mark route/DF-1.csv --remove left", folder).exit_code == 0);
  CHECK(json_of(file)["marks"].size() == 2);
  CHECK(run("mark route/DF-1.csv --remove left", folder).exit_code == 3);
}
