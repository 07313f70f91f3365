// A survey cut into shards, a run killed and taken up again, a folder watched while it fills: the
// result must be, byte for byte, that of one run over the whole. Files are compared by cmp(1), runs
// are killed by kill(1).

#include "run_program.h"

#include <catch2/catch.hpp>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

const std::string kAsOf = " --as-of 2026-03-05";

/// A survey and the result of one run over it.
struct Whole {
  fs::path root;

  explicit Whole(const std::string& name, const std::string& options = "",
                 const std::string& demo = "demo survey") {
    root = fresh_folder("scale-" + name);
    REQUIRE(run(demo, root).exit_code == 0);
    REQUIRE(run("assess survey -o whole --progress never" + kAsOf + options, root).exit_code <= 1);
  }
  Outcome shard(int number, int count, const std::string& options = "") const {
    return run("assess survey -o part-" + std::to_string(number) + " --shard " +
                   std::to_string(number) + "/" + std::to_string(count) + kAsOf + options,
               root);
  }
  /// Every file of the result, and no other.
  void check_same(const std::string& folder) const {
    const Outcome compared = shell("diff -r whole " + folder, root);
    INFO(compared.out << compared.err);
    CHECK(compared.exit_code == 0);
  }
};

/// Steps of a shell with a program in the background, which all end: once the time is over
/// timeout(1) ends them and the program, with code 124.
Outcome in_time(const std::string& steps, const fs::path& root) {
  write(root / "steps.sh", steps);
  return shell("timeout --kill-after=5 120 sh steps.sh", root);
}

/// A step that tries again until `condition` of the shell holds, and ends all steps with code 9
/// where that takes too many tries.
std::string until(const std::string& condition, const std::string& what) {
  return "tries=0\n"
         "until " +
         condition +
         "; do\n"
         "  tries=$((tries + 1))\n"
         "  if [ $tries -gt 2000 ]; then\n"
         "    echo '" +
         what +
         " did not come' >&2\n"
         "    kill -9 $run\n"
         "    exit 9\n"
         "  fi\n"
         "  sleep 0.02\n"
         "done\n";
}

/// A program killed once its journal holds something.
void killed_run(const std::string& options, const fs::path& root) {
  const Outcome killed = in_time(
      "\"" + std::string(OHMGLOW_PROGRAM) + "\" assess survey -o result --jobs 1 --progress never" +
          kAsOf + options + " >/dev/null 2>&1 & run=$!\n" +
          until("[ \"$(stat -c %s result/results.journal 2>/dev/null || echo 0)\" -ge 100000 ]",
                "a journal of 100000 bytes") +
          "kill -9 $run; wait $run; test $? = 137",
      root);
  INFO(killed.err);
  REQUIRE(killed.exit_code == 0);
}

}  // namespace

TEST_CASE("shards joined in any order are the files of one run, whatever their format") {
  const std::string formats = " --format json,csv,html,pdf,xlsx,workorders";
  const Whole whole("shards", formats);
  for (int k = 1; k <= 3; ++k) {
    const Outcome done = whole.shard(k, 3, formats);
    INFO(done.err);
    REQUIRE(done.exit_code <= 1);
    CHECK(fs::exists(whole.root / ("part-" + std::to_string(k)) / "results.journal"));
    CHECK_FALSE(fs::exists(whole.root / ("part-" + std::to_string(k)) / "findings.json"));
  }
  const Outcome merged = run("merge part-3 part-1 part-2 -o merged", whole.root);
  INFO(merged.err);
  CHECK(merged.exit_code == 1);
  whole.check_same("merged");
  CHECK(merged.out == run("assess survey" + kAsOf, whole.root).out);
  CHECK(run("recheck merged", whole.root).exit_code == 0);
}

TEST_CASE("shards of trials by seed draw what one run draws") {
  const std::string options = " --uncertainty monte-carlo --seed 7 --format json";
  const Whole whole("trials", options, "demo --small survey");
  REQUIRE(whole.shard(1, 2, options).exit_code <= 1);
  REQUIRE(whole.shard(2, 2, options).exit_code <= 1);
  REQUIRE(run("merge part-1 part-2 -o merged", whole.root).exit_code <= 1);
  whole.check_same("merged");
}

TEST_CASE("a merge that lacks something says what, and writes nothing") {
  const Whole whole("lacking", "", "demo --small survey");
  for (int k = 1; k <= 2; ++k) REQUIRE(whole.shard(k, 2).exit_code <= 1);
  const auto refused = [&](const std::string& parts) {
    const Outcome merged = run("merge " + parts + " -o merged", whole.root);
    CHECK(merged.exit_code == 3);
    CHECK_FALSE(fs::exists(whole.root / "merged"));
    return merged.err;
  };
  CHECK_THAT(refused("part-1"),
             Catch::Contains("shard 2 of 2 is missing") && Catch::Contains("--shard 2/2"));
  CHECK_THAT(refused("part-1 part-2 part-2"), Catch::Contains("shard 2 is given twice"));
  CHECK_THAT(refused("part-1 survey"), Catch::Contains("results.journal"));

  SECTION("other options") {
    REQUIRE(whole.shard(2, 2, " --reference median").exit_code <= 1);
    CHECK_THAT(refused("part-1 part-2"), Catch::Contains("not of one run"));
  }
  SECTION("a row that changed since") {
    const fs::path motors = whole.root / "survey" / "motors.csv";
    std::string text = text_of(motors);
    const auto at = text.rfind("BE-");
    REQUIRE(at != std::string::npos);
    write(motors, text.replace(at, 3, "XX-"));
    CHECK_THAT(refused("part-1 part-2"), Catch::Contains("run ohmglow assess … --shard"));
  }
  SECTION("an entry that is cut short") {
    const fs::path journal = whole.root / "part-2" / "results.journal";
    fs::resize_file(journal, fs::file_size(journal) - 1);
    CHECK_THAT(refused("part-1 part-2"), Catch::Contains("the shard was not finished"));
  }
  SECTION("another file in place of the journal") {
    write(whole.root / "part-2" / "results.journal", "motor,image\n");
    CHECK_THAT(refused("part-1 part-2"), Catch::Contains("not a journal of ohmglow"));
  }
}

TEST_CASE("a killed run is taken up where it was, and ends as if it had never been killed") {
  const std::string slow = " --uncertainty monte-carlo --format json,csv";
  const Whole whole("killed", slow);
  killed_run(slow, whole.root);
  CHECK_FALSE(fs::exists(whole.root / "result" / "findings.json"));
  const fs::path journal = whole.root / "result" / "results.journal";

  SECTION("as it was left") {}
  SECTION("with its last entry written by half") {
    fs::resize_file(journal, fs::file_size(journal) - 7);
  }
  const Outcome done =
      run("assess survey -o result --resume --progress never" + kAsOf + slow, whole.root);
  CHECK_THAT(done.err, Catch::Contains("motors are done already"));
  whole.check_same("result");
}

TEST_CASE("a run that was killed before its journal held anything is simply begun") {
  const Whole whole("not-begun", " --format json,csv", "demo --small survey");
  const fs::path journal = whole.root / "part-1" / "results.journal";
  REQUIRE(whole.shard(1, 1, " --format json,csv").exit_code <= 1);
  const std::string head = text_of(journal).substr(0, 300);
  for (const std::size_t bytes : {0, 10, 300}) {
    write(journal, head.substr(0, bytes));
    REQUIRE(whole.shard(1, 1, " --format json,csv --resume").exit_code <= 1);
    REQUIRE(run("merge part-1 -o merged", whole.root).exit_code <= 1);
    whole.check_same("merged");
  }
  write(journal, "motor,image\n");
  CHECK(whole.shard(1, 1, " --format json,csv --resume").exit_code == 3);
}

TEST_CASE("a run is not taken up with other options, and an image that changed is measured again") {
  const std::string slow = " --uncertainty monte-carlo --format json,csv";
  const Whole whole("changed", slow);
  killed_run(slow, whole.root);
  const Outcome other =
      run("assess survey -o result --resume --reference median" + kAsOf + slow, whole.root);
  CHECK(other.exit_code == 3);
  CHECK_THAT(other.err, Catch::Contains("of another run"));

  // The first motor's images are another's now: nothing of what was known of it holds.
  const json images = json_of(whole.root / "whole" / "findings.json")["images"];
  const std::string first = images[0]["file"];
  REQUIRE(shell("printf x >> survey/" + first, whole.root).exit_code == 0);
  REQUIRE(run("assess survey -o result --resume" + kAsOf + slow, whole.root).exit_code <= 1);
  REQUIRE(run("assess survey -o whole" + kAsOf + slow, whole.root).exit_code <= 1);
  whole.check_same("result");
}

TEST_CASE("a watched survey is measured as its files arrive") {
  const Whole whole("watched", " --format json,csv");
  // All but one motor's images are there when the watch begins; then they and a reading come.
  REQUIRE(shell("mkdir later && mv survey/route/be01* later/ && cp survey/readings.csv later/",
                whole.root)
              .exit_code == 0);
  // As under nohup(1), the watch outlives its terminal.
  const Outcome watched =
      in_time("trap '' HUP; \"" + std::string(OHMGLOW_PROGRAM) +
                  "\" assess survey -o result --watch --format json,csv --progress never" + kAsOf +
                  " >list.txt 2>talk.txt & run=$!\n"
                  "rounds() { grep -c '^watching' talk.txt 2>/dev/null || true; }\n" +
                  until("[ \"$(rounds)\" -ge 1 ]", "the first round of the watch") +
                  "kill -HUP $run\n"
                  "cp result/findings.json before.json\n"
                  "mv later/be01* survey/route/\n" +
                  until("[ \"$(rounds)\" -ge 2 ]", "the second round of the watch") +

                  "kill -TERM $run; wait $run; echo $?",
              whole.root);
  INFO(watched.err << text_of(whole.root / "talk.txt"));
  CHECK(watched.out == "1\n");
  CHECK(text_of(whole.root / "before.json") != text_of(whole.root / "whole" / "findings.json"));
  CHECK_THAT(text_of(whole.root / "talk.txt"), Catch::Contains("motors are done already"));
  fs::remove(whole.root / "result" / "results.journal");
  whole.check_same("result");
}

TEST_CASE("an option that needs the other is refused with the reason") {
  for (const std::string option : {"--resume", "--watch", "--shard 1/2"}) {
    const Outcome refused = run("assess . " + option);
    CHECK(refused.exit_code == 2);
    CHECK_THAT(refused.err, Catch::Contains("needs -o"));
  }
  for (const std::string shard : {"0/2", "3/2", "1", "1/2x", "-1/2"}) {
    const Outcome refused =
        run("assess . -o " + fresh_folder("shard").string() + " --shard " + shard);
    CHECK(refused.exit_code == 2);
    CHECK_THAT(refused.err, Catch::Contains("K/N"));
  }
}
