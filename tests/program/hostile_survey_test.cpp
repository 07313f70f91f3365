// Survey and result folders come by stick and by mail, disks fill up, terminals close: one clear
// message, an exit code, and nothing of anybody's lost.

#include "../imaging/tiff_builder.h"
#include "run_program.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fmt/format.h>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

const std::string kProgram = std::string("'") + OHMGLOW_PROGRAM + "' ";
constexpr int kDone = 0;
constexpr int kSomeNotMeasured = 1;
constexpr int kNothingDone = 3;

/// A matrix of 40 × 16 with noise, and a warm first lug.
std::string noisy_frame(double base_c) {
  std::string text;
  for (int y = 0; y < 16; ++y) {
    for (int x = 0; x < 40; ++x) {
      const double lug_k = x >= 5 && x <= 11 && y >= 5 && y <= 11 ? 20 : 0;
      text +=
          fmt::format("{}{:.2f}", x != 0 ? "," : "", base_c + lug_k + 0.05 * ((7 * x + 3 * y) % 5));
    }
    text += "\n";
  }
  return text;
}

std::string marks(const std::string& image, int width, int height) {
  return fmt::format(
      R"({{"version":1,"image":"{}","size":[{},{}],"marks":[)"
      R"({{"name":"T1","role":"lug","phase":1,"shape":{{"kind":"circle","center":[8,8],"radius":3}}}},)"
      R"({{"name":"T2","role":"lug","phase":2,"shape":{{"kind":"circle","center":[20,8],"radius":3}}}},)"
      R"({{"name":"T3","role":"lug","phase":3,"shape":{{"kind":"circle","center":[32,8],"radius":3}}}}]}})",
      image, width, height);
}

const char* const kImagesColumns =
    "file,motor,component,emissivity,reflected_c,air_c,scale,offset,unit\n";

/// One motor with one image that can be measured; `rows` stand below its own in images.csv.
fs::path hostile_survey(const std::string& name, const std::string& rows = "") {
  const fs::path folder = fresh_folder(name);
  write(folder / "motors.csv", "motor,rated_a\nCV-1,100\n");
  write(folder / "images.csv",
        kImagesColumns + std::string("good.csv,CV-1,box,0.95,24,24,,,\n") + rows);
  write(folder / "good.csv", noisy_frame(25.5));
  write(folder / "marks/good.csv.json", marks("good.csv", 40, 16));
  return folder;
}

fs::path beside(const fs::path& folder, const std::string& ending) {
  fs::path other = folder;
  other += ending;
  fs::remove_all(other);
  return other;
}

/// `before` and `behind`: what a shell needs around the command.
Outcome assess_into(const fs::path& folder, const fs::path& out, const std::string& behind = "",
                    const std::string& before = "") {
  return shell(fmt::format("{}{} assess '{}' -o '{}' --as-of 2026-11-28 {}", before, kProgram,
                           folder.string(), out.string(), behind));
}

std::string status_in(const fs::path& out, const std::string& file) {
  const json findings = json_of(out / "findings.json");
  for (const json& image : findings["images"]) {
    if (image["file"] == file) return image["status"];
  }
  return "absent";
}

bool says(const Outcome& outcome, const std::string& words) {
  return outcome.err.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("an image whose description nests deep is rejected alone") {
  const fs::path folder = hostile_survey("deep_description", "deep.tif,CV-1,box,0.95,24,24,,,\n");
  ohmglow::imaging::TiffBuilder tiff;
  const std::string pixels(40 * 16 * 2, '\1');
  std::string text = "{\"scale\":";
  for (int i = 0; i < 100'000; ++i) text += '[';
  text += "1";
  for (int i = 0; i < 100'000; ++i) text += ']';
  text += '}';
  const auto at = tiff.data(pixels);
  const auto text_at = tiff.data(text + '\0');
  tiff.directory(ohmglow::imaging::plain_tags(40, 16, at, pixels.size(),
                                              {{270, 2, text.size() + 1, text_at}}));
  write(folder / "deep.tif", tiff.text());
  const fs::path out = beside(folder, "-out");
  const Outcome outcome = assess_into(folder, out);
  INFO(outcome.err);
  CHECK(outcome.exit_code == kSomeNotMeasured);
  CHECK(says(outcome, "nested deeper than 32 levels"));
  CHECK(status_in(out, "good.csv") == "measured");
  CHECK(status_in(out, "deep.tif") == "rejected");
}

TEST_CASE("a journal or a folder of pages that is a link is not written through") {
  const fs::path folder = hostile_survey("linked_journal");
  const fs::path out = beside(folder, "-out");
  const fs::path victim = folder.parent_path() / "linked_journal_victim";
  fs::create_directories(out);
  write(victim, "somebody's");
  fs::create_symlink(victim, out / "results.journal");
  for (const char* option : {"", "--resume"}) {
    const Outcome outcome = assess_into(folder, out, option);
    INFO(outcome.err);
    CHECK(outcome.exit_code == kNothingDone);
    CHECK(says(outcome, "results.journal"));
    CHECK(text_of(victim) == "somebody's");
  }
}

TEST_CASE("the pages of a report are not written through a link") {
  const fs::path folder = hostile_survey("linked_pages");
  std::string motors = "motor,rated_a\nCV-1,100\n";
  constexpr int kMoreThanOneFileTakes = 10'001;
  for (int i = 0; i < kMoreThanOneFileTakes; ++i) motors += fmt::format("M{},100\n", i);
  write(folder / "motors.csv", motors);
  const fs::path out = beside(folder, "-out");
  const fs::path elsewhere = fresh_folder("linked_pages_elsewhere");
  fs::create_directories(out);
  fs::create_directory_symlink(elsewhere, out / "report-pages");
  const Outcome outcome = assess_into(folder, out, "--format html");
  CHECK(outcome.exit_code == kNothingDone);
  CHECK(says(outcome, "report-pages"));
  CHECK(fs::is_empty(elsewhere));
  CHECK_FALSE(fs::exists(out / "report.html"));
}

TEST_CASE("a report on many motors is written in pages, however few its images are") {
  const fs::path folder = hostile_survey("many_motors");
  std::string motors = "motor,rated_a\nCV-1,100\n";
  for (int i = 0; i < 10'001; ++i) motors += fmt::format("M{},100\n", i);
  write(folder / "motors.csv", motors);
  const fs::path out = beside(folder, "-out");
  const Outcome outcome = assess_into(folder, out, "--format html");
  CHECK(outcome.exit_code == kDone);
  CHECK(fs::exists(out / "report-pages"));
}

TEST_CASE("what is composed in memory is composed of so many motors and no more") {
  const fs::path folder = hostile_survey("too_many_motors");
  std::string motors = "motor,rated_a\nCV-1,100\n";
  for (int i = 0; i < 50'000; ++i) motors += fmt::format("M{},100\n", i);
  write(folder / "motors.csv", motors);
  const fs::path out = beside(folder, "-out");
  const Outcome refused = assess_into(folder, out, "--format json,xlsx");
  INFO(refused.err);
  CHECK(refused.exit_code == kNothingDone);
  CHECK(says(refused, "at most 50000 motors and 10000 findings"));
  CHECK_FALSE(fs::exists(out / "findings.json"));
  CHECK(assess_into(folder, out, "--format json").exit_code == kDone);
}

TEST_CASE("a closed or full stderr takes nothing from the results") {
  const fs::path folder = hostile_survey("deaf_stderr", "gone.csv,CV-1,box,0.95,24,24,,,\n");
  for (const std::string stderr_is : {"2>&-", "2>/dev/full", "<&- >&- 2>&-"}) {
    INFO(stderr_is);
    const fs::path part = beside(folder, "-part");
    const fs::path merged = beside(folder, "-merged");
    // The rest of what was said must not stand in the journal either.
    const Outcome assessed = assess_into(folder, part, "--shard 1/1 " + stderr_is);
    CHECK(assessed.exit_code == kSomeNotMeasured);
    const Outcome outcome = run(fmt::format("merge '{}' -o '{}'", part.string(), merged.string()));
    INFO(outcome.err);
    CHECK(outcome.exit_code == kSomeNotMeasured);
    CHECK(status_in(merged, "good.csv") == "measured");
  }
}

TEST_CASE("what cannot be printed ends with an exit code and a reason") {
  const fs::path folder = hostile_survey("full_stdout");
  const fs::path out = beside(folder, "-out");
  REQUIRE(assess_into(folder, out).exit_code == kDone);
  const std::string look = "look '" + (folder / "good.csv").string() + "' --json";
  const std::string recheck = "recheck '" + out.string() + "'";
  for (const std::string& command : {std::string("--help"), look, recheck}) {
    for (const char* full : {">/dev/full", ">&-"}) {
      INFO(command << ' ' << full);
      const Outcome outcome = shell(kProgram + command + " " + full);
      CHECK(outcome.exit_code == kNothingDone);
      CHECK(says(outcome, "could not be written"));
    }
  }
}

TEST_CASE("a terminal is not told what to do by the names of files") {
  const fs::path folder = fresh_folder("names_that_order");
  const std::string name =
      "\x1b[31mred\nsecond\xE2\x80\xAE"
      "gnp.csv";
  write(folder / name, noisy_frame(25.5));
  const std::string quoted = "'" + (folder / name).string() + "'";
  for (const std::string& command : {"look " + quoted, "check '" + folder.string() + "'",
                                     "assess '" + folder.string() + "'", "look " + quoted + "x"}) {
    const Outcome outcome = run(command);
    const std::string all = outcome.out + outcome.err;
    INFO(all);
    CHECK(all.find("second") != std::string::npos);
    CHECK(all.find('\x1b') == std::string::npos);
    CHECK(all.find("red\n") == std::string::npos);
    CHECK(all.find("\xE2\x80\xAE") == std::string::npos);
  }
}

TEST_CASE("results go neither among the survey's files nor over anybody's") {
  const fs::path folder = hostile_survey("no_room");
  write(folder / "ranked.csv", "mine\n");
  const Outcome same = assess_into(folder, folder);
  CHECK(same.exit_code == kNothingDone);
  CHECK(says(same, "among the survey's own files"));
  CHECK(text_of(folder / "ranked.csv") == "mine\n");

  const fs::path other = beside(folder, "-other");
  write(other / "report.html", "mine\n");
  const Outcome over = assess_into(folder, other);
  CHECK(over.exit_code == kNothingDone);
  CHECK(says(over, "report.html"));
  CHECK(text_of(other / "report.html") == "mine\n");

  const fs::path bare = fresh_folder("no_room_bare");
  write(bare / "route/a.csv", noisy_frame(25.5));
  const Outcome among = assess_into(bare, bare / "route");
  CHECK(among.exit_code == kNothingDone);
  CHECK(says(among, "a.csv"));
  CHECK_FALSE(fs::exists(bare / "route/results.journal"));
}

TEST_CASE("a mark that could not be read again is not written") {
  const fs::path folder = hostile_survey("mark_name");
  const std::string before = text_of(folder / "marks/good.csv.json");
  const Outcome outcome = run("mark '" + (folder / "good.csv").string() +
                              "' --ambient \"$(printf 'spot\\007x')\" --circle 5,5,2");
  const Outcome listed = run("mark '" + (folder / "good.csv").string() + "' --list");
  INFO(outcome.err << listed.err);
  CHECK(outcome.exit_code != kDone);
  CHECK(listed.exit_code == kDone);
  CHECK(text_of(folder / "marks/good.csv.json") == before);
}

TEST_CASE("a run that breaks off leaves the earlier result whole") {
  const fs::path folder = hostile_survey("broken_off");
  const fs::path out = beside(folder, "-out");
  const std::string formats = "--format json,html,pdf";
  REQUIRE(assess_into(folder, out, formats).exit_code == kDone);
  const auto findings = text_of(out / "findings.json");
  const auto pdf_bytes = fs::file_size(out / "report.pdf");
  write(folder / "good.csv", noisy_frame(35.5));
  // A limit on the size of files ends the writing of the PDF as a full disk does (setrlimit(2)).
  const Outcome outcome = assess_into(
      folder, out, formats, fmt::format("trap '' XFSZ; ulimit -f {}; ", pdf_bytes / 512 - 8));
  INFO(outcome.err);
  CHECK(outcome.exit_code == kNothingDone);
  CHECK(says(outcome, "report.pdf"));
  CHECK(text_of(out / "findings.json") == findings);
  for (const auto& entry : fs::directory_iterator(out)) {
    CHECK(entry.path().extension() != ".tmp");
  }
}

TEST_CASE("few descriptors are told of and crash nothing") {
  const fs::path folder = hostile_survey("few_descriptors");
  for (int most = 4; most <= 24; ++most) {
    INFO(most);
    const fs::path out = beside(folder, "-out");
    const Outcome outcome =
        assess_into(folder, out, "--jobs 1 --format xlsx,json",
                    fmt::format("exec 3>&- 4>&- 5>&- 6>&- 7>&- 8>&- 9>&-; ulimit -n {}; ", most));
    INFO(outcome.err);
    CHECK(outcome.exit_code >= kDone);
    CHECK(outcome.exit_code <= kNothingDone);
    CHECK((outcome.exit_code == kDone || !outcome.err.empty()));
  }
}

TEST_CASE("without a temporary folder the results are kept in memory until they are printed") {
  const fs::path folder = hostile_survey("no_temporary_folder");
  const Outcome outcome =
      shell("TMPDIR=/nonexistent " + kProgram + "assess '" + folder.string() + "'");
  INFO(outcome.err);
  CHECK(outcome.exit_code == kDone);
  CHECK(outcome.out.find("CV-1") != std::string::npos);
}

// The address sanitizer's own memory exceeds any such limit.
#ifndef __SANITIZE_ADDRESS__
TEST_CASE("an image that does not fit into memory is rejected alone") {
  const fs::path folder =
      hostile_survey("little_memory", "large.npy,CV-1,box,0.95,24,24,0.01,0,c\n");
  constexpr std::uintmax_t kSide = 14'000;
  std::string header =
      fmt::format("{{'descr': '<u2', 'fortran_order': False, 'shape': ({0}, {0}), }}", kSide);
  header.resize(118, ' ');
  header.back() = '\n';
  write(folder / "large.npy", std::string("\x93NUMPY\1\0v\0", 10) + header);
  fs::resize_file(folder / "large.npy", 128 + kSide * kSide * 2);  // zeros that take no disk
  write(folder / "marks/large.npy.json", marks("large.npy", kSide, kSide));
  const fs::path out = beside(folder, "-out");
  const Outcome outcome = assess_into(folder, out, "--jobs 2 --format json", "ulimit -v 900000; ");
  INFO(outcome.err);
  CHECK(outcome.exit_code == kSomeNotMeasured);
  CHECK(says(outcome, "does not fit into memory"));
  CHECK(status_in(out, "good.csv") == "measured");
  CHECK(status_in(out, "large.npy") == "rejected");
}
#endif
