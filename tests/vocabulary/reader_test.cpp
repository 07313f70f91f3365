#include "ohmglow/reader.h"

#include "offered/vocabulary/number_text.h"

#include <catch2/catch.hpp>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>

using namespace ohmglow;

namespace {

std::string text_of(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

/// What a command says; it must succeed.
std::string said(const std::string& command) {
  const std::string file = std::string(OHMGLOW_TEST_OUTPUT) + "/said.txt";
  REQUIRE(std::system((command + " >'" + file + "' 2>&1").c_str()) == 0);
  return text_of(file);
}

std::multiset<std::string> placeholders(const std::string& message) {
  static const std::regex kPlaceholder(R"(\{+[^{}]*\}+)");
  static const std::regex kNumbered(R"(\{\d+\})");
  std::multiset<std::string> found;
  for (std::sregex_iterator at(message.begin(), message.end(), kPlaceholder), end; at != end;
       ++at) {
    found.insert(std::regex_replace(at->str(), kNumbered, "{}"));
  }
  return found;
}

}  // namespace

TEST_CASE("a temperature and a difference in Fahrenheit", "[reader]") {
  Reader american;
  american.scale = TemperatureScale::fahrenheit;
  const WritingFor writing_for(american);
  // NIST SP 811 (2008), appendix B, from memory: t/°F = 1.8 t/°C + 32 exactly, and 1 K is 1.8 °F of
  // temperature interval. Ice point, steam point and where both scales meet: general knowledge.
  CHECK(temperature_text(0, 1) == "32.0 °F");
  CHECK(temperature_text(100, 1) == "212.0 °F");
  CHECK(temperature_text(-40, 1) == "−40.0 °F");
  CHECK(temperature_text(37, 1) == "98.6 °F");
  CHECK(difference_text(10, 1) == "18.0 °F");
  CHECK(difference_text(-5, 0) == "−9 °F");
}

TEST_CASE("the reader's decimal mark, and nobody else's once he is gone", "[reader]") {
  CHECK(decimals(1234.5, 1) == "1234.5");
  {
    const auto german = reader_of("de");
    REQUIRE(german);
    const WritingFor writing_for(*german);
    CHECK(decimals(-1234.5, 1) == "−1234,5");
    CHECK(decimals(-0.0001, 1) == "0,0");
    CHECK(ohms(Ohm{0.00052}) == "0,52 mΩ");
    {
      const Reader plain;
      const WritingFor writing_plainly(plain);
      CHECK(decimals(0.5, 1) == "0.5");
    }
    CHECK(decimals(0.5, 1) == "0,5");
  }
  CHECK(decimals(1234.5, 1) == "1234.5");
}

TEST_CASE("a language that is not there is no reader") {
  CHECK(languages().front() == "en");
  CHECK_FALSE(reader_of("tlh"));
  CHECK(reader_of("en")->is_default());
}

TEST_CASE("bytes that are no catalogue are refused, whatever they promise") {
  CHECK_FALSE(Catalogue::from_mo(""));
  CHECK_FALSE(Catalogue::from_mo("not a catalogue, only a text of some length"));
  std::string bytes(28, '\0');
  const std::uint32_t header[] = {0x950412de, 0, 1000, 28, 28, 0, 0};
  bytes.assign(reinterpret_cast<const char*>(header), sizeof header);
  CHECK_FALSE(Catalogue::from_mo(bytes));  // a thousand messages, and the file ends here
  const std::uint32_t beyond[] = {0x950412de, 0, 1, 28, 36, 0, 0, 4, 0xfffffff0, 4, 44};
  bytes.assign(reinterpret_cast<const char*>(beyond), sizeof beyond);
  CHECK_FALSE(Catalogue::from_mo(bytes));
}

TEST_CASE(
    "every message is translated into every language, as GNU gettext's own tools count them") {
  const std::string folder = std::string(OHMGLOW_SOURCE_DIR) + "/src/vocabulary/languages";
  std::filesystem::create_directories(OHMGLOW_TEST_OUTPUT);
  const std::string list = std::string(OHMGLOW_TEST_OUTPUT) + "/ohmglow.pot";
  said(std::string(OHMGLOW_PYTHON) + " '" + folder + "/template.py' '" + list + "'");
  for (const std::string& language : languages()) {
    if (language == "en") continue;
    INFO(language);
    const std::string file = folder + "/" + language + ".po";
    // msgcmp complains of each message of the list that the catalogue lacks, leaves untranslated or
    // marks as fuzzy.
    CHECK(said("msgcmp '" + file + "' '" + list + "' && echo complete") == "complete\n");
    CHECK_THAT(said("msgfmt --statistics -o /dev/null '" + file + "'"),
               !Catch::Contains("untranslated") && !Catch::Contains("fuzzy"));
    CHECK(said("msgattrib --obsolete '" + file + "'").empty());
  }
}

TEST_CASE("no message is a piece of a sentence that code would glue to another") {
  std::filesystem::create_directories(OHMGLOW_TEST_OUTPUT);
  const std::string list = std::string(OHMGLOW_TEST_OUTPUT) + "/pieces.pot";
  said(std::string(OHMGLOW_PYTHON) +
       " '" OHMGLOW_SOURCE_DIR "/src/vocabulary/languages/template.py' '" + list + "'");
  std::istringstream messages(said("msgcat --no-wrap '" + list + "'"));
  static const std::regex kPiece(R"(([\s,;:.!?)(]|·|–|—|−|→).*|.*\s)");
  std::size_t count = 0;
  for (std::string line; std::getline(messages, line);) {
    constexpr std::string_view kBegin = "msgid \"";
    if (line.rfind(kBegin, 0) != 0 || line == "msgid \"\"") continue;
    const std::string message = line.substr(kBegin.size(), line.size() - kBegin.size() - 1);
    INFO(message);
    CHECK_FALSE(std::regex_match(message, kPiece));
    ++count;
  }
  CHECK(count > 700);
}

TEST_CASE("a translation has the placeholders of its message, and its blanks at both ends") {
  const std::string list =
      text_of(std::string(OHMGLOW_SOURCE_DIR) + "/src/vocabulary/languages/de.po");
  const auto catalogue = reader_of("de")->catalogue;
  REQUIRE(catalogue);
  CHECK(catalogue->size() > 700);
  // Messages as the .po file writes them, which escapes nothing but quotes here.
  static const std::regex kMessage("\nmsgid \"(.+)\"\nmsgstr \"(.+)\"\n");
  std::size_t count = 0;
  for (std::sregex_iterator at(list.begin(), list.end(), kMessage), end; at != end; ++at, ++count) {
    const std::string message = at->str(1);
    const std::string translated = at->str(2);
    INFO(message << " | " << translated);
    CHECK(placeholders(message) == placeholders(translated));
    CHECK((message.front() == ' ') == (translated.front() == ' '));
    CHECK((message.back() == ' ') == (translated.back() == ' '));
    CHECK(catalogue->find(message) == translated);
  }
  CHECK(count == catalogue->size());
}
