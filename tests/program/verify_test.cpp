// Before and after, as a user runs it: the demo's second survey carries its own truth of what each
// repair came to.

#include "run_program.h"

#include <array>
#include <catch2/catch.hpp>
#include <map>
#include <sstream>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

const fs::path& after_survey() {
  static const fs::path folder = [] {
    const fs::path at = fresh_folder("demo-after");
    REQUIRE(run("demo --after '" + at.string() + "'").exit_code == 0);
    return at;
  }();
  return folder;
}

std::string both() {
  return "'" + demo_survey().string() + "' '" + after_survey().string() + "'";
}

}  // namespace

TEST_CASE("verify says of each motor of the demo what its repair really came to") {
  const fs::path out = fresh_folder("verified");
  const Outcome outcome = run("verify " + both() + " -o '" + out.string() +
                              "' --price-per-kwh 0.14 --hours-per-year 4000 --repair-cost 350");
  INFO(outcome.err);
  CHECK(outcome.exit_code == 1);  // findings are open, and the first survey has problems
  const json verification = json_of(out / "verification.json");
  CHECK(check_schema("verification.schema.json", out / "verification.json").exit_code == 0);
  std::map<std::string, std::string> said;
  for (const json& motor : verification["motors"]) said[motor["motor"]] = motor["change"];
  std::map<std::string, std::string> truth;
  const json known = json_of(after_survey() / "truth.json");
  for (const json& repair : known["repairs"]) truth[repair["motor"]] = repair["change"];
  CHECK(truth.size() == 6);
  CHECK(said == truth);
  CHECK(verification["not_revisited"].size() == 11);
  CHECK(verification["totals"].size() == 1);
}

TEST_CASE("the page of a verification is one file with both ladders of each fault") {
  const fs::path out = fresh_folder("verified-page");
  const Outcome outcome = run("verify " + both() + " -o '" + out.string() + "'");
  INFO(outcome.err);
  const std::string page = text_of(out / "verification.html");
  CHECK(page.find("<script") == std::string::npos);
  CHECK(page.find("Before, 2026-03-04.") != std::string::npos);
  CHECK(page.find("After, 2026-03-18.") != std::string::npos);
  // Python's own HTML parser: tags balance, ids are unique.
  const Outcome markup =
      shell(std::string(OHMGLOW_PYTHON) + " -B '" + OHMGLOW_SOURCE_DIR +
            "/tests/report/check_markup.py' html '" + (out / "verification.html").string() + "'");
  INFO(markup.out << markup.err);
  CHECK(markup.exit_code == 0);
  CHECK(markup.out.empty());
}

TEST_CASE("verify --json prints verification.json, the same for any number of threads") {
  const Outcome one = run("verify " + both() + " --json --as-of 2026-03-20 --jobs 1");
  const Outcome four = run("verify " + both() + " --json --as-of 2026-03-20 --jobs 4");
  CHECK(json::parse(one.out)["version"] == 1);
  CHECK(one.out == four.out);
}

TEST_CASE("verify --fail-at ends with 4, and without it the code says what could be compared") {
  CHECK(run("verify " + both() + " --fail-at worse").exit_code == 4);
  CHECK(run("verify " + both() + " --fail-at better").exit_code == 2);
  const std::string before = "'" + demo_survey().string() + "' ";
  // A survey against itself: the same images and the same readings; faults are as they were.
  CHECK(run("verify " + before + before + "--fail-at worse").exit_code == 1);
  CHECK(run("verify " + before + before + "--fail-at unchanged").exit_code == 4);
  const fs::path other = fresh_folder("verify-other");
  write(other / "motors.csv", "motor\nX-1\n");
  write(other / "readings.csv",
        "motor,test,value_1,value_2,value_3,unit\nX-1,winding_resistance,1,1,1,ohm\n");
  const Outcome nothing = run("verify " + before + "'" + other.string() + "'");
  CHECK(nothing.exit_code == 3);
  CHECK(nothing.out.empty());
  CHECK(run("verify " + before + "nowhere").exit_code == 3);
}

namespace {

/// A motor of 100 A with a terminal box as a thermographer would hand it in.
struct Handed {
  std::string day = "2026-03-18";
  std::string lugs = "30.0 30.2 30.0";  ///< °C of T1, T2, T3
  std::string load = "80";
  std::string pairs = "100,100,100";  ///< mΩ
  std::string tested = {};            ///< day of the reading; empty: that of the images
  std::string component = "terminal box";
  std::string repaired_on = {};
  std::string more = {};  ///< motors besides M-1, each with a hot box
};
const Handed kBad{.day = "2026-03-04", .lugs = "30.0 52.0 30.0", .pairs = "103,103,100"};

void add_image(const fs::path& folder, const std::string& file, const std::string& lugs) {
  std::istringstream temperatures(lugs);
  std::array<std::string, 3> t;
  for (std::string& each : t) temperatures >> each;
  std::string matrix;
  for (int y = 0; y < 20; ++y) {
    for (std::size_t x = 0; x < 60; ++x) matrix += (x != 0 ? "," : "") + t.at(x / 20);
    matrix += "\n";
  }
  write(folder / file, matrix);
  REQUIRE(run("mark " + file +
                  " --lug T1 --circle 10,10,5 --lug T2 --circle 30,10,5 --lug T3 --circle 50,10,5",
              folder)
              .exit_code == 0);
}

fs::path hand_in(const std::string& name, const Handed& given) {
  const fs::path folder = fresh_folder(name);
  write(folder / "motors.csv",
        "motor,rated_a,downtime_cost_per_h,repair_h,replacement_cost,currency,repaired_on\n"
        "M-1,100,1000,3,9000,USD," +
            given.repaired_on + "\n" +
            (given.more.empty() ? "" : given.more + ",100,1000,3,9000,USD,\n"));
  const std::string tested = given.tested.empty() ? given.day : given.tested;
  write(folder / "readings.csv",
        "motor,test,taken_at,place,value_1,value_2,value_3,unit\nM-1,winding_resistance," + tested +
            ",terminal box," + given.pairs + ",mohm\n");
  const std::string rest =
      given.day + "T12:00,0.95,25,25," + given.load + "," + given.load + "," + given.load + "\n";
  std::string images =
      "file,motor,component,taken_at,emissivity,reflected_c,air_c,load_1_a,load_2_a,load_3_a\n"
      "box.csv,M-1," +
      given.component + "," + rest;
  if (!given.more.empty()) images += "more.csv," + given.more + ",starter," + rest;
  write(folder / "images.csv", images);
  add_image(folder, "box.csv", given.lugs);
  if (!given.more.empty()) add_image(folder, "more.csv", "30.0 52.0 30.0");
  return folder;
}

struct Said {
  Outcome outcome;
  json verification;
  const json& motor() const { return verification["motors"].at(0); }
};

Said verified(const std::string& name, const Handed& before, const Handed& after,
              const std::string& options = "") {
  const fs::path first = hand_in("verify-" + name + "-before", before);
  const fs::path second = hand_in("verify-" + name + "-after", after);
  const fs::path out = fresh_folder("verify-" + name + "-out");
  Said said;
  said.outcome = run("verify '" + first.string() + "' '" + second.string() + "' -o '" +
                     out.string() + "' " + options);
  said.verification = json_of(out / "verification.json");
  CHECK(check_schema("verification.schema.json", out / "verification.json").exit_code == 0);
  return said;
}

}  // namespace

TEST_CASE("a fault that moved is named, and not paid for") {
  const Said said = verified("moved", kBad, {.lugs = "30.0 30.2 44.0", .pairs = "100,101.4,101.4"},
                             "--price-per-kwh 0.2 --hours-per-year 4000 --fail-at worse");
  INFO(said.outcome.out << said.outcome.err);
  CHECK(said.outcome.exit_code == 4);
  CHECK(said.motor()["change"] == "moved");
  CHECK(said.motor()["money"]["risk_avoided"] == nullptr);
  CHECK(said.motor()["money"]["energy_per_year"] == nullptr);
  CHECK(said.outcome.out.find("M-1: fault elsewhere now") != std::string::npos);
  CHECK(said.outcome.out.find("T3 (phase 3)") != std::string::npos);
  CHECK(said.verification["new_faults"].at(0)["phase"] == 3);
}

TEST_CASE("more load after the repair is the better proof, and less proves nothing") {
  const Handed faint{
      .day = "2026-03-04", .lugs = "25.1 28.0 25.1", .load = "10", .pairs = "103,103,100"};
  const Said more = verified("more-load", faint, {});
  INFO(more.outcome.out);
  CHECK(more.motor()["change"] == "repaired");
  const std::string reason = more.verification["lugs"].at(1)["reason"];
  CHECK(reason.find("would be expected without a change") != std::string::npos);
  const Said less = verified("less-load", kBad, {.lugs = "25.1 25.2 25.1", .load = "20"});
  INFO(less.outcome.out);
  CHECK(less.motor()["change"] == "unproven");
  CHECK(less.outcome.exit_code == 1);
  CHECK(less.outcome.out.find("not proven, the load is too low") != std::string::npos);
}

TEST_CASE("a renamed component, a reading too old and a motor not visited are said") {
  const Said renamed = verified("renamed", kBad, {.component = "junction"});
  CHECK(renamed.outcome.out.find("terminal box only in the first survey, junction only in the") !=
        std::string::npos);
  CHECK(renamed.verification["open"].at(0)["component"] == "terminal box");
  const Said old = verified("old-reading", kBad, {.tested = "2026-03-10"});
  INFO(old.outcome.out);
  CHECK(old.motor()["change"] == "not_comparable");
  CHECK(old.outcome.out.find("from before the repair and proves nothing") != std::string::npos);
  const Said dated = verified("dated", kBad, {.tested = "2026-03-10", .repaired_on = "2026-03-09"});
  CHECK(dated.motor()["change"] == "repaired");
  Handed two = kBad;
  two.more = "N-2";
  const Said open = verified("not-visited", two, {});
  INFO(open.outcome.out);
  CHECK(open.outcome.exit_code == 1);
  REQUIRE(open.verification["open"].size() == 1);
  CHECK(open.verification["open"][0]["motor"] == "N-2");
  CHECK(open.outcome.out.find("Still open from the first survey, not looked at again:\n  case ") !=
        std::string::npos);
}

TEST_CASE("a fault that has grown is worse") {
  const Said said = verified("grown", kBad, {.lugs = "30.0 75.0 30.0", .pairs = "106,106,100"});
  INFO(said.outcome.out);
  CHECK(said.motor()["change"] == "worse");
}

TEST_CASE("a verification bears a manifest that recheck and sign take") {
  const fs::path root = fresh_folder("verify-recheck");
  fs::copy(hand_in("verify-recheck-before", kBad), root / "before", fs::copy_options::recursive);
  fs::copy(hand_in("verify-recheck-after", {}), root / "after", fs::copy_options::recursive);
  const Outcome made = run("verify before after -o out --format json,html,pdf", root);
  INFO(made.err);
  REQUIRE(made.exit_code == 0);
  CHECK(check_schema("manifest.schema.json", root / "out/manifest.json").exit_code == 0);
  const Outcome same = run("recheck out", root);
  INFO(same.out << same.err);
  CHECK(same.exit_code == 0);
  CHECK(same.out.find("verification.pdf: recomputed and equal") != std::string::npos);
  CHECK(same.out.find("verification.html: recomputed and equal") != std::string::npos);
  write(root / "recheck.json", run("recheck out --json", root).out);
  CHECK(check_schema("recheck.schema.json", root / "recheck.json").exit_code == 0);
  CHECK(json_of(root / "recheck.json")["inputs_before"].size() >= 4);

  REQUIRE(shell("minisign -G -W -f -p one.pub -s one.key", root).exit_code == 0);
  REQUIRE(run("sign out --key one.key", root).exit_code == 0);
  CHECK(run("recheck out --public-key one.pub", root).exit_code == 0);

  fs::rename(root / "before", root / "archive");
  CHECK(run("recheck out --public-key one.pub", root).exit_code == 3);
  CHECK(run("recheck out --public-key one.pub --before archive", root).exit_code == 0);
  write(root / "archive/box.csv", text_of(root / "archive/box.csv") + "30,30\n");
  CHECK(run("recheck out --public-key one.pub --before archive", root).exit_code == 1);
}

TEST_CASE("verify ends with 0 where everything is repaired or even") {
  const Said said = verified("all-well", kBad, {});
  INFO(said.outcome.out << said.outcome.err);
  CHECK(said.outcome.exit_code == 0);
  CHECK(said.outcome.out.find("M-1: repaired") != std::string::npos);
  CHECK(said.motor()["money"]["risk_avoided"]["expected"] > 0);
  CHECK(said.motor()["money"]["risk_avoided"]["high"] >
        said.motor()["money"]["risk_avoided"]["expected"]);
}
