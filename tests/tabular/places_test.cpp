#include "offered/tabular/tabular.h"

#include <catch2/catch.hpp>
#include <random>

using namespace ohmglow;

namespace {

/// What a written cell says by RFC 4180, told without the table reader: blanks around it and its
/// outer quotes cut off, doubled quotes made one.
std::string value_of(std::string cell, char delimiter) {
  const auto is_blank = [delimiter](char c) { return (c == ' ' || c == '\t') && c != delimiter; };
  while (!cell.empty() && is_blank(cell.front())) cell.erase(0, 1);
  while (!cell.empty() && is_blank(cell.back())) cell.pop_back();
  if (cell.size() < 2 || cell.front() != '"') return cell;
  std::string value;
  for (std::size_t i = 1; i + 1 < cell.size(); ++i) {
    value += cell[i];
    if (cell[i] == '"') ++i;
  }
  return value;
}

void check_places(const std::string& text) {
  CAPTURE(text);
  const auto table = tabular::parse_table(text);
  if (!table) return;
  const auto rows = tabular::places(text, table->dialect.delimiter);
  REQUIRE(rows.size() == table->rows.size());
  std::size_t behind = 0;
  for (std::size_t r = 0; r < rows.size(); ++r) {
    REQUIRE(rows[r].begin >= behind);
    REQUIRE(rows[r].cells.size() == table->rows[r].cells.size());
    for (std::size_t c = 0; c < rows[r].cells.size(); ++c) {
      const auto [begin, end] = rows[r].cells[c];
      CHECK(value_of(text.substr(begin, end - begin), table->dialect.delimiter) ==
            table->rows[r].cells[c]);
    }
    behind = rows[r].end;
  }
}

void check_rows(const std::string& text) {
  CAPTURE(text);
  const auto table = tabular::parse_table(text);
  std::vector<std::pair<tabular::Row, std::string_view>> taken;
  const auto dialect = tabular::each_row(text, [&taken](tabular::Row row, std::string_view bytes) {
    taken.emplace_back(std::move(row), bytes);
  });
  REQUIRE(dialect.has_value() == table.has_value());
  if (!table) return;
  REQUIRE(taken.size() == table->rows.size());
  for (std::size_t r = 0; r < taken.size(); ++r) {
    CHECK(taken[r].first.cells == table->rows[r].cells);
    CHECK(tabular::cells_of(taken[r].second, dialect->delimiter) == table->rows[r].cells);
  }
}

}  // namespace

TEST_CASE("the places of cells are those of the cells that the reader finds") {
  check_places(
      "\xEF\xBB\xBF"
      "a,b\r\n1,\"x\r\ny\"\r\n\r\n,,\r\n 2 , \"q\"\"\" \r\n");
  check_places("a;b\n1;2");
  check_places("a\tb\n\t\n \t \nx\t\" y\"\n");
  check_places("a,b\r1,2\r\r3,4\r");
}

TEST_CASE("a row cut out of a text has the cells that it has there") {
  check_rows(
      "\xEF\xBB\xBF"
      "a,b\r\n1,\"x\r\ny\"\r\n\r\n,,\r\n 2 , \"q\"\"\" \r\n");
  check_rows("a;b\n1;2");
  check_rows("a\tb\n\t\n \t \nx\t\" y\"\n");
  check_rows("a,b\r1,2\r\r3,4\r");
}

TEST_CASE("places and reader agree on made-up texts, whatever they hold") {
  const std::vector<std::string> parts{"a", "1.5", "\"", "\"\"", "\n",    "\r\n", "\r",
                                       ",", ";",   "\t", " ",    "\"b\"", "é",    "\"\n\""};
  std::mt19937 random(11);
  int read = 0;
  for (int i = 0; i < 20'000; ++i) {
    std::string text = i % 3 == 0 ? "h,i,j\n" : i % 3 == 1 ? "h;i;j\r\n" : "h\ti\n";
    for (auto n = random() % 14; n > 0; --n) text += parts[random() % parts.size()];
    if (tabular::parse_table(text)) ++read;
    check_places(text);
    check_rows(text);
  }
  CHECK(read > 5'000);  // the others are refused by the reader
}

TEST_CASE("a cell is quoted where it would be cut or trimmed without quotes, and nowhere else") {
  CHECK(tabular::cell_text("0,95", ';') == "0,95");
  CHECK(tabular::cell_text("0,95", ',') == "\"0,95\"");
  CHECK(tabular::cell_text("a;b", ';') == "\"a;b\"");
  CHECK(tabular::cell_text("a;b", '\t') == "a;b");
  CHECK(tabular::cell_text("say \"no\"", ',') == "\"say \"\"no\"\"\"");
  CHECK(tabular::cell_text(" x", ',') == "\" x\"");
  CHECK(tabular::cell_text("x\ny", ',') == "\"x\ny\"");
  CHECK(tabular::cell_text("", ',').empty());
}
