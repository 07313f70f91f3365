// Sources: Unicode 15.0, table 3-7 (well-formed sequences) and its examples of ill-formed ones;
// Unicode Standard Annexes 11 (widths) and 29 (what people take for one character).
#include "offered/vocabulary/utf8.h"

#include <catch2/catch.hpp>
#include <string>
#include <string_view>

using namespace ohmglow;
using namespace std::string_view_literals;

TEST_CASE("a sequence is well-formed as table 3-7 has it, in every byte") {
  struct Row {
    int first_from, first_to, second_from, second_to;
    std::size_t bytes;
  };
  const std::vector<Row> table{{0xC2, 0xDF, 0x80, 0xBF, 2}, {0xE0, 0xE0, 0xA0, 0xBF, 3},
                               {0xE1, 0xEC, 0x80, 0xBF, 3}, {0xED, 0xED, 0x80, 0x9F, 3},
                               {0xEE, 0xEF, 0x80, 0xBF, 3}, {0xF0, 0xF0, 0x90, 0xBF, 4},
                               {0xF1, 0xF3, 0x80, 0xBF, 4}, {0xF4, 0xF4, 0x80, 0x8F, 4}};
  const auto is_tail = [](int byte) { return byte >= 0x80 && byte <= 0xBF; };
  const auto wanted = [&](int first, int second, int third, int fourth) -> std::size_t {
    if (first < 0x80) return 1;
    for (const Row& row : table) {
      if (first < row.first_from || first > row.first_to) continue;
      const bool fits = second >= row.second_from && second <= row.second_to &&
                        (row.bytes < 3 || is_tail(third)) && (row.bytes < 4 || is_tail(fourth));
      return fits ? row.bytes : 0;
    }
    return 0;
  };
  long wrong = 0;
  for (int first = 0; first < 256; ++first) {
    for (int second = 0; second < 256; ++second) {
      for (const int third : {0x00, 0x7F, 0x80, 0xBF, 0xC0}) {
        for (const int fourth : {0x00, 0x7F, 0x80, 0xBF, 0xC0}) {
          const char bytes[] = {static_cast<char>(first), static_cast<char>(second),
                                static_cast<char>(third), static_cast<char>(fourth)};
          const Character got = first_character({bytes, 4});
          const std::size_t size = wanted(first, second, third, fourth);
          if (got.is_sound != (size > 0) || got.bytes != std::max<std::size_t>(size, 1)) ++wrong;
          if (size > 1 && first_character({bytes, size - 1}).is_sound) ++wrong;
        }
      }
    }
  }
  CHECK(wrong == 0);
  CHECK(first_character("°C").code == U'°');
  CHECK(first_character("🔥").code == U'🔥');
  CHECK(first_character("\0x"sv).is_sound);
}

TEST_CASE("the first bad byte of a text is found, and none in a sound one") {
  CHECK_FALSE(first_bad_utf8(""));
  CHECK_FALSE(first_bad_utf8("Förderband 漏斗 🔥 \uFFFF"));
  CHECK(first_bad_utf8("ab\xC3") == 2);
  CHECK(first_bad_utf8("é\xED\xA0\x80") == 2);
  CHECK(first_bad_utf8("\xC0\xAF") == 0);
}

TEST_CASE("a text is cut between characters, and between bytes only where they are none") {
  CHECK(whole_characters("lug", 3) == "lug");
  CHECK(whole_characters("lugs", 3) == "lug");
  CHECK(whole_characters("a°C", 2) == "a");
  CHECK(whole_characters("a°C", 3) == "a°");
  CHECK(whole_characters("漏斗", 2).empty());
  CHECK(whole_characters("\x80\x80\x80", 2) == "\x80\x80");
}

TEST_CASE("marks, joined parts and flags belong to the character that people see") {
  CHECK(first_grapheme("e\u0301x") == 3);
  CHECK(first_grapheme("か\u3099き") == 6);
  CHECK(first_grapheme("👩\u200D🔧 fitter") == std::string("👩\u200D🔧").size());
  CHECK(first_grapheme("🇩🇪🇫🇷") == std::string("🇩🇪").size());
  CHECK(first_grapheme("ab") == 1);
  CHECK(first_grapheme("a\xCC") == 1);
  CHECK(first_grapheme("\xCC\x81") == 2);
  CHECK(first_grapheme("\x81\xCC\x81") == 1);
}

TEST_CASE("controls and bad bytes take a column, whatever is shown for them") {
  CHECK(columns_of(first_character("\x1b")) == 1);
  CHECK(columns_of(first_character("\u2028")) == 1);
  CHECK(columns_of(first_character("\x80")) == 1);
  CHECK(is_control(first_character("\u009b")));
  CHECK_FALSE(is_control(first_character("\u00a0")));
}
