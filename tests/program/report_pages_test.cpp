// The report of a survey with more findings than a page holds: the same from every way of running,
// vouched for file by file, and clean of what an earlier run left. Files are compared by diff(1)
// and hashed by sha256sum(1).

#include "run_program.h"

#include <catch2/catch.hpp>
#include <set>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

const std::string kAsOfQuietly = " --as-of 2026-03-05 --progress never";
const std::string kFirstPage = "report-pages/findings-0001.html";

/// The demo ten times over, and its result as `result`; with the demo itself as `one`.
struct Large {
  fs::path root;

  explicit Large(const std::string& name, const std::string& options = " --format html") {
    root = fresh_folder("pages-" + name);
    REQUIRE(run("demo one", root).exit_code == 0);
    const Outcome copied =
        shell(OHMGLOW_PYTHON " " OHMGLOW_SOURCE_DIR
                             "/tests/bench/large_survey.py survey --images 300 --of one",
              root);
    INFO(copied.out << copied.err);
    REQUIRE(copied.exit_code == 0);
    assess("survey", options);
  }
  void assess(const std::string& survey, const std::string& options,
              const std::string& out = "result") const {
    const Outcome done = run("assess " + survey + " -o " + out + kAsOfQuietly + options, root);
    INFO(done.err);
    REQUIRE(done.exit_code <= 1);
  }
  std::string page(const std::string& name = kFirstPage) const {
    return text_of(root / "result" / name);
  }
  void check_same_as_result(const std::string& folder) const {
    const Outcome compared = shell("diff -r result " + folder, root);
    INFO(compared.out << compared.err);
    CHECK(compared.exit_code == 0);
  }
};

std::string sha256(const fs::path& file) {
  return shell("sha256sum < '" + file.string() + "' | cut -c1-64 | tr -d '\\n'").out;
}

std::map<std::string, std::string> states_not_same(const json& checks) {
  std::map<std::string, std::string> states;
  for (const json& check : checks) {
    if (check["state"] != "same") states[check["path"]] = check["state"];
  }
  return states;
}

}  // namespace

TEST_CASE("a report in pages is the same from one thread, from shards and from a run taken up") {
  const std::string formats = " --format json,csv,html";
  const Large large("same", formats);
  const json findings = json_of(large.root / "result/findings.json")["findings"];
  REQUIRE(findings.size() > 100);
  REQUIRE(findings.size() <= 200);
  CHECK_THAT(large.page(), Catch::Contains("id=\"finding-100\"") && Catch::Contains("<image "));
  // The card of a case stands at its most urgent finding.
  int last = 0;
  for (const json& f : findings) {
    if (f["leads_case"]) last = f["rank"].get<int>();
  }
  REQUIRE(last > 100);
  CHECK_THAT(large.page("report-pages/findings-0002.html"),
             Catch::Contains("id=\"finding-" + std::to_string(last) + "\""));
  CHECK_THAT(large.page("report.html"),
             !Catch::Contains("<image ") && Catch::Contains(kFirstPage + "#finding-1\""));

  large.assess("survey", formats + " --jobs 1", "alone");
  large.check_same_as_result("alone");
  for (const std::string part : {"1", "2"}) {
    large.assess("survey", formats + " --shard " + part + "/2", "part-" + part);
  }
  REQUIRE(run("merge part-1 part-2 -o merged", large.root).exit_code <= 1);
  large.check_same_as_result("merged");
  fs::rename(large.root / "part-1", large.root / "again");
  large.assess("survey", formats + " --shard 1/2 --resume", "again");
  REQUIRE(run("merge again part-2 -o merged", large.root).exit_code <= 1);
  large.check_same_as_result("merged");
}

TEST_CASE("the manifest vouches for every page, and a recheck makes each again") {
  const Large large("recheck");
  const json manifest = json_of(large.root / "result/manifest.json");
  CHECK(check_schema("manifest.schema.json", large.root / "result/manifest.json").exit_code == 0);
  std::set<std::string> recorded{"manifest.json"};
  for (const json& file : manifest["outputs"]) {
    recorded.insert(file["path"]);
    CHECK(file["sha256"] == sha256(large.root / "result" / file["path"].get<std::string>()));
  }
  std::set<std::string> there;
  for (const auto& entry : fs::recursive_directory_iterator(large.root / "result")) {
    if (entry.is_regular_file())
      there.insert(fs::relative(entry.path(), large.root / "result").generic_string());
  }
  CHECK(there == recorded);
  const Outcome same = run("recheck result", large.root);
  INFO(same.out << same.err);
  CHECK(same.exit_code == 0);

  const auto found = [&large] { return json::parse(run("recheck result --json", large.root).out); };
  SECTION("a page that was edited, one that is gone, and one that nobody wrote are named") {
    write(large.root / "result" / kFirstPage, large.page() + "\n");
    fs::remove(large.root / "result/report-pages/findings-0002.html");
    write(large.root / "result/report-pages/findings-0009.html", "<p>another one</p>");
    CHECK(states_not_same(found()["outputs"]) ==
          std::map<std::string, std::string>{{kFirstPage, "changed"},
                                             {"report-pages/findings-0002.html", "missing"},
                                             {"report-pages/findings-0009.html", "added"}});
  }
  SECTION("a page edited with its hash in the manifest is not what the inputs give") {
    write(large.root / "result" / kFirstPage, large.page() + "\n");
    json forged = manifest;
    for (json& file : forged["outputs"]) {
      if (file["path"] == kFirstPage) file["sha256"] = sha256(large.root / "result" / kFirstPage);
    }
    write(large.root / "result/manifest.json", forged.dump());
    const json remarks = found()["remarks"];
    REQUIRE(remarks.size() == 1);
    CHECK(remarks[0].get<std::string>().find(kFirstPage) == 0);
  }
}

TEST_CASE("pages of an earlier run do not stay beside a report that has none, or fewer") {
  const Large large("earlier");
  write(large.root / "result/report-pages/findings-0003.html", "of a larger survey");
  write(large.root / "result/report-pages/notes.txt", "a person's own");
  large.assess("survey", " --format html");
  CHECK_FALSE(fs::exists(large.root / "result/report-pages/findings-0003.html"));
  CHECK(fs::exists(large.root / "result/report-pages/findings-0002.html"));
  large.assess("one", " --format html");
  CHECK_FALSE(fs::exists(large.root / "result" / kFirstPage));
  CHECK(large.page("report-pages/notes.txt") == "a person's own");
  fs::remove(large.root / "result/report-pages/notes.txt");
  large.assess("one", " --format html");
  CHECK_FALSE(fs::exists(large.root / "result/report-pages"));
  CHECK(run("recheck result", large.root).exit_code == 0);
}

TEST_CASE("pages follow the reader's language and units, findings.json does not") {
  const Large large("reader", " --format json,html --language de --units f");
  CHECK_THAT(large.page(), Catch::Contains("Seite 1 von 2") && Catch::Contains(" °F"));
  CHECK_THAT(large.page("report.html"), Catch::Contains("Die schwersten"));
  large.assess("survey", " --format json", "plain");
  CHECK(large.page("findings.json") == text_of(large.root / "plain/findings.json"));
  CHECK(run("recheck result", large.root).exit_code == 0);
}
