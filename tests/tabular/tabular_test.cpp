#include "offered/tabular/tabular.h"

#include <catch2/catch.hpp>

using namespace ohmglow;
using namespace ohmglow::tabular;

namespace {

std::vector<std::string> cells(const Result<Table>& table, std::size_t row) {
  REQUIRE(table);
  return table->rows.at(row).cells;
}

using Cells = std::vector<std::string>;

}  // namespace

TEST_CASE("numbers are read whole, with the decimal mark of their table") {
  // Source: the definition in the header; the values are decimal literals of the same text.
  CHECK(parse_number("21.5") == 21.5);
  CHECK(parse_number("  -3 ") == -3.0);
  CHECK(parse_number("+4.25") == 4.25);
  CHECK(parse_number(".5") == 0.5);
  CHECK(parse_number("1e3") == 1000.0);
  CHECK(parse_number("1E-2") == 0.01);
  CHECK(parse_number("21,5", ',') == 21.5);
  CHECK(parse_number("\t0,25\t", ',') == 0.25);
  CHECK(parse_number("7", ',') == 7.0);
}

TEST_CASE("what only begins like a number is not a number") {
  // Source: the definition in the header (no words, no hex, no thousands, no rest behind).
  for (const char* text :
       {"",     " ",        "-",    "+",     ".",     "abc",  "nan",     "NaN", "inf",
        "-inf", "infinity", "0x1F", "1 2",   "1.2.3", "12 A", "1,234.5", "1e",  "1e999",
        "--1",  "+-1",      "-+1",  "1_000", "$5",    "5%",   "1'000"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_number(text));
  }
  CHECK_FALSE(parse_number("21,5"));
  CHECK_FALSE(parse_number("21.5", ','));
  CHECK_FALSE(parse_number("1.234,5", ','));
}

TEST_CASE("the delimiter is the one that cuts the lines alike") {
  // Source: written for this test; the three delimiters that spreadsheets export.
  CHECK(sniff("motor,test,unit\nM1,line_current,a\n") == Dialect{',', '.'});
  CHECK(sniff("motor;test;unit\nM1;line_current;a\n") == Dialect{';', '.'});
  CHECK(sniff("motor\ttest\tunit\nM1\tline_current\ta\n") == Dialect{'\t', '.'});
  CHECK(sniff("motor;value_1;value_2\nM1;1,5;2,5\nM2;1,25;2\n") == Dialect{';', ','});
  CHECK(sniff("motor\tvalue_1\nM1\t1,5\n") == Dialect{'\t', ','});
  CHECK(sniff("motor,note\nM1,\"warm; see photo; check\"\nM2,\"a;b\"\n") == Dialect{',', '.'});
  CHECK(sniff("motor;note\nM1;\"left, right\"\nM2;\"up, down\"\n") == Dialect{';', '.'});
  CHECK(sniff("\xEF\xBB\xBFmotor;note\nM1;x\n") == Dialect{';', '.'});
  CHECK(sniff("file\na.tif\nb.tif\n") == Dialect{',', '.'});
  CHECK(sniff("") == Dialect{});
}

TEST_CASE("a numeric matrix tells its dialect also behind a header line") {
  // Source: the shapes of two published matrices: a comma matrix that begins with width,height and
  // a semicolon matrix with decimal commas and CRLF.
  CHECK(sniff("382,288\n28.8,28.8,28.9\n28.1,28.0,27.9\n") == Dialect{',', '.'});
  CHECK(sniff("30,75;31,27;33,30\r\n31,50;32,10;33,00\r\n") == Dialect{';', ','});
  CHECK(sniff("30,75\t31,27\n31,50\t32,10\n") == Dialect{'\t', ','});
  CHECK(sniff("21;22;23\n21;22,5;23\n") == Dialect{';', ','});
  CHECK(sniff("1;2\n3;4\n") == Dialect{';', '.'});
}

TEST_CASE("a stray decimal comma in a remark does not turn the table's points") {
  // Source: written for this test: the phases "1,2" in a note are not a decimal.
  CHECK(sniff("motor;value;note\nM1;1.5;\"1,2\"\nM2;2.5;x\nM3;3.5;y\n").decimal_mark == '.');
}

TEST_CASE("the decimal mark is found also far behind the first lines") {
  // Source: written for this test.
  std::string text = "motor;value\n";
  for (int i = 0; i < 20'000; ++i) text.append("M").append(std::to_string(i)).append(";7\n");
  text += "M;7,5\n";
  CHECK(sniff(text) == Dialect{';', ','});
}

TEST_CASE("the examples of RFC 4180 are cut as it says") {
  // Source: RFC 4180, section 2, rules 1 to 7.
  CHECK(cells(parse_table("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n"), 1) == Cells{"zzz", "yyy", "xxx"});
  CHECK(cells(parse_table("aaa,bbb,ccc\r\nzzz,yyy,xxx"), 1) == Cells{"zzz", "yyy", "xxx"});
  CHECK(cells(parse_table("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx"), 0) ==
        Cells{"aaa", "bbb", "ccc"});
  CHECK(cells(parse_table("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx"), 0) ==
        Cells{"aaa", "b\r\nbb", "ccc"});
  CHECK(cells(parse_table("\"aaa\",\"b\"\"bb\",\"ccc\""), 0) == Cells{"aaa", "b\"bb", "ccc"});
}

TEST_CASE("rows know the line on which they start") {
  // Source: counted by hand.
  const auto table = parse_table("a,b\n1,\"two\nlines\"\n\n  \n3,4\r\n,\n\"x\r\ny\r\nz\",6\n7,8");
  REQUIRE(table);
  std::vector<long> lines;
  for (const Row& row : table->rows) lines.push_back(row.line);
  CHECK(lines == std::vector<long>{1, 2, 6, 8, 11});
  CHECK(table->rows[1].cells == Cells{"1", "two\nlines"});
  CHECK(table->rows[4].cells == Cells{"7", "8"});

  const auto with_cr = parse_table("a,b\r1,2\r\r3,4\r");
  REQUIRE(with_cr);
  CHECK(with_cr->rows.back().line == 4);
}

TEST_CASE("empty cells keep their places") {
  // Source: RFC 4180, section 2, rule 4: each line holds the same number of fields.
  CHECK(cells(parse_table("a\tb\tc\n\t2\t\n"), 1) == Cells{"", "2", ""});
  CHECK(cells(parse_table("a,b,c\n,,3\n"), 1) == Cells{"", "", "3"});
  CHECK(cells(parse_table("a;b;c\n1; ;  3 \n"), 1) == Cells{"1", "", "3"});
}

TEST_CASE("a byte order mark is no part of the first name") {
  // Source: Unicode 15.0, section 23.8.
  CHECK(cells(parse_table("\xEF\xBB\xBFmotor,note\nM1,x\n"), 0) == Cells{"motor", "note"});
}

TEST_CASE("a table that cannot be read says where and how to mend it") {
  // Source: the errors that the header promises.
  const auto kind = [](std::string_view text) {
    const auto table = parse_table(text);
    REQUIRE_FALSE(table);
    return table.error().kind;
  };
  CHECK(kind("") == ErrorKind::empty);
  CHECK(kind("\n\r\n  \n") == ErrorKind::empty);
  CHECK(kind("\xEF\xBB\xBF") == ErrorKind::empty);
  CHECK(kind(std::string_view("a,b\n1,\0\n", 8)) == ErrorKind::not_this_format);
  CHECK(kind("a,b\n1,21 \xB0"
             "C\n") == ErrorKind::not_this_format);
  CHECK(kind("a,b\n1,\xC0\xAF\n") == ErrorKind::not_this_format);          // overlong
  CHECK(kind("a,b\n1,\xED\xA0\x80\n") == ErrorKind::not_this_format);      // a surrogate
  CHECK(kind("a,b\n1,\xF4\x90\x80\x80\n") == ErrorKind::not_this_format);  // over U+10FFFF
  CHECK(kind("a,b\n1,\xE2\x82") == ErrorKind::not_this_format);            // cut short
  CHECK(kind("a,b\n1,2\n3,\"four\n5,6\n") == ErrorKind::damaged);
  CHECK(kind("a,b\n3,fo\"ur\n") == ErrorKind::damaged);
  CHECK(kind("a,b\n3,\"fo\"ur\n") == ErrorKind::damaged);

  const auto open = parse_table("a,b\n1,2\n3,\"four\n5,6\n");
  CHECK(open.error().place.row == 3);
  const auto encoded = parse_table(
      "a,b\n1,2\n1,21 \xB0"
      "C\n");
  CHECK(encoded.error().place.row == 3);
  CHECK(encoded.error().place.byte_offset == 13u);
}

TEST_CASE("well-formed UTF-8 of every length is kept") {
  // Source: Unicode 15.0, table 3-7, the first and last scalar of each row.
  const std::string text =
      "\xC2\x80\xDF\xBF\xE0\xA0\x80\xED\x9F\xBF\xEE\x80\x80\xEF\xBF\xBD\xF0\x90\x80\x80\xF4\x8F\xBF"
      "\xBF";
  CHECK(cells(parse_table("a,b\n" + text + ",1\n"), 1) == Cells{text, "1"});
}

TEST_CASE("cells that a spreadsheet would run are written as text") {
  // Source: OWASP, "CSV Injection": = + - @, tab and carriage return start a formula (from memory).
  CHECK(write_table({{"=1+1", "+cmd", "-cmd", "@sum", "\tx", "\rx"}}) ==
        "'=1+1,'+cmd,'-cmd,'@sum,'\tx,\"'\rx\"\n");
  CHECK(write_table({{"-1.5", "+2", "1e3", "- 1", "=5"}}) == "-1.5,+2,1e3,'- 1,'=5\n");
  CHECK(write_table({{"a,b", "c\"d", "e\nf", " g", ""}, {"x"}}) ==
        "\"a,b\",\"c\"\"d\",\"e\nf\",\" g\",\nx\n");
}

TEST_CASE("a written cell neither commands a terminal nor turns the direction of its text") {
  CHECK(write_table({{"a\x1b[2Jb", "\u202e=1", "c\u2066d\u2069", "e\u0085f", "g\th"}}) ==
        "a [2Jb,\" =1\",\"c d \",e f,g\th\n");
}

TEST_CASE("what was written is read back the same") {
  // Source: the inverse.
  const std::vector<std::vector<std::string>> rows = {
      {"plain", "with \"quotes\"", "comma, here", "two\nlines"},
      {"", " padded ", "\"", "ends with\r\n"},
      {"\xC3\xA9\xC3\xA8", "1.5", "-2", "\"\"\"\""}};
  const auto table = parse_table(write_table(rows));
  REQUIRE(table);
  REQUIRE(table->rows.size() == rows.size());
  for (std::size_t i = 0; i < rows.size(); ++i) CHECK(table->rows[i].cells == rows[i]);
}

namespace {

/// The rows that are sound, and the lines and cells of those that are not.
struct Sorted {
  std::vector<Cells> rows;
  std::vector<std::pair<long, std::string>> damaged;
};

Sorted sorted(std::string_view text) {
  Sorted sorted;
  const auto dialect = each_row(
      text, [&](Row row, std::string_view) { sorted.rows.push_back(std::move(row.cells)); },
      [&](const Error& error) {
        sorted.damaged.emplace_back(error.place.row.value_or(0), error.place.column);
        return true;
      });
  REQUIRE(dialect);
  // An editor must find the same rows.
  CHECK(places(text, dialect->delimiter).size() == sorted.rows.size());
  return sorted;
}

}  // namespace

TEST_CASE("a damaged row is left out, and those before and behind it are not") {
  // Source: written for this test; RFC 4180 on quotes.
  const auto never_closed = sorted("a,b\n1,2\n3,\"four\n5,6\n7,\"eight, more\"\n9,10\n");
  CHECK(never_closed.rows ==
        std::vector<Cells>{{"a", "b"}, {"1", "2"}, {"5", "6"}, {"7", "eight, more"}, {"9", "10"}});
  CHECK(never_closed.damaged == std::vector<std::pair<long, std::string>>{{3, "2"}});

  const auto last = sorted("a,b\n1,2\n\"3,4");
  CHECK(last.rows == std::vector<Cells>{{"a", "b"}, {"1", "2"}});
  CHECK(last.damaged == std::vector<std::pair<long, std::string>>{{3, "1"}});

  const auto inside = sorted("a,b\r\n1,5\" pipe\r\n\r\n3,\"x\ny\"\r\n\"5,6\r\n7,8\r\n");
  CHECK(inside.rows == std::vector<Cells>{{"a", "b"}, {"3", "x\ny"}, {"7", "8"}});
  CHECK(inside.damaged == std::vector<std::pair<long, std::string>>{{2, "2"}, {6, "1"}});

  const auto nul = sorted(std::string_view("a,b\n1,2\n3,\0004\n5,6\n", 17));
  CHECK(nul.rows == std::vector<Cells>{{"a", "b"}, {"1", "2"}, {"5", "6"}});
  CHECK(nul.damaged == std::vector<std::pair<long, std::string>>{{3, "2"}});
}

TEST_CASE("a first row that is damaged, and a text of NUL bytes, leave no table") {
  const auto kept = [](const Error&) { return true; };
  const auto ignored = [](const Row&, std::string_view) {};
  CHECK(each_row("a,\"b\n1,2\n", ignored, kept).error().kind == ErrorKind::damaged);
  CHECK(each_row(std::string_view("a\0,b\n1,2\n", 9), ignored, kept).error().kind ==
        ErrorKind::not_this_format);
  CHECK(parse_table("a,b\n1,\"2\n3,4\n").error().kind == ErrorKind::damaged);
}

TEST_CASE("a table of damaged rows takes no time that grows with its square") {
  std::string text = "a,b\n";
  constexpr int kRows = 200'000;
  for (int i = 0; i < kRows; ++i) text += "1,\"2\n";
  std::size_t damaged = 0;
  REQUIRE(each_row(
      text, [](const Row&, std::string_view) {},
      [&damaged](const Error&) {
        ++damaged;
        return true;
      }));
  CHECK(damaged == kRows);
}
