// What an auditor does a year later: the result beside its survey, moved, edited, cut short.
// Hashes are held against sha256sum(1) of GNU coreutils.

#include "run_program.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <map>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

/// A small survey and its result, each test's own.
struct Audit {
  fs::path root;
  fs::path survey() const { return root / "survey"; }
  fs::path out() const { return root / "result"; }

  explicit Audit(const std::string& name, const std::string& options = "") {
    root = fresh_folder("recheck-" + name);
    REQUIRE(run("demo --small survey", root).exit_code == 0);
    const Outcome made = run("assess survey -o result --as-of 2026-03-05 " + options, root);
    INFO(made.err);
    REQUIRE(made.exit_code <= 1);
  }
  Outcome recheck(const std::string& options = "") const {
    return run("recheck result " + options, root);
  }
  json found(const std::string& options = "") const {
    return json::parse(recheck("--json " + options).out);
  }
  std::string an_image() const {
    const json findings = json_of(out() / "findings.json");
    for (const json& image : findings["images"]) {
      if (image["status"] == "measured") return image["file"];
    }
    throw std::runtime_error("no measured image");
  }
};

json not_same(const json& checks) {
  json list = json::array();
  for (const json& check : checks) {
    if (check["state"] != "same") list.push_back(check);
  }
  return list;
}

void edit(const fs::path& file, const std::string& from, const std::string& to) {
  std::string text = text_of(file);
  const auto at = text.find(from);
  REQUIRE(at != std::string::npos);
  write(file, text.replace(at, from.size(), to));
}

}  // namespace

TEST_CASE("a result that nobody touched is the same, and stays so when both folders move") {
  const Audit audit("moved", "--format json,csv,html,pdf,xlsx,workorders --paper letter");
  CHECK(check_schema("manifest.schema.json", audit.out() / "manifest.json").exit_code == 0);
  const Outcome same = audit.recheck();
  INFO(same.out << same.err);
  CHECK(same.exit_code == 0);
  CHECK(same.out.find("Recomputed and equal. Unsigned: nothing proves who made this result.") !=
        std::string::npos);
  for (const char* file : {"findings.json", "ranked.csv", "report.html", "report.pdf",
                           "report.xlsx", "workorders.ics"}) {
    CHECK(same.out.find(std::string(file) + ": recomputed and equal") != std::string::npos);
  }
  write(audit.root / "recheck.json", audit.recheck("--json").out);
  CHECK(check_schema("recheck.schema.json", audit.root / "recheck.json").exit_code == 0);
  CHECK(json_of(audit.root / "recheck.json")["values"]["compared"] > 1000);

  const fs::path elsewhere = fresh_folder("recheck-elsewhere") / "deep/er";
  fs::create_directories(elsewhere);
  fs::rename(audit.survey(), elsewhere / "survey");
  fs::rename(audit.out(), elsewhere / "result");
  CHECK(run("recheck result", elsewhere).exit_code == 0);
  CHECK(run("recheck '" + (elsewhere / "result").string() + "'").exit_code == 0);

  fs::rename(elsewhere / "survey", elsewhere / "archive");
  const Outcome lost = run("recheck result", elsewhere);
  CHECK(lost.exit_code == 3);
  CHECK(lost.err.find("--survey") != std::string::npos);
  CHECK(run("recheck result --survey archive", elsewhere).exit_code == 0);
  fs::create_directory(elsewhere / "other");
  CHECK(run("recheck result --survey other", elsewhere).exit_code == 3);
}

TEST_CASE("the manifest's hashes are those of sha256sum") {
  const Audit audit("sha256sum");
  const json manifest = json_of(audit.out() / "manifest.json");
  std::string list;
  for (const json& file : manifest["inputs"])
    list +=
        file["sha256"].get<std::string>() + "  survey/" + file["path"].get<std::string>() + "\n";
  for (const json& file : manifest["outputs"])
    list +=
        file["sha256"].get<std::string>() + "  result/" + file["path"].get<std::string>() + "\n";
  write(audit.root / "SHA256SUMS", list);
  const Outcome summed = shell("sha256sum --check --strict --quiet SHA256SUMS", audit.root);
  INFO(summed.out << summed.err);
  CHECK(summed.exit_code == 0);
  CHECK(manifest["outputs"].size() == 3);
  for (const json& file : manifest["inputs"]) {
    const fs::path path = audit.survey() / file["path"].get<std::string>();
    CHECK(file["bytes"] == fs::file_size(path));
  }
}

TEST_CASE("one changed byte in one image is caught by name") {
  const Audit audit("byte");
  const std::string image = audit.an_image();
  {
    std::fstream bytes(audit.survey() / image, std::ios::in | std::ios::out | std::ios::binary);
    bytes.seekg(-1, std::ios::end);
    const char last = static_cast<char>(bytes.get());
    bytes.seekp(-1, std::ios::end);
    bytes.put(static_cast<char>(last ^ 1));
  }
  const json found = audit.found();
  CHECK(audit.recheck().exit_code == 1);
  REQUIRE(not_same(found["inputs"]).size() == 1);
  CHECK(not_same(found["inputs"])[0]["path"] == image);
  CHECK(not_same(found["inputs"])[0]["state"] == "changed");
  CHECK(not_same(found["outputs"]).empty());
  // The image's hash stands in findings.json, so at least that value differs.
  CHECK(found["values"]["different"] >= 1);
}

TEST_CASE("one number edited in findings.json is named with what it was and what it should be") {
  const Audit audit("number");
  const json before = json_of(audit.out() / "findings.json");
  const double right = before["findings"][0]["temperature_c"];
  edit(audit.out() / "findings.json", "\"temperature_c\": " + json(right).dump(),
       "\"temperature_c\": 21.5");
  const json found = audit.found();
  CHECK(not_same(found["inputs"]).empty());
  REQUIRE(not_same(found["outputs"]).size() == 1);
  CHECK(not_same(found["outputs"])[0]["path"] == "findings.json");
  REQUIRE(found["values"]["different"] == 1);
  const json difference = found["values"]["differences"][0];
  CHECK(difference["recorded"] == "21.5");
  CHECK(difference["recomputed"] == json(right).dump());
  const json edited = json_of(audit.out() / "findings.json");
  CHECK(edited[json::json_pointer(difference["pointer"].get<std::string>())] == 21.5);
  const Outcome said = audit.recheck();
  CHECK(said.exit_code == 1);
  CHECK(said.out.find("recorded 21.5") != std::string::npos);
}

TEST_CASE("a number edited in findings.json and its hash in the manifest too is still found") {
  const Audit audit("forged");
  const json before = json_of(audit.out() / "findings.json");
  const double right = before["findings"][0]["temperature_c"];
  edit(audit.out() / "findings.json", "\"temperature_c\": " + json(right).dump(),
       "\"temperature_c\": 21.5");
  const auto hash = [](const fs::path& file) {
    return shell("sha256sum < '" + file.string() + "' | cut -c1-64 | tr -d '\\n'").out;
  };
  json manifest = json_of(audit.out() / "manifest.json");
  manifest["findings_sha256"] = hash(audit.out() / "findings.json");
  write(audit.out() / "ranked.csv", text_of(audit.out() / "ranked.csv") + "\n");
  for (json& file : manifest["outputs"]) {
    const fs::path path = audit.out() / file["path"].get<std::string>();
    file["sha256"] = hash(path);
    file["bytes"] = fs::file_size(path);
  }
  write(audit.out() / "manifest.json", manifest.dump());
  const json found = audit.found();
  CHECK(not_same(found["outputs"]).empty());
  CHECK(found["values"]["different"] == 1);
  REQUIRE(found["remarks"].size() == 1);
  CHECK(found["remarks"][0].get<std::string>().find("ranked.csv") == 0);
}

namespace {

std::string sha256_of(const fs::path& file) {
  return shell("sha256sum < '" + file.string() + "' | cut -c1-64 | tr -d '\\n'").out;
}

/// A forger who knows of hashes: the manifest bears those of the files as they are now.
void hash_anew(const fs::path& out, const std::string& version = "") {
  json manifest = json_of(out / "manifest.json");
  for (json& file : manifest["outputs"]) {
    const fs::path path = out / file["path"].get<std::string>();
    file["sha256"] = sha256_of(path);
    file["bytes"] = fs::file_size(path);
  }
  manifest["findings_sha256"] = sha256_of(out / "findings.json");
  if (!version.empty()) manifest["tool"]["version"] = version;
  write(out / "manifest.json", manifest.dump());
}

std::map<std::string, std::string> recomputed(const json& found) {
  std::map<std::string, std::string> states;
  for (const json& check : found["outputs"]) states[check["path"]] = check["recomputed"];
  return states;
}

/// The PDF with its streams open, as another program writes them; its text can be edited there.
void open_streams(const fs::path& pdf) {
  const Outcome done = shell("qpdf --qdf --object-streams=disable --replace-input '" +
                             pdf.string() + "' && rm -f '" + pdf.string() + ".~qpdf-orig'");
  INFO(done.out << done.err);
  REQUIRE(done.exit_code == 0);
}

}  // namespace

TEST_CASE("a forged version passes nowhere, whatever is forged beside it") {
  const Audit audit("forged-version", "--format json,csv,html,workorders");
  const std::string ours = json_of(audit.out() / "manifest.json")["tool"]["version"];
  // findings.json alone names another version than the manifest.
  edit(audit.out() / "findings.json", "\"version\": \"" + ours + "\"", "\"version\": \"0.0.9\"");
  hash_anew(audit.out());
  json found = audit.found();
  CHECK(found["ending"] == "different");
  REQUIRE(found["remarks"].size() == 1);
  CHECK(found["remarks"][0].get<std::string>().find("says that version 0.0.9 made it") !=
        std::string::npos);
  CHECK(audit.recheck().exit_code == 1);
  // Both name it: everything can still be made again, and is; only not by that version. The reports
  // may name either.
  hash_anew(audit.out(), "0.0.9");
  found = audit.found();
  INFO(found.dump(1));
  CHECK(found["ending"] == "other_version");
  std::string page = text_of(audit.out() / "report.html");
  const std::string now = "ohmglow " + ours;
  for (auto at = page.find(now); at != std::string::npos; at = page.find(now, at)) {
    page.replace(at, now.size(), "ohmglow 0.0.9");
  }
  write(audit.out() / "report.html", page);
  edit(audit.out() / "workorders.json", "\"version\": \"" + ours + "\"", "\"version\": \"0.0.9\"");
  edit(audit.out() / "workorders.ics", now, "ohmglow 0.0.9");
  hash_anew(audit.out(), "0.0.9");
  found = audit.found();
  INFO(found["outputs"].dump(1) << found["remarks"].dump(1));
  CHECK(found["ending"] == "other_version");
  CHECK(found["equal"] == false);
  const Outcome said = audit.recheck();
  CHECK(said.exit_code == 1);
  CHECK(said.out.find("Recomputed and equal, but not by the version that is recorded. Another "
                      "version of the tool: 0.0.9") != std::string::npos);
  // With HTML and CSV forged on top they are still made again, and found.
  write(audit.out() / "report.html", page + "<p>forged</p>");
  write(audit.out() / "ranked.csv", text_of(audit.out() / "ranked.csv") + "\n");
  hash_anew(audit.out(), "0.0.9");
  found = audit.found();
  CHECK(not_same(found["outputs"]).empty());
  CHECK(found["ending"] == "different");
  CHECK(recomputed(found)["report.html"] == "different");
  CHECK(recomputed(found)["ranked.csv"] == "different");
  CHECK(recomputed(found)["findings.json"] == "equal");
  CHECK(audit.recheck().exit_code == 1);
}

TEST_CASE("a forged HTML with its new hash is found, and the others are said to be equal") {
  const Audit audit("forged-html");
  edit(audit.out() / "report.html", "</main>", "<p>All is well.</p></main>");
  hash_anew(audit.out());
  const json found = audit.found();
  CHECK(recomputed(found) == std::map<std::string, std::string>{{"findings.json", "equal"},
                                                                {"ranked.csv", "equal"},
                                                                {"report.html", "different"}});
  const Outcome said = audit.recheck();
  CHECK(said.exit_code == 1);
  CHECK(said.out.find("report.html: recomputed and different") != std::string::npos);
}

TEST_CASE("a PDF is compared by what it shows") {
  const Audit audit("forged-pdf", "--format json,pdf");
  const fs::path pdf = audit.out() / "report.pdf";
  SECTION("the same page in other bytes is the same") {
    open_streams(pdf);
    hash_anew(audit.out());
    const Outcome said = audit.recheck();
    INFO(said.out);
    CHECK(said.exit_code == 0);
    CHECK(said.out.find("report.pdf: recomputed and equal") != std::string::npos);
  }
  SECTION("other words are found, and the page is named") {
    open_streams(pdf);
    // The first two letters of the first line that is set change places.
    std::string text = text_of(pdf);
    const auto first = text.find("[(");
    REQUIRE(first != std::string::npos);
    const auto second = text.find('(', first + 2);
    REQUIRE(second != std::string::npos);
    REQUIRE(text[first + 2] != text[second + 1]);
    std::swap(text[first + 2], text[second + 1]);
    write(pdf, text);
    hash_anew(audit.out());
    const Outcome said = audit.recheck();
    INFO(said.out);
    CHECK(said.exit_code == 1);
    CHECK(audit.found()["ending"] == "different");
    CHECK(said.out.find("page 1 reads") != std::string::npos);
  }
  SECTION("what is no PDF is different") {
    write(pdf, "no PDF");
    hash_anew(audit.out());
    CHECK(audit.recheck().exit_code == 1);
    CHECK(recomputed(audit.found())["report.pdf"] == "different");
  }
}

TEST_CASE("what can only be hashed is said to be only hashed") {
  const Audit audit("only-hashed", "--format json,csv");
  fs::copy_file(audit.survey() / audit.an_image(), audit.survey() / "route" / "added.tif");
  const json found = audit.found();
  CHECK(recomputed(found)["ranked.csv"] == "no");
  CHECK(found["outputs"][1]["note"].get<std::string>().find("inputs are not those") !=
        std::string::npos);
  CHECK(audit.recheck().out.find("ranked.csv: only hashed: the inputs are not") !=
        std::string::npos);
}

TEST_CASE("a certificate of a recheck is dated and holds what was found") {
  const Audit audit("certificate", "--format json,csv,pdf");
  for (const char* file : {"certificate.html", "certificate.pdf"}) {
    const Outcome made = audit.recheck("--certificate " + std::string(file));
    INFO(made.err);
    CHECK(made.exit_code == 0);
  }
  const std::string page = text_of(audit.root / "certificate.html");
  const std::string today = shell("date +%F | tr -d '\n'").out;
  CHECK(page.find(today) != std::string::npos);
  CHECK(page.find("Recomputed and equal.") != std::string::npos);
  CHECK(page.find(sha256_of(audit.out() / "ranked.csv")) != std::string::npos);
  const std::string text = shell("pdftotext -layout certificate.pdf -", audit.root).out;
  CHECK(text.find(today) != std::string::npos);
  CHECK(text.find("Recomputed and equal.") != std::string::npos);
  CHECK(text.find("report.pdf") != std::string::npos);
  CHECK(audit.recheck("--certificate other.txt").exit_code == 2);
}

TEST_CASE("a deleted mark file and an added image are named") {
  const Audit audit("files");
  const std::string image = audit.an_image();
  fs::remove(audit.survey() / "marks" / (image + ".json"));
  fs::copy_file(audit.survey() / image, audit.survey() / "route" / "added.tif");
  const json found = audit.found();
  CHECK(audit.recheck().exit_code == 1);
  std::map<std::string, std::string> states;
  for (const json& check : not_same(found["inputs"])) states[check["path"]] = check["state"];
  CHECK(states == std::map<std::string, std::string>{{"marks/" + image + ".json", "missing"},
                                                     {"route/added.tif", "added"}});
  // The lugs of that image are gone; what follows it in the lists is not called different.
  bool image_named = false;
  for (const json& difference : found["values"]["differences"])
    image_named |= difference["where"].get<std::string>().find(image) != std::string::npos;
  CHECK(image_named);
}

TEST_CASE("a survey without images.csv takes an added image in, and the recheck says so") {
  const fs::path root = fresh_folder("recheck-unlisted");
  write(root / "s/a.csv", "20,21\n22,23\n");
  write(root / "s/survey.json",
        R"({"defaults":{"scale":1,"offset":0,"unit":"c","emissivity":0.95,"air_c":20}})");
  write(root / "s/readings.csv",
        "motor,test,value_1,value_2,value_3,unit\na,winding_resistance,1,1,1,ohm\n");
  REQUIRE(run("assess s -o s/result --as-of 2026-03-05", root).exit_code <= 1);
  REQUIRE(run("recheck s/result", root).exit_code == 0);
  write(root / "s/b.csv", "20,21\n22,23\n");
  const json found = json::parse(run("recheck s/result --json", root).out);
  REQUIRE(not_same(found["inputs"]).size() == 1);
  CHECK(not_same(found["inputs"])[0]["path"] == "b.csv");
  CHECK(not_same(found["inputs"])[0]["state"] == "added");
}

TEST_CASE("an output that the run did not write, and one that is gone, are named") {
  const Audit audit("outputs", "--format json,csv");
  CHECK(audit.recheck().exit_code == 0);
  write(audit.out() / "report.html", "<p>another one</p>");
  fs::remove(audit.out() / "ranked.csv");
  std::map<std::string, std::string> states;
  const json found = audit.found();
  for (const json& check : not_same(found["outputs"])) states[check["path"]] = check["state"];
  CHECK(states ==
        std::map<std::string, std::string>{{"ranked.csv", "missing"}, {"report.html", "added"}});
}

TEST_CASE("every option that decides the result is recorded and used again") {
  const Audit audit("options",
                    "--reference median --uncertainty monte-carlo --seed 18446744073709551615 "
                    "--decision guarded --reading-age 30 --tests-by-effort --policy mil_std_2194 "
                    "--max-megapixels 0.5 --format csv");
  const json options = json_of(audit.out() / "manifest.json")["options"];
  CHECK(options["seed"] == 18446744073709551615u);
  CHECK(options["max_pixels"] == 500000);
  CHECK(!fs::exists(audit.out() / "findings.json"));
  const Outcome same = audit.recheck();
  INFO(same.out << same.err);
  CHECK(same.exit_code == 0);
  // Without findings.json its hash alone tells that something else was found.
  edit(audit.out() / "manifest.json", "\"reference\": \"median\"", "\"reference\": \"coolest\"");
  CHECK(audit.found()["values"]["done"] == false);
  CHECK(audit.recheck().exit_code == 1);
}

TEST_CASE("a policy file is recorded whole, inside the survey and outside it") {
  const fs::path root = fresh_folder("recheck-policy");
  REQUIRE(run("demo --small survey", root).exit_code == 0);
  std::string policy = text_of(OHMGLOW_SOURCE_DIR "/src/severity/policies/neta_mts.json");
  write(root / "plant.json", policy);
  write(root / "survey/ours.json", policy);
  REQUIRE(run("assess survey -o one --policy plant.json", root).exit_code <= 1);
  REQUIRE(run("assess survey -o two --policy ours.json", root).exit_code <= 1);
  CHECK(json_of(root / "one/manifest.json")["policy"]["text"] == policy);
  CHECK(json_of(root / "two/manifest.json")["policy"]["origin"] == "survey_file");
  fs::remove(root / "plant.json");
  CHECK(run("recheck one", root).exit_code == 0);
  CHECK(run("recheck two", root).exit_code == 0);
  edit(root / "survey/ours.json", "\"above\": 15", "\"above\": 50");
  CHECK(run("recheck one", root).exit_code == 0);
  const json found = json::parse(run("recheck two --json", root).out);
  CHECK(not_same(found["inputs"])[0]["path"] == "ours.json");
  CHECK(found["values"]["different"] > 0);
  // A built-in name over another text.
  REQUIRE(run("assess survey -o three", root).exit_code <= 1);
  edit(root / "three/manifest.json", "\\\"above\\\": 15", "\\\"above\\\": 50");
  // Its numbers lead to other reports too, which has a remark for each.
  const json lying = json::parse(run("recheck three --json", root).out);
  CHECK_THAT(lying["remarks"].at(0).get<std::string>(),
             Catch::Contains("not the one that is built"));
}

TEST_CASE("a survey that can no longer be read is told as such, with its files") {
  const Audit audit("broken-survey");
  write(audit.survey() / "survey.json", "{");
  const json found = audit.found();
  CHECK(found["values"]["done"] == false);
  REQUIRE(not_same(found["inputs"]).size() == 1);
  CHECK(not_same(found["inputs"])[0]["path"] == "survey.json");
  CHECK(audit.recheck().exit_code == 1);
}

TEST_CASE("a manifest with hostile paths, cut short or lying gives one clear error and code 3") {
  const Audit audit("hostile");
  const fs::path file = audit.out() / "manifest.json";
  const std::string good = text_of(file);
  const auto refused = [&](const std::string& text) {
    write(file, text);
    const Outcome outcome = audit.recheck();
    INFO(text.substr(0, 200) << "\n" << outcome.out << outcome.err);
    CHECK(outcome.exit_code == 3);
    CHECK(outcome.out.empty());
    CHECK(std::count(outcome.err.begin(), outcome.err.end(), '\n') == 1);
    CHECK(outcome.err.find("manifest.json") != std::string::npos);
  };
  for (const char* path :
       {"../x", "/etc/passwd", "a/../../x", "a//b", "./a", "..", ".", "", "C:x", "a\\b"}) {
    json bad = json::parse(good);
    bad["inputs"][0]["path"] = path;
    refused(bad.dump());
    bad = json::parse(good);
    bad["outputs"][0]["path"] = path;
    refused(bad.dump());
    write(audit.root / "bad.json", bad.dump());
    CHECK(check_schema("manifest.schema.json", audit.root / "bad.json").exit_code == 1);
  }
  json bad = json::parse(good);
  bad["survey"]["from_output"] = "/etc";
  refused(bad.dump());
  bad = json::parse(good);
  bad["inputs"].push_back(bad["inputs"][0]);
  refused(bad.dump());
  bad = json::parse(good);
  bad["inputs"][0]["sha256"] = "12";
  refused(bad.dump());
  bad = json::parse(good);
  bad["findings_sha256"] = std::string(64, '0');
  refused(bad.dump());
  bad = json::parse(good);
  bad["version"] = 2;
  refused(bad.dump());
  bad = json::parse(good);
  bad["surplus"] = 1;
  refused(bad.dump());
  for (std::size_t length = 0; length < good.size(); length += good.size() / 20)
    refused(good.substr(0, length));
  refused(std::string(100'000, '['));
  fs::remove(file);
  CHECK(audit.recheck().exit_code == 3);
}
