// `ohmglow rotor` as a user runs it: what it prints, its JSON, its exit codes, and the reports that
// show the same.

#include "run_program.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

namespace fs = std::filesystem;
using namespace program_test;
using Json = nlohmann::json;

namespace {

/// The fan motor before and after the shop.
const fs::path& fan() {
  static const fs::path folder = [] {
    const fs::path made = fresh_folder("fan") / "story";
    REQUIRE(run("demo '" + made.string() + "' --story rotor").exit_code == 0);
    return made;
  }();
  return folder;
}

std::string quoted(const fs::path& path) {
  return "'" + path.string() + "'";
}

}  // namespace

TEST_CASE("the fan motor has three things wrong before the shop and none after it") {
  const Json before = Json::parse(run("rotor " + quoted(fan() / "before") + " --json").out);
  const Json after = Json::parse(run("rotor " + quoted(fan() / "after") + " --json").out);
  REQUIRE(before["sweeps"].size() == 1);
  CHECK(before["sweeps"][0]["pattern"] == "once_a_turn");
  CHECK(before["sweeps"][0]["also"] == Json::array({"pairs_differ"}));
  CHECK(before["sweeps"][0]["eccentricity"].is_null());
  CHECK(after["sweeps"][0]["pattern"] == "sweep_even");
  REQUIRE(before["air_gaps"].size() == 2);
  CHECK(before["air_gaps"][0]["result"] == "fail");
  CHECK(before["air_gaps"][0]["limit_pct"] == 5.0);
  for (const Json& end : after["air_gaps"]) CHECK(end["result"] == "pass");
}

TEST_CASE("rotor says the same twice, in words without --json, and of one motor where asked") {
  const std::string survey = quoted(fan() / "before");
  const Outcome words = run("rotor " + survey);
  CHECK(words.exit_code == 0);
  CHECK(words.err.empty());
  CHECK(words.out == run("rotor " + survey + " --motor DF-20").out);
  CHECK(words.out.find("one cycle a turn") != std::string::npos);
  CHECK(words.out.find("What this leaves open:") != std::string::npos);
  CHECK(words.out.find("fail: largest deviation") != std::string::npos);
  CHECK(words.out.find('\x1b') == std::string::npos);
  const Outcome german = run("rotor " + survey + " --language de");
  CHECK(german.out.find("Luftspalt, Antriebsseite") != std::string::npos);
  CHECK(german.out.find("Was offenbleibt:") != std::string::npos);
}

TEST_CASE("rotor ends with 3 where there is nothing and with 1 where a row cannot be used") {
  const fs::path empty = fresh_folder("rotor-empty");
  write(empty / "motors.csv", "motor,poles\nM1,2\n");
  const Outcome nothing = run("rotor " + quoted(empty));
  CHECK(nothing.exit_code == 3);
  CHECK(nothing.err.find("sweeps.csv") != std::string::npos);
  CHECK(run("rotor " + quoted(fan() / "before") + " --motor M9").exit_code == 3);
  CHECK(run("rotor").exit_code == 2);
  const fs::path bad = fresh_folder("rotor-bad");
  write(bad / "motors.csv", "motor,poles\nM1,4\n");
  write(bad / "air_gap.csv",
        "motor,end,position_deg,gap,unit\nM1,drive,0,1.5,mm\nM1,drive,90,1.5,mm\n"
        "M1,drive,180,1.5,mm\nM1,drive,270,1.5,mm\nM1,drive,45,0,mm\n");
  const Outcome partly = run("rotor " + quoted(bad) + " --json");
  CHECK(partly.exit_code == 1);
  CHECK(partly.err.find("row 6") != std::string::npos);
  const Json json = Json::parse(partly.out);
  CHECK(json["air_gaps"][0]["result"] == "not_done");
}

TEST_CASE("the reports show the rotor with its pictures, and no report does without one") {
  const fs::path out = fresh_folder("rotor-report") / "out";
  const Outcome made = run("assess " + quoted(fan() / "before") + " -o " + quoted(out) +
                           " --format json,html,pdf --as-of 2026-04-14");
  INFO(made.err);
  CHECK(made.exit_code == 0);
  const std::string html = text_of(out / "report.html");
  CHECK(html.find("<h2 id=\"rotor\">Rotor and air gap</h2>") != std::string::npos);
  CHECK(html.find("class=\"sweep-pair\"") != std::string::npos);
  CHECK(html.find("Shaft&#39;s angle") != std::string::npos);
  CHECK(shell("pdftotext " + quoted(out / "report.pdf") + " - | grep -c 'Rotor and air gap'", out)
            .out != "0\n");
  CHECK(run("recheck " + quoted(out)).exit_code == 0);
  const fs::path without = fresh_folder("rotor-none") / "out";
  run("assess " + quoted(demo_survey()) + " -o " + quoted(without) + " --format html");
  CHECK(text_of(without / "report.html").find("rotor") == std::string::npos);
}
