// Signatures between this program and Debian's minisign: each takes what the other made.

#include "run_program.h"

#include <catch2/catch.hpp>

namespace fs = std::filesystem;
using namespace program_test;

namespace {

/// A result, and a key of minisign's beside it.
struct Signed {
  fs::path root;
  explicit Signed(const std::string& name) : root(fresh_folder("sign-" + name)) {
    REQUIRE(run("demo --small survey", root).exit_code == 0);
    REQUIRE(run("assess survey -o result --format json,csv", root).exit_code <= 1);
    const Outcome made = shell("minisign -G -W -f -p one.pub -s one.key", root);
    INFO(made.err);
    REQUIRE(made.exit_code == 0);
  }
  std::string manifest() const { return text_of(root / "result/manifest.json"); }
};

}  // namespace

TEST_CASE("minisign verifies what sign signed, and recheck what minisign signed") {
  const Signed result("both-ways");
  const Outcome done = run("sign result --key one.key --comment 'seen by hand'", result.root);
  INFO(done.err);
  REQUIRE(done.exit_code == 0);
  const Outcome outside = shell("minisign -V -p one.pub -m result/manifest.json", result.root);
  INFO(outside.out << outside.err);
  CHECK(outside.exit_code == 0);
  CHECK(outside.out.find("Trusted comment: seen by hand") != std::string::npos);

  Outcome checked = run("recheck result --public-key one.pub", result.root);
  INFO(checked.out << checked.err);
  CHECK(checked.exit_code == 0);
  CHECK(checked.out.find("seen by hand") != std::string::npos);

  fs::remove(result.root / "result/manifest.json.minisig");
  for (const char* kind : {"", "-l "}) {  // of the hash, and the older kind of the whole file
    REQUIRE(shell("minisign -S " + std::string(kind) + "-s one.key -m result/manifest.json",
                  result.root)
                .exit_code == 0);
    checked = run("recheck result --public-key one.pub", result.root);
    INFO(checked.out << checked.err);
    CHECK(checked.exit_code == 0);
  }
  // The key itself in place of its file.
  const std::string file = text_of(result.root / "one.pub");
  const std::string line = file.substr(file.find('\n') + 1);
  CHECK(run("recheck result --public-key '" + line.substr(0, line.size() - 1) + "'", result.root)
            .exit_code == 0);
}

TEST_CASE("a manifest that was changed after it was signed, or not signed, is told") {
  const Signed result("changed");
  const Outcome unsigned_result = run("recheck result --public-key one.pub", result.root);
  CHECK(unsigned_result.exit_code == 1);
  CHECK(unsigned_result.out.find("not signed") != std::string::npos);
  const Outcome not_asked = run("recheck result", result.root);
  CHECK(not_asked.exit_code == 0);
  CHECK(not_asked.out.find("Unsigned: nothing proves who made this result.") != std::string::npos);

  REQUIRE(run("sign result --key one.key", result.root).exit_code == 0);
  write(result.root / "result/manifest.json", result.manifest() + "\n");
  const Outcome changed = run("recheck result --public-key one.pub", result.root);
  CHECK(changed.exit_code == 1);
  CHECK(changed.out.find("not what was signed") != std::string::npos);
  CHECK(shell("minisign -V -p one.pub -m result/manifest.json", result.root).exit_code != 0);
  // A signature that nobody checked is no signature.
  const Outcome unchecked = run("recheck result", result.root);
  CHECK(unchecked.exit_code == 1);
  CHECK(unchecked.out.find("no key was given: the signature was not checked") != std::string::npos);

  REQUIRE(shell("minisign -G -W -f -p two.pub -s two.key", result.root).exit_code == 0);
  const Outcome other = run("recheck result --public-key two.pub", result.root);
  CHECK(other.exit_code == 1);
  CHECK(other.out.find("another key") != std::string::npos);
  CHECK(run("recheck result --public-key none.pub", result.root).exit_code == 3);
}

TEST_CASE("an encrypted key is opened with its password and with no other") {
  const Signed result("password");
  REQUIRE(
      shell("printf 'open sesame\\nopen sesame\\n' | minisign -G -f -p locked.pub -s locked.key",
            result.root)
          .exit_code == 0);
  const Outcome asked = run("sign result --key locked.key", result.root);
  CHECK(asked.exit_code == 3);
  CHECK(asked.err.find("--password-file") != std::string::npos);
  write(result.root / "wrong.txt", "open sesam\n");
  const Outcome wrong = run("sign result --key locked.key --password-file wrong.txt", result.root);
  CHECK(wrong.exit_code == 3);
  CHECK(wrong.err.find("password is not that of the key") != std::string::npos);
  CHECK_FALSE(fs::exists(result.root / "result/manifest.json.minisig"));
  write(result.root / "right.txt", "open sesame\n");
  const Outcome right = run("sign result --key locked.key --password-file right.txt", result.root);
  INFO(right.err);
  REQUIRE(right.exit_code == 0);
  CHECK(shell("minisign -V -p locked.pub -m result/manifest.json", result.root).exit_code == 0);
}

TEST_CASE("a folder that is not what its manifest says is not signed") {
  const Signed result("unsound");
  write(result.root / "result/ranked.csv", "edited\n");
  const Outcome refused = run("sign result --key one.key", result.root);
  CHECK(refused.exit_code == 3);
  CHECK(refused.err.find("ranked.csv") != std::string::npos);
  CHECK(run("sign survey --key one.key", result.root).exit_code == 3);
  CHECK(run("sign result --key one.pub", result.root).exit_code == 3);
}
