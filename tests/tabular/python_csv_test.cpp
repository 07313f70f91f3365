#include "offered/tabular/tabular.h"

#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

using namespace ohmglow;

namespace {

const std::filesystem::path kFolder = OHMGLOW_TEST_OUTPUT;

std::string text_of(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

int run_python(const std::string& program) {
  std::filesystem::create_directories(kFolder);
  std::ofstream(kFolder / "step.py") << program;
  return std::system(
      (OHMGLOW_PYTHON " '" + (kFolder / "step.py").string() + "' '" + kFolder.string() + "'")
          .c_str());
}

}  // namespace

TEST_CASE("tables written by an independent writer are cut into the same cells") {
  // Source: the csv module of Python's standard library; cells separated by U+001F and U+001E in
  // the file of expected values.
  REQUIRE(run_python(R"(
import csv, random, sys
r = random.Random(7)
parts = ['a', 'motor', '"', '""', '\n', '\r\n', ',', ';', '\t', ' ', '1.5', 'é', '°C', '😀', "'"]
for name, delimiter in (('comma', ','), ('semicolon', ';'), ('tab', '\t')):
    rows = [['file', 'motor', 'note', 'value']]
    for i in range(300):
        rows.append([f'f{i}'] + [''.join(r.choice(parts) for _ in range(r.randrange(6))) for _ in range(3)])
    with open(f'{sys.argv[1]}/{name}.csv', 'w', newline='', encoding='utf-8') as f:
        csv.writer(f, delimiter=delimiter, quoting=csv.QUOTE_ALL).writerows(rows)
    with open(f'{sys.argv[1]}/{name}.expected', 'w', newline='', encoding='utf-8') as f:
        f.write(''.join(''.join(c + '\x1f' for c in row) + '\x1e' for row in rows))
)") == 0);
  for (const std::string name : {"comma", "semicolon", "tab"}) {
    CAPTURE(name);
    const auto table = tabular::parse_table(text_of(kFolder / (name + ".csv")));
    REQUIRE(table);
    std::string got;
    for (const auto& row : table->rows) {
      for (const std::string& cell : row.cells) got += cell + '\x1f';
      got += '\x1e';
    }
    CHECK(got == text_of(kFolder / (name + ".expected")));
  }
}

TEST_CASE("an independent reader gets the cells that were written") {
  // Source: the csv module of Python's standard library, strict mode.
  std::filesystem::create_directories(kFolder);
  std::ofstream(kFolder / "ours.csv", std::ios::binary) << tabular::write_table(
      {{"a,b", "c\"d", "e\nf", " g ", ""}, {"\"", "1.5", "'x", ";", "\t;"}});
  CHECK(run_python(R"(
import csv, sys
with open(sys.argv[1] + '/ours.csv', newline='', encoding='utf-8') as f:
    rows = list(csv.reader(f, strict=True))
sys.exit(rows != [['a,b', 'c"d', 'e\nf', ' g ', ''], ['"', '1.5', "'x", ';', "'\t;"]])
)") == 0);
}
