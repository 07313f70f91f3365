// `ohmglow accept` as a user runs it, on the fan motor of the demo: before the shop three things
// are wrong with it, afterwards none. What the limits are is held against standards in
// tests/reference/acceptance_test.cpp.

#include "run_program.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <set>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

const fs::path& shop() {
  static const fs::path made = [] {
    const fs::path root = fresh_folder("accept-shop");
    REQUIRE(run("demo shop --story rotor", root).exit_code == 0);
    return root / "shop";
  }();
  return made;
}

json accepted(const std::string& day, const std::string& more = "") {
  const Outcome outcome =
      run("accept " + day + " --motor DF-20 --stage repaired --json " + more, shop());
  INFO(outcome.err);
  REQUIRE(outcome.exit_code == 0);
  return json::parse(outcome.out);
}

std::set<std::string> with_result(const json& acceptance, const std::string& result) {
  std::set<std::string> ids;
  for (const json& check : acceptance["checks"]) {
    if (check["result"] == result && !check["recorded_only"]) ids.insert(check["id"]);
  }
  return ids;
}

}  // namespace

TEST_CASE("before the shop the fan motor is not to be accepted, for three reasons") {
  const json its = accepted("before");
  CHECK(its["conclusion"] == "reject");
  CHECK(with_result(its, "fail") == std::set<std::string>{"air_gap", "air_gap:drive", "vibration",
                                                          "vibration:drive end",
                                                          "winding_resistance"});
  CHECK(check_schema("acceptance.schema.json",
                     [&] {
                       const fs::path file = shop() / "before.json";
                       write(file, its.dump());
                       return file;
                     }())
            .exit_code == 0);
}

TEST_CASE("after the shop nothing fails") {
  const json its = accepted("after");
  CHECK(with_result(its, "fail").empty());
  CHECK(its["conclusion"] == "accept");
}

TEST_CASE("a certificate is written in every format and made again by recheck") {
  const std::string options =
      "--motor DF-20 --stage bought --cost air_gap=9800 --cost vibration=1200 --as-of 2026-04-20";
  const Outcome made = run("accept before " + options + " -o certificate", shop());
  INFO(made.err);
  REQUIRE(made.exit_code == 0);
  CHECK(made.out.find("Do not accept.") != std::string::npos);
  CHECK(made.out.find("11000 USD") != std::string::npos);
  for (const char* file : {"acceptance.json", "acceptance.html", "acceptance.pdf"}) {
    CHECK(fs::file_size(shop() / "certificate" / file) > 1000);
  }
  CHECK(check_schema("manifest.schema.json", shop() / "certificate" / "manifest.json").exit_code ==
        0);
  const Outcome again = run("recheck certificate", shop());
  INFO(again.out << again.err);
  CHECK(again.exit_code == 0);
  std::string json_text = text_of(shop() / "certificate" / "acceptance.json");
  json_text.replace(json_text.find("\"reject\""), 8, "\"accept\"");
  write(shop() / "certificate" / "acceptance.json", json_text);
  CHECK(run("recheck certificate", shop()).exit_code == 1);
}

TEST_CASE("an unknown motor, a broken cost and broken limits are refused with what to do") {
  const Outcome motor = run("accept before --motor XX-1 --stage bought", shop());
  CHECK(motor.exit_code == 3);
  CHECK(motor.err.find("XX-1") != std::string::npos);
  CHECK(run("accept before --motor DF-20 --stage bought --cost beauty=3", shop()).exit_code == 2);
  CHECK(run("accept before --motor DF-20", shop()).exit_code == 2);
  write(shop() / "mine.json", R"({"version":1,"id":"m","title":"mine","asked":{"bought":[],)"
                              R"("repaired":[],"installed":[]},"limits":[{"check":"runout",)"
                              R"("at_most":3,"unit":"furlong","source":"s","flag":"own"}]})");
  const Outcome limits =
      run("accept before --motor DF-20 --stage bought --limits mine.json", shop());
  CHECK(limits.exit_code == 3);
  CHECK(limits.err.find("furlong") != std::string::npos);
  CHECK(limits.err.find("mm") != std::string::npos);
}

TEST_CASE("the user's own limits decide, and the shipped ones hold to their schema") {
  write(shop() / "lax.json", R"({"version":1,"id":"lax","title":"lax","asked":{"bought":[],)"
                             R"("repaired":["vibration"],"installed":[]},"limits":[{"check":)"
                             R"("vibration","at_most":99,"unit":"mm_s_rms","source":"letter",)"
                             R"("flag":"own"}]})");
  const json its = accepted("before", "--limits lax.json");
  for (const json& check : its["checks"]) {
    if (check["id"] == "vibration") CHECK(check["result"] == "pass");
  }
  CHECK(check_schema("limits.schema.json", shop() / "lax.json").exit_code == 0);
  CHECK(check_schema("limits.schema.json",
                     fs::path(OHMGLOW_SOURCE_DIR) / "src/acceptance/limits/shop.json")
            .exit_code == 0);
}

TEST_CASE("--fail-at gives 4 where a motor is not to be accepted") {
  const std::string options = " --motor DF-20 --stage repaired --fail-at ";
  CHECK(run("accept before" + options + "reject", shop()).exit_code == 4);
  CHECK(run("accept after" + options + "reject", shop()).exit_code == 0);
  CHECK(run("accept before" + options + "conditions", shop()).exit_code == 4);
}
