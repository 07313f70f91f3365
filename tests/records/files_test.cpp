#include "../python.h"
#include "offered/files/folder.h"
#include "survey_folder.h"

#include <algorithm>
#include <array>
#include <csignal>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

using ohmglow::ErrorKind;
using ohmglow::records::resolve_inside;
using ohmglow::records::sha256;
using ohmglow::records::write_atomically;

namespace fs = std::filesystem;

namespace {

std::string hash(std::string_view text) {
  return sha256(std::as_bytes(std::span(text)));
}

std::vector<std::string> names_in(const fs::path& folder) {
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder))
    names.push_back(entry.path().filename().string());
  std::sort(names.begin(), names.end());
  return names;
}

}  // namespace

TEST_CASE("SHA-256 gives the digests of the standard's examples") {
  // NIST, Cryptographic Standards and Guidelines, Examples with Intermediate Values for FIPS 180-4,
  // SHA-256: "abc" and the 448-bit message; the empty message and a million "a" are the
  // long-published companions. Digests from memory, confirmed below by another implementation.
  CHECK(hash("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(hash("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  CHECK(hash("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(hash(std::string(1'000'000, 'a')) ==
        "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("SHA-256 agrees with Python's hashlib on every length around the block size") {
  const auto theirs = words_from_python("digests",
                                        "import hashlib\n"
                                        "for n in range(200):\n"
                                        "  message = bytes((7 * i + n) % 256 for i in range(n))\n"
                                        "  print(hashlib.sha256(message).hexdigest())\n");
  REQUIRE(theirs.size() == 200);
  for (std::size_t n = 0; n < theirs.size(); ++n) {
    std::string message;
    for (std::size_t i = 0; i < n; ++i) message += static_cast<char>((7 * i + n) % 256);
    CHECK(hash(message) == theirs[n]);
  }
}

TEST_CASE("a written file holds the whole new content and leaves nothing beside it") {
  const test::SurveyFolder folder("atomic");
  const fs::path target = folder.path() / "findings.json";
  const std::string large(3'000'000, 'z');
  REQUIRE(write_atomically(target, "old").has_value());
  REQUIRE(write_atomically(target, large).has_value());
  CHECK(test::read(target) == large);
  REQUIRE(write_atomically(target, "").has_value());
  CHECK(test::read(target).empty());
  CHECK(names_in(folder.path()) == std::vector<std::string>{"findings.json"});
}

TEST_CASE("a replaced file keeps its permissions") {
  const test::SurveyFolder folder("permissions");
  const fs::path target = folder.path() / "a.json";
  test::write(target, "old");
  fs::permissions(target, fs::perms::owner_read | fs::perms::owner_write);
  REQUIRE(write_atomically(target, "new").has_value());
  CHECK(fs::status(target).permissions() == (fs::perms::owner_read | fs::perms::owner_write));
}

TEST_CASE(
    "a write that fails names the file, keeps what was there and removes its temporary file") {
  const test::SurveyFolder folder("atomic_failure");
  // A folder with something in it cannot be replaced by a file, not even by root.
  test::write(folder.path() / "taken/inner.txt", "kept");
  const auto written = write_atomically(folder.path() / "taken", "new");
  REQUIRE_FALSE(written);
  CHECK(written.error().kind == ErrorKind::system);
  CHECK(written.error().place.file == (folder.path() / "taken").string());
  CHECK(test::read(folder.path() / "taken/inner.txt") == "kept");
  CHECK(names_in(folder.path()) == std::vector<std::string>{"taken"});
  const auto nowhere = write_atomically(folder.path() / "no/such/folder/a.json", "new");
  REQUIRE_FALSE(nowhere);
  CHECK(nowhere.error().kind == ErrorKind::system);
}

TEST_CASE("a write that breaks off half-way leaves the old file whole") {
  const test::SurveyFolder folder("short_write");
  const fs::path target = folder.path() / "a.json";
  test::write(target, "old");
  const std::string large(100'000, 'z');
  // A limit on the size of files breaks the write off as a full disk does (setrlimit(2): EFBIG).
  rlimit before{};
  REQUIRE(::getrlimit(RLIMIT_FSIZE, &before) == 0);
  const auto handler = std::signal(SIGXFSZ, SIG_IGN);
  const rlimit small{4096, before.rlim_max};
  REQUIRE(::setrlimit(RLIMIT_FSIZE, &small) == 0);
  const auto written = write_atomically(target, large);
  ::setrlimit(RLIMIT_FSIZE, &before);
  std::signal(SIGXFSZ, handler);
  REQUIRE_FALSE(written);
  CHECK(written.error().kind == ErrorKind::system);
  CHECK(test::read(target) == "old");
  CHECK(names_in(folder.path()) == std::vector<std::string>{"a.json"});
}

TEST_CASE("a path inside the folder resolves, whichever way its slashes lean") {
  const test::SurveyFolder folder("resolve");
  const fs::path root = fs::canonical(folder.path());
  CHECK(resolve_inside(folder.path(), "a/b.tif").value() == root / "a/b.tif");
  CHECK(resolve_inside(folder.path(), "a\\b.tif").value() == root / "a/b.tif");
  CHECK(resolve_inside(folder.path(), "./a.tif").value() == root / "a.tif");
  CHECK(resolve_inside(folder.path(), "..a.tif").value() == root / "..a.tif");
}

TEST_CASE(
    "a path that another machine would take for a drive's says so, and a colon alone is none") {
  const test::SurveyFolder folder("drives");
  for (const char* path : {"c:d.tif", "C:\\d.tif", "z:/d.tif"}) {
    const auto resolved = resolve_inside(folder.path(), path);
    REQUIRE_FALSE(resolved);
    CHECK(resolved.error().kind == ErrorKind::outside_survey);
    CHECK(
        test::contains(sentence(resolved.error()), "a path that begins with the name of a drive"));
  }
  for (const char* path : {"1:a.tif", "be:d.tif", ":a.tif"})
    CHECK(resolve_inside(folder.path(), path).has_value());
}

TEST_CASE("a neighbour whose name begins alike is not inside") {
  test::SurveyFolder folder("alike");
  const fs::path neighbour = folder.path().parent_path() / "alike_neighbour";
  fs::create_directories(neighbour);
  fs::create_directory_symlink(neighbour, folder.path() / "way");
  const auto path = resolve_inside(folder.path(), "way/a.tif");
  REQUIRE_FALSE(path);
  CHECK(path.error().kind == ErrorKind::outside_survey);
}

TEST_CASE("an empty path, one with a NUL and one that is too long are refused") {
  const test::SurveyFolder folder("odd_paths");
  CHECK(resolve_inside(folder.path(), "").error().kind == ErrorKind::missing);
  CHECK(resolve_inside(folder.path(), std::string_view("a\0b", 3)).error().kind ==
        ErrorKind::invalid_value);
  CHECK_FALSE(resolve_inside(folder.path(), std::string(100'000, 'a')).has_value());
}

TEST_CASE("what killed programs left behind is removed, and nothing else") {
  const test::SurveyFolder folder("left_behind");
  const pid_t child = ::fork();
  if (child == 0) ::_exit(0);
  REQUIRE(::waitpid(child, nullptr, 0) == child);
  const std::string dead = std::to_string(child);
  const std::string alive = std::to_string(::getppid());
  for (const std::string& name : {".ohmglow-" + dead + "-0.tmp", ".ohmglow-" + dead + "-17.tmp",
                                  ".ohmglow-" + alive + "-0.tmp", ".ohmglow-" + dead + "-0.tmpx",
                                  std::string(".ohmglow-x-0.tmp"), std::string(".other.tmp")}) {
    test::write(folder.path() / name, "half");
  }
  // Its machine is another one, where it goes on.
  const fs::path held = folder.path() / (".ohmglow-" + dead + "-17.tmp");
  const int handle = ::open(held.c_str(), O_RDONLY | O_CLOEXEC);
  REQUIRE(::flock(handle, LOCK_EX) == 0);
  REQUIRE(write_atomically(folder.path() / "a.json", "new").has_value());
  ::close(handle);
  std::vector<std::string> left{".ohmglow-" + alive + "-0.tmp",
                                ".ohmglow-" + dead + "-0.tmpx",
                                ".ohmglow-" + dead + "-17.tmp",
                                ".ohmglow-x-0.tmp",
                                ".other.tmp",
                                "a.json"};
  std::sort(left.begin(), left.end());
  CHECK(names_in(folder.path()) == left);
}
