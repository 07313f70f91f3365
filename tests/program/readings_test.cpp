// The electrical side alone, as an electrician with only a meter runs it.

#include "run_program.h"

#include <catch2/catch.hpp>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

fs::path meter_survey(const std::string& name, const std::string& ohms) {
  const fs::path folder = fresh_folder(name);
  write(folder / "motors.csv", "motor,rated_a,connection,lug_area_cm2\nM-1,20,wye,40\n");
  write(folder / "readings.csv",
        "motor,test,taken_at,place,value_1,value_2,value_3,unit\nM-1,winding_resistance,"
        "2026-03-01,starter," +
            ohms + ",ohm\n");
  return folder;
}

}  // namespace

TEST_CASE("readings alone name phase, excess, severity, the hot spot to expect and the next step") {
  const fs::path folder = meter_survey("meter-only", "1.05,1.05,1.00");
  const Outcome text = run("readings '" + folder.string() + "'");
  INFO(text.out << text.err);
  CHECK(text.exit_code == 0);
  for (const char* part : {"phase 2", "50", "watch", "expected: At full load (20.0 A)", "next: "}) {
    INFO(part);
    CHECK(text.out.find(part) != std::string::npos);
  }
  const json result = json::parse(run("readings --json '" + folder.string() + "'").out);
  const json& advice = result["motors"][0]["advice"];
  // Joule: 0.05 Ω × (20 A)² = 20 W.
  CHECK(advice["hot_spot"]["heat_w"].get<double>() == Approx(20));
  CHECK(advice["hot_spot"]["phase"] == 2);
  CHECK(advice["hot_spot"]["rise_low_c"] < advice["hot_spot"]["rise_high_c"]);
}

TEST_CASE("readings --html writes one page that fetches and runs nothing, hostile names or not") {
  const fs::path folder = meter_survey("meter-page", "1.05,1.05,1.00");
  write(folder / "motors.csv", "motor,rated_a\n<script>x</script>,20\n");
  write(folder / "readings.csv",
        "motor,test,value_1,value_2,value_3,unit\n<script>x</script>,winding_resistance,1,1,1,"
        "ohm\n");
  const fs::path page = folder / "page.html";
  const Outcome outcome = run("readings '" + folder.string() + "' --html '" + page.string() + "'");
  INFO(outcome.err);
  CHECK(outcome.exit_code == 0);
  CHECK(text_of(page).find("<script>") == std::string::npos);
  CHECK(text_of(page).find("&lt;script&gt;") != std::string::npos);
  const Outcome markup = shell(std::string(OHMGLOW_PYTHON) + " -B '" + OHMGLOW_SOURCE_DIR +
                               "/tests/report/check_markup.py' html '" + page.string() + "'");
  CHECK(markup.exit_code == 0);
  CHECK(markup.out.empty());
  const Outcome refused =
      run("readings '" + folder.string() + "' --html /nowhere/at/all/page.html");
  CHECK(refused.exit_code == 3);
}

TEST_CASE("readings end with 3 where there are none, and with 1 where one cannot be worked out") {
  const fs::path none = fresh_folder("meter-none");
  write(none / "motors.csv", "motor\nM-1\n");
  CHECK(run("readings '" + none.string() + "'").exit_code == 3);
  const fs::path bad = meter_survey("meter-bad", "1.0,1.0,2.5");
  CHECK(run("readings '" + bad.string() + "'").exit_code == 1);
}
