// Sources: RFC 3629 (UTF-8), Unicode Standard Annex 11 by way of Python's unicodedata, XML 1.0
// section 2.2 (characters that no document may hold).
#include "offered/report/plain_text.h"

#include "fixture.h"

#include <catch2/catch.hpp>

namespace ohmglow::report {

TEST_CASE("malformed UTF-8 and control characters never reach a page or a terminal") {
  // RFC 3629: overlong "/", a lone continuation, a surrogate, a truncated sequence.
  CHECK(printable("\xC0\xAF") == "\uFFFD\uFFFD");
  CHECK(printable("a\x80z") == "a\uFFFDz");
  CHECK(printable("\xED\xA0\x80") == "\uFFFD\uFFFD\uFFFD");
  CHECK(printable("ab\xE6\xBC") == "ab\uFFFD\uFFFD");
  // ECMA-48: an escape sequence that would recolour or retitle a terminal, and C1 codes.
  CHECK(printable("\x1b[31mred\x07") == " [31mred ");
  CHECK(printable("\u0085\u009b2J") == "  2J");
  CHECK(printable("\uFFFF") == "\uFFFD");
  CHECK(printable("Förderband 漏斗 🔥") == "Förderband 漏斗 🔥");
}

TEST_CASE("widths agree with Unicode's tables") {
  std::vector<std::string> arguments;
  for (const char* text :
       {"plain", "Förderband", "漏斗 3", "e\u0301te\u0301", "サイロ", "곡물", "±12 mΩ", "элеватор",
        "ｆｕｌｌ", "\u200Bzero",
        // A voiced sound mark, full-width signs, points under Hebrew, emoji of
        // either width.
        "か\u3099", "￥５", "ש\u05C1\u05B8", "ก\u0E38", "⚡ ⌛", "🌡 🔥", "\U00017000"}) {
    arguments.emplace_back(text);
    arguments.push_back(std::to_string(display_width(text)));
  }
  CHECK(report_test::python("check_width.py", arguments) == "");
}

TEST_CASE("lines are broken at blanks and only where they must inside a word") {
  CHECK(wrap("one two three", 7) == std::vector<std::string>{"one two", "three"});
  CHECK(wrap("abcdefghij", 4) == std::vector<std::string>{"abcd", "efgh", "ij"});
  CHECK(wrap("漏斗漏斗", 4) == std::vector<std::string>{"漏斗", "漏斗"});
  CHECK(wrap("", 4) == std::vector<std::string>{""});
  for (const std::string& line : wrap("a conveyor-with-a-very-long-name stands here", 10)) {
    CHECK(display_width(line) <= 10);
  }
}

TEST_CASE("what is cut ends in an ellipsis") {
  CHECK(shorten("terminal box", 8) == "termina…");
  CHECK(shorten("box", 8) == "box");
  CHECK(display_width(shorten("漏斗漏斗漏斗", 5)) <= 5);
  CHECK(shorten("漏斗", 2) == "…");
}

TEST_CASE("what people see as one character is not cut apart") {
  CHECK(shorten("👩\u200D🔧👩\u200D🔧", 6) == "👩\u200D🔧…");
  CHECK(wrap("e\u0301e\u0301e\u0301", 2) == std::vector<std::string>{"e\u0301e\u0301", "e\u0301"});
  CHECK(wrap("👩\u200D🔧👩\u200D🔧", 3) == std::vector<std::string>{"👩\u200D🔧", "👩\u200D🔧"});
}

TEST_CASE("the five characters that mean something in markup are escaped") {
  CHECK(escape("<a href=\"x\" b='y'>&") == "&lt;a href=&quot;x&quot; b=&#39;y&#39;&gt;&amp;");
}

}  // namespace ohmglow::report
