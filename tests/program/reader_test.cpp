// Reports for another reader. What machines read must not change by a byte: cmp(1) compares. What
// people read is looked at through pdftotext(1) of poppler and Python's openpyxl and HTML parser.

#include "run_program.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <regex>
#include <set>
#include <sstream>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

const std::string kFormats = " --format json,csv,html,pdf,xlsx,workorders --as-of 2026-03-05";

struct TwoReaders {
  fs::path root;
  explicit TwoReaders(const std::string& name, const std::string& options) {
    root = fresh_folder("reader-" + name);
    REQUIRE(run("demo survey", root).exit_code == 0);
    REQUIRE(run("assess survey -o plain" + kFormats, root).exit_code == 1);
    const Outcome other = run("assess survey -o other" + kFormats + " " + options, root);
    INFO(other.err);
    REQUIRE(other.exit_code == 1);
  }
  bool same(const std::string& file) const {
    return shell("cmp plain/" + file + " other/" + file, root).exit_code == 0;
  }
};

/// The texts of a page, tags and drawings' numbers left out.
std::string page_text(const fs::path& file) {
  const Outcome text = shell(std::string(OHMGLOW_PYTHON) + R"( -c "
import html.parser, sys
class Texts(html.parser.HTMLParser):
    quiet = False
    def handle_starttag(self, tag, attrs):
        self.quiet = tag in ('style', 'code')
        print(*(value for name, value in attrs if name in ('aria-label', 'data-label', 'alt')), sep='\n')
    def handle_endtag(self, tag):
        self.quiet = False
    def handle_data(self, data):
        if not self.quiet and data.strip(): print(' '.join(data.split()))
Texts().feed(open(sys.argv[1]).read())
" ')" + file.string() + "'");
  REQUIRE(text.exit_code == 0);
  return text.out;
}

}  // namespace

TEST_CASE("another language, unit and decimal mark change no byte that machines read") {
  const TwoReaders both("machines", "--language de --units f");
  CHECK(both.same("findings.json"));
  CHECK(both.same("ranked.csv"));
  for (const char* file : {"report.html", "report.pdf", "report.xlsx", "workorders.json"}) {
    CHECK_FALSE(both.same(file));
  }
  const json plain = json_of(both.root / "plain" / "workorders.json")["orders"];
  const json other = json_of(both.root / "other" / "workorders.json")["orders"];
  REQUIRE(plain.size() == other.size());
  for (std::size_t i = 0; i < plain.size(); ++i) {
    for (const char* key :
         {"id", "priority", "due", "temperature_c", "rise_over_like_k", "ranks"}) {
      CHECK(plain[i][key] == other[i][key]);
    }
    CHECK(plain[i]["action"] != other[i]["action"]);
  }
  SECTION("and a recheck makes the same reports again") {
    const Outcome checked = run("recheck other", both.root);
    INFO(checked.out);
    CHECK(checked.exit_code == 0);
  }
  SECTION("and shards of such a run are joined to its bytes") {
    for (const char* k : {"1", "2"}) {
      REQUIRE(run(std::string("assess survey -o part-") + k + " --shard " + k + "/2" + kFormats +
                      " --language de --units f",
                  both.root)
                  .exit_code <= 1);
    }
    REQUIRE(run("merge part-1 part-2 -o merged", both.root).exit_code == 1);
    CHECK(shell("diff -r other merged", both.root).exit_code == 0);
  }
}

TEST_CASE("a German report holds no English message") {
  const TwoReaders both("german", "--language de");
  const std::string plain = page_text(both.root / "plain" / "report.html");
  const std::string german = page_text(both.root / "other" / "report.html");
  CHECK_THAT(german, Catch::Contains("Bevor jemand ein Gehäuse öffnet") &&
                         Catch::Contains("Übertemperatur gegen Vergleich"));
  // A line that stands in both is a name, a number, a problem, or a word that both languages share.
  std::istringstream lines(plain);
  std::set<std::string> english;
  for (std::string line; std::getline(lines, line);) english.insert(line);
  static const std::regex kSentence(
      R"((^|[ (])(the|is|are|was|with|from|over|rise|lug|and|no)[ ,.:)])");
  const json problems = json_of(both.root / "plain" / "findings.json")["problems"];
  std::string own_words;
  for (const char* file :
       {"motors.csv", "images.csv", "readings.csv", "circuit.csv", "survey.json"}) {
    own_words += text_of(both.root / "survey" / file);
  }
  std::istringstream german_lines(german);
  for (std::string line; std::getline(german_lines, line);) {
    if (!english.contains(line) || !std::regex_search(line, kSentence)) continue;
    const bool is_problem = std::any_of(problems.begin(), problems.end(), [&](const json& problem) {
      const auto message = problem["message"].get<std::string>();
      return line.find(message.substr(0, 30)) != std::string::npos;
    });
    INFO(line);
    // What a person wrote into the survey stays in that person's language.
    CHECK((is_problem || own_words.find(line) != std::string::npos));
  }
}

TEST_CASE("the PDF and the spreadsheet are in the reader's words and unit") {
  const TwoReaders both("documents", "--language de --units f");
  const Outcome pdf = shell("pdftotext -layout other/report.pdf -", both.root);
  REQUIRE(pdf.exit_code == 0);
  CHECK_THAT(pdf.out, Catch::Contains("Rangliste") && Catch::Contains("163,1 ± 1,8 °F") &&
                          !Catch::Contains("Ranked list"));
  // What an image file declares, and what a source says of 20 °C, stay as they are.
  CHECK_FALSE(std::regex_search(pdf.out, std::regex("[0-9],[0-9]+ °C")));
  // The same cell in both: t/°F = 1.8 t/°C + 32, 1 K = 1.8 °F (NIST SP 811, from memory).
  const Outcome cells = shell(std::string(OHMGLOW_PYTHON) + R"( -c "
import openpyxl
plain, other = (openpyxl.load_workbook(f'{name}/report.xlsx') for name in ('plain', 'other'))
assert other.sheetnames == ['Angaben', 'Rangliste', 'Nicht beurteilt', 'Warm und gleichmäßig', 'Klemmen', 'Messungen', 'Probleme', 'Parameter', 'Motoren', 'Stellen'], other.sheetnames
a, b = plain['Lugs'], other['Klemmen']
heads = {cell.value: cell.column for cell in a[1]}
assert b.cell(1, heads['Temperature, °C']).value == 'Temperatur, °F'
assert b.cell(1, heads['Rise over like, K']).value == 'Übertemperatur gegen Vergleich, °F'
count = 0
for row in range(2, a.max_row + 1):
    for head, convert in (('Temperature, °C', lambda t: 1.8 * t + 32), ('Rise over like, K', lambda d: 1.8 * d)):
        x, y = a.cell(row, heads[head]).value, b.cell(row, heads[head]).value
        if x is None: assert y is None; continue
        assert abs(convert(x) - y) < 1e-9 * max(1, abs(y)), (head, x, y)
        count += 1
print(count)
")",
                              both.root);
  INFO(cells.err);
  REQUIRE(cells.exit_code == 0);
  CHECK(std::stoi(cells.out) > 50);
}

TEST_CASE("lists on the terminal follow the reader, JSON beside them does not") {
  const fs::path root = fresh_folder("reader-lists");
  REQUIRE(run("demo survey", root).exit_code == 0);
  REQUIRE(run("demo --after after", root).exit_code == 0);
  CHECK_THAT(run("assess survey --units f", root).out,
             Catch::Contains("over air, °F") && Catch::Contains("79.8 ±2.0"));
  CHECK_THAT(run("assess survey --language de", root).out, Catch::Contains("dringend") &&
                                                               Catch::Contains("Befunde (") &&
                                                               Catch::Contains("Bilder:"));
  CHECK_THAT(run("readings survey --language de", root).out,
             Catch::Contains("Wicklungswiderstand"));
  CHECK(run("readings survey --language de --json", root).out ==
        run("readings survey --json", root).out);
  CHECK_THAT(run("verify survey after --language de", root).out,
             Catch::Contains("instand gesetzt"));
  CHECK(run("verify survey after --language de --json", root).out ==
        run("verify survey after --json", root).out);
  CHECK_THAT(run("assess survey --language de", root).out, Catch::Contains(" ±0,"));
  CHECK_THAT(run("assess survey --language de --decimal point", root).out, Catch::Contains(" ±0."));
  const Outcome refused = run("assess survey --language tlh", root);
  CHECK(refused.exit_code == 2);
  CHECK_THAT(refused.err, Catch::Contains("--language"));
}
