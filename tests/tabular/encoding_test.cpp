// Bytes that tables come in. Sources: Unicode 15.0, section 3.9 (UTF-16); the Unicode Consortium's
// CP1252.TXT; Python's codecs as the independent writer.
#include "../python.h"
#include "offered/tabular/tabular.h"

#include <catch2/catch.hpp>
#include <sstream>

using namespace ohmglow;
using namespace ohmglow::tabular;

namespace {

std::string bytes_of_file(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  REQUIRE(in.good());
  std::ostringstream bytes;
  bytes << in.rdbuf();
  return bytes.str();
}

}  // namespace

TEST_CASE("UTF-16 and Windows-1252 are decoded as Python decodes them, and encoded again") {
  const std::string base = output_path("encodings");
  static_cast<void>(words_from_python("encodings", R"(
text = 'motor;note\r\nM1;21 °C, Müller, 3 Ω “x” 𝄞\r\n'
western = 'motor;note\r\nM1;21 °C, Müller, “x” – 5 €\r\n'
base = ')" + base + R"('
for name, value, code in (('le', '\ufeff' + text, 'utf-16-le'), ('be', '\ufeff' + text, 'utf-16-be'),
                          ('1252', western, 'cp1252'), ('utf8', text, 'utf-8')):
    open(f'{base}-{name}', 'wb').write(value.encode(code))
    open(f'{base}-{name}.expected', 'wb').write(value.encode('utf-8'))
)"));
  for (const auto& [name, encoding] :
       {std::pair{"le", Encoding::utf_16_le}, std::pair{"be", Encoding::utf_16_be},
        std::pair{"1252", Encoding::windows_1252}, std::pair{"utf8", Encoding::utf_8}}) {
    CAPTURE(name);
    const std::string bytes = bytes_of_file(base + "-" + name);
    const auto text = decoded(bytes);
    REQUIRE(text);
    CHECK(text->text == bytes_of_file(base + "-" + name + ".expected"));
    CHECK(text->encoding == encoding);
    const auto again = encoded(text->text, text->encoding);
    REQUIRE(again);
    CHECK(*again == bytes);
  }
}

TEST_CASE("UTF-16 that breaks off or pairs no surrogates is damaged") {
  for (const std::string& bytes :
       {std::string("\xFF\xFE\x41", 3), std::string("\xFF\xFE\x00\xD8", 4),
        std::string("\xFF\xFE\x00\xD8\x41\x00", 6), std::string("\xFE\xFF\xDC\x00", 4)}) {
    const auto text = decoded(bytes);
    REQUIRE_FALSE(text);
    CHECK(text.error().kind == ErrorKind::damaged);
  }
}

TEST_CASE("bytes that no encoding has are named by their place") {
  const auto text = decoded("motor\nM\xFC\x81\n");
  REQUIRE_FALSE(text);
  CHECK(text.error().kind == ErrorKind::not_this_format);
  CHECK(text.error().place.byte_offset == 8);
}

TEST_CASE("a character that Windows-1252 lacks is refused, not replaced") {
  const auto bytes = encoded("3 Ω", Encoding::windows_1252);
  REQUIRE_FALSE(bytes);
  CHECK(bytes.error().found == "Ω");
}

TEST_CASE("a first line sep= declares the delimiter and is no row") {
  for (const char* opening : {"sep=;\r\n", "SEP=;\n", "\"sep=;\"\r\n", "\xEF\xBB\xBFsep=;\n"}) {
    CAPTURE(opening);
    // Commas would cut these lines as evenly.
    const std::string text = std::string(opening) + "motor;a,b\nM1;1,5\nM2;2,5\n";
    const auto table = parse_table(text);
    REQUIRE(table);
    CHECK(table->dialect == Dialect{';', ','});
    REQUIRE(table->rows.size() == 3);
    CHECK(table->rows[0].line == 1);
    CHECK(table->rows[0].cells == std::vector<std::string>{"motor", "a,b"});
    CHECK(table->rows[2].line == 3);
    const auto its_places = places(text, ';');
    REQUIRE(its_places.size() == 3);
    CHECK(text.substr(its_places[0].begin, 5) == "motor");
  }
  CHECK(sniff("sep=|\na|b,c\n").delimiter == '|');
  CHECK(sniff("sep=,\na;b\nc;d\n").delimiter == ',');
}

TEST_CASE("a line that only looks like sep= is a row") {
  for (const char* text : {"sep=x\na,b\n", "sep=;;\na;b\n", "sep=\na,b\n", "separator=;\n"}) {
    CAPTURE(text);
    const auto table = parse_table(text);
    REQUIRE(table);
    CHECK(table->rows.front().cells.front().starts_with("sep"));
  }
}
