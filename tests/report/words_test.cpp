// What reports print of sources, numbers and long words. House style; German parted by the rules of
// its syllables (Amtliche Regelung, § 107 to 112, from memory).
#include "report/words.h"

#include "diagnosis/wording.h"
#include "offered/report/hyphens.h"
#include "ohmglow/reader.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

namespace ohmglow::report {
namespace {

std::string without_soft_hyphens(std::string text) {
  for (auto at = text.find("\u00ad"); at != std::string::npos; at = text.find("\u00ad", at)) {
    text.erase(at, 2);
  }
  return text;
}

constexpr std::string_view kMarks[] = {"from memory",    "house rule",        "common practice",
                                       "no source",      "nicht nachgelesen", "Hausregel",
                                       "übliche Praxis", "ohne Quelle"};

}  // namespace

TEST_CASE("the body names a source without a word on how it was read") {
  const Sentence of_band = sentence(
      "ANSI/NETA Table 100.18, last row (more than 15 K over like, more than 40 K over air), read "
      "in ATS-2003; pair unbalance from 10 %: common practice, no source");
  CHECK(short_source(of_band) == "ANSI/NETA Table 100.18");
  CHECK(short_source(sentence("DL/T 664-2016, from memory")) == "DL/T 664-2016");
  CHECK(short_source(sentence("house rule (docs/method.md)")).empty());
  CHECK(short_source(sentence("common practice, no source")).empty());
  CHECK(short_source(sentence("two independent witnesses, {}", sentence(diagnosis::kHouseRule)))
            .empty());
  CHECK(short_source(sentence("our own plant rule 7")) == "our own plant rule 7");
}

TEST_CASE("no message that is a source leaves a mark in the body, in either language") {
  // Every message with a mark is taken for a source: those of the catalogue.
  std::ifstream file(OHMGLOW_SOURCE_DIR "/src/vocabulary/languages/de.po");
  REQUIRE(file);
  int sources = 0;
  for (std::string line; std::getline(file, line);) {
    constexpr std::string_view kBegin = "msgid \"";
    if (line.rfind(kBegin, 0) != 0) continue;
    const std::string message = line.substr(kBegin.size(), line.size() - kBegin.size() - 1);
    const bool is_marked = std::any_of(
        std::begin(kMarks), std::end(kMarks),
        [&message](std::string_view mark) { return message.find(mark) != std::string::npos; });
    if (!is_marked || message.find('{') != std::string::npos) continue;
    ++sources;
    for (const char* language : {"en", "de"}) {
      const auto its = reader_of(language);
      const WritingFor writing_for(*its);
      const std::string said = short_source(sentence(message));
      INFO(message << " | " << said);
      for (const std::string_view mark : kMarks) CHECK(said.find(mark) == std::string::npos);
    }
  }
  CHECK(sources > 20);
}

TEST_CASE("long German words may be parted, and lose no letter by it") {
  const auto german = reader_of("de");
  REQUIRE(german);
  CHECK(hyphenated("Normalverteilung") == "Normalverteilung");
  const WritingFor writing_for(*german);
  CHECK(hyphenated("Normalverteilung") == "Nor\u00admal\u00adver\u00adtei\u00adlung");
  CHECK(hyphenated("Phasenwiderspruch") == "Phasen\u00adwi\u00adder\u00adspruch");
  CHECK(hyphenated("Überwachen") == "Über\u00adwa\u00adchen");
  CHECK(hyphenated("Beobachten, 12 K") == "Be\u00adob\u00adach\u00adten, 12 K");
  CHECK(hyphenated("Motor BE-01") == "Motor BE-01");
  std::ifstream file(OHMGLOW_SOURCE_DIR "/src/vocabulary/languages/de.po");
  std::stringstream all;
  all << file.rdbuf();
  CHECK(without_soft_hyphens(hyphenated(all.str())) == all.str());
}

TEST_CASE("probabilities are shown only where the rises decided the band") {
  diagnosis::Finding finding;
  for (const auto& [by, shown] :
       {std::pair{severity::DecidedBy::like, true}, std::pair{severity::DecidedBy::air, true},
        std::pair{severity::DecidedBy::limit, false},
        std::pair{severity::DecidedBy::reading, false}}) {
    finding.grade.by = by;
    CHECK(has_telling_probabilities(finding) == shown);
  }
}

}  // namespace ohmglow::report
