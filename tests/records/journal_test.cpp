// A journal may come from a stranger, with hashes that are right.

#include "offered/results/journal.h"

#include "offered/files/folder.h"
#include "records/results/motor_archive.h"
#include "sample_assessment.h"
#include "survey_folder.h"

#include <cstring>
#include <functional>
#include <span>
#include <sys/resource.h>

using namespace ohmglow::records;
namespace fs = std::filesystem;

namespace {

template <class Number>
std::string raw_bytes(Number number) {
  std::string bytes(sizeof number, '\0');
  std::memcpy(bytes.data(), &number, sizeof number);
  return bytes;
}

/// An entry as the journal frames it: mark, sizes, hash, then index and body.
std::string framed(const std::string& index, const std::string& body) {
  const std::string content = index + body;
  return raw_bytes(std::uint32_t{0x656a676f}) +
         raw_bytes(static_cast<std::uint32_t>(index.size())) +
         raw_bytes(std::uint64_t{body.size()}) + sha256(std::as_bytes(std::span(content))) +
         content;
}

std::string counted(const std::string& content) {
  return raw_bytes(std::uint64_t{content.size()}) + content;
}

/// Of one image's part and the two that every motor has, which are said to have `sizes`.
std::string index_of_three(const std::vector<std::uint32_t>& sizes) {
  std::string index = counted("M1") + counted("rows") + counted("stamps");
  for (const std::uint32_t count : {1U, 0U, 0U, 0U, 0U}) index += raw_bytes(count);
  index += raw_bytes(std::uint64_t{sizes.size()});
  for (const std::uint32_t size : sizes) index += raw_bytes(size);
  return index;
}

std::size_t entries_read(const std::string& name, const std::string& entry) {
  const test::SurveyFolder folder(name);
  test::write(folder.path() / kJournalFile, "ohmglow journal 2\n{}\n" + entry);
  const auto journal = Journal::open(folder.path() / kJournalFile, false);
  REQUIRE(journal);
  return journal->size();
}

long most_memory_kb() {
  rusage usage{};
  ::getrusage(RUSAGE_SELF, &usage);
  return usage.ru_maxrss;
}

}  // namespace

TEST_CASE("an entry is read, and one that lies about its parts ends the journal") {
  CHECK(entries_read("journal_sound", framed(index_of_three({1, 2, 3}), "abbccc")) == 1);
  CHECK(entries_read("journal_long", framed(index_of_three({1, 2, 3'000'000'000}), "abbccc")) == 0);
  CHECK(entries_read("journal_short", framed(index_of_three({1, 2, 2}), "abbccc")) == 0);
}

TEST_CASE("an entry gets no memory for a text or a list that its bytes do not hold") {
  constexpr std::uint64_t kGibibyte = std::uint64_t{1} << 30;
  constexpr long kFarLess_kb = 256 << 10;
  const long before_kb = most_memory_kb();
  CHECK(entries_read("journal_long_text", framed(raw_bytes(kGibibyte) + "M1", "")) == 0);
  const std::string to_sizes = counted("M1") + counted("") + counted("") + std::string(20, '\0');
  CHECK(entries_read("journal_long_list", framed(to_sizes + raw_bytes(kGibibyte / 4), "")) == 0);
  CHECK(most_memory_kb() - before_kb < kFarLess_kb);
}

TEST_CASE("numbers that stand for nothing are refused when results are read back") {
  using ohmglow::diagnosis::Assessment;
  const Assessment sound = test::sample_assessment();
  const auto taken_back = [&sound](const std::function<void(Assessment&)>& forge) {
    Assessment forged = sound;
    forge(forged);
    Assessment motor;
    motor.policy = sound.policy;
    return restore(archived(forged), motor).has_value();
  };
  CHECK(taken_back([](Assessment&) {}));
  CHECK_FALSE(taken_back([](Assessment& a) { a.findings.at(0).grade.band = 99; }));
  CHECK_FALSE(taken_back([](Assessment& a) { a.findings.at(0).grade.band.reset(); }));
  CHECK_FALSE(taken_back([](Assessment& a) { a.findings.at(0).image_index = 1000; }));
  CHECK_FALSE(taken_back([](Assessment& a) {
    a.findings.at(0).verdict = static_cast<ohmglow::diagnosis::Verdict>(200);
  }));
  CHECK_FALSE(taken_back([](Assessment& a) { a.components.at(0).images = {7777}; }));
  CHECK_FALSE(taken_back([](Assessment& a) { a.components.at(0).reading = 7777; }));
  CHECK_FALSE(taken_back(
      [](Assessment& a) { a.images.at(0).lugs.at(0).phase = static_cast<ohmglow::Phase>(4); }));
  CHECK_FALSE(taken_back([](Assessment& a) { a.images.at(0).lugs.at(0).reference = {{0, 9999}}; }));
}

TEST_CASE("a journal that is a link is neither begun nor taken up") {
  const test::SurveyFolder folder("journal_link");
  const fs::path victim = folder.path() / "victim";
  test::write(victim, "ohmglow journal 2\n{}\n");
  fs::create_symlink(victim, folder.path() / kJournalFile);
  CHECK_FALSE(Journal::create(folder.path() / kJournalFile, "{}"));
  CHECK_FALSE(Journal::open(folder.path() / kJournalFile, true));
  CHECK(test::read(victim) == "ohmglow journal 2\n{}\n");
}
