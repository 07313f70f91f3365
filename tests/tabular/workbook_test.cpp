// Workbooks, written by openpyxl as the independent writer, and by hand where none would write
// them.
#include "offered/tabular/workbook.h"

#include "../python.h"
#include "offered/tabular/tabular.h"

#include <catch2/catch.hpp>
#include <sstream>

using namespace ohmglow;
using namespace ohmglow::tabular;

namespace {

std::string bytes_of_workbook(const std::string& name) {
  std::ifstream in(output_path(name + ".xlsx"), std::ios::binary);
  REQUIRE(in.good());
  std::ostringstream bytes;
  bytes << in.rdbuf();
  return bytes.str();
}

/// What a script saves under `path`.
std::string workbook(const std::string& name, const std::string& script) {
  static_cast<void>(words_from_python("workbook-" + name,
                                      "path = '" + output_path(name + ".xlsx") + "'\n" + script));
  return bytes_of_workbook(name);
}

/// A workbook whose parts are written by hand.
std::string by_hand(const std::string& name, const std::string& sheet_data,
                    const std::string& more = "") {
  return workbook(name, R"(
import zipfile
main = 'http://schemas.openxmlformats.org/spreadsheetml/2006/main'
rel = 'http://schemas.openxmlformats.org/officeDocument/2006/relationships'
parts = {
  'xl/workbook.xml': f'<workbook xmlns="{main}" xmlns:r="{rel}"><sheets><sheet name="A" sheetId="1" r:id="r1"/></sheets></workbook>',
  'xl/_rels/workbook.xml.rels': '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="t" Target="worksheets/sheet1.xml"/></Relationships>',
  'xl/worksheets/sheet1.xml': f'<worksheet xmlns="{main}"><sheetData>' + ''')" +
                            sheet_data +
                            R"(''' + '</sheetData></worksheet>',
}
)" + more + R"(
with zipfile.ZipFile(path, 'w', zipfile.ZIP_DEFLATED) as archive:
    for part, text in parts.items():
        archive.writestr(part, text)
)");
}

std::vector<std::vector<std::string>> rows_of(const Result<SheetText>& sheet) {
  if (!sheet) FAIL(sentence(sheet.error()));
  const auto table = parse_table(sheet->text);
  REQUIRE(table);
  std::vector<std::vector<std::string>> rows;
  for (const Row& row : table->rows) rows.push_back(row.cells);
  return rows;
}

using Rows = std::vector<std::vector<std::string>>;

}  // namespace

TEST_CASE("the first sheet of a workbook is a table, its numbers as they are shown") {
  const std::string bytes = workbook("as-shown", R"(
import datetime, openpyxl
book = openpyxl.Workbook()
sheet = book.active
sheet.title = 'route'
sheet.append(['file', 'taken_at', 'air_c', 'emissivity', 'note', 'share', 'clock'])
sheet.append(['a.tif', datetime.datetime(2026, 3, 4, 9, 15, 30), 21.5, 0.95, 'über, "Ω"; 2\nlines', 0.25, datetime.time(9, 15)])
sheet.append([])
sheet.append(['b.tif', datetime.date(2026, 3, 5), -3, 1e-7, None, True, 12])
sheet['F2'].number_format = '0%'
sheet['G4'].number_format = '"hours "0'
book.create_sheet('other')
book.save(path)
)");
  const auto sheet = first_sheet(bytes);
  CHECK(rows_of(sheet) ==
        Rows{{"file", "taken_at", "air_c", "emissivity", "note", "share", "clock"},
             {"a.tif", "2026-03-04T09:15:30", "21.5", "0.95", "über, \"Ω\"; 2\nlines", "25%",
              "09:15:00"},
             {"b.tif", "2026-03-05", "-3", "1e-07", "", "TRUE", "12"}});
  CHECK(sheet->sheet == "route");
  CHECK(sheet->other_sheets == 1);
  // Rows stand where their numbers say.
  CHECK(parse_table(sheet->text)->rows.back().line == 5);  // a line break inside row 2
}

TEST_CASE("days of a workbook from 1904, and of the first months of 1900, are what they show") {
  const std::string bytes = workbook("from-1904", R"(
import datetime, openpyxl
from openpyxl.utils.datetime import CALENDAR_MAC_1904
book = openpyxl.Workbook()
book.epoch = CALENDAR_MAC_1904
book.active.append(['taken_at', datetime.datetime(2026, 3, 4)])
book.save(path)
)");
  CHECK(rows_of(first_sheet(bytes)) == Rows{{"taken_at", "2026-03-04"}});
  const std::string early = workbook("from-1900", R"(
import openpyxl
book = openpyxl.Workbook()
book.active.append([1, 59, 61])
for cell in book.active[1]:
    cell.number_format = 'yyyy-mm-dd'
book.save(path)
)");
  // Source: ECMA-376 part 1, 18.17.4.1: day 1 is 1900-01-01, and day 60 a day that never was.
  CHECK(rows_of(first_sheet(early)) == Rows{{"1900-01-01", "1900-02-28", "1900-03-01"}});
}

TEST_CASE("a hidden sheet is passed by") {
  const std::string bytes = workbook("hidden", R"(
import openpyxl
book = openpyxl.Workbook()
book.active.append(['hidden'])
book.active.sheet_state = 'hidden'
book.create_sheet('seen').append(['seen'])
book.active = 1
book.save(path)
)");
  CHECK(rows_of(first_sheet(bytes)) == Rows{{"seen"}});
}

TEST_CASE("cells without addresses, texts in place and reading aids are read") {
  const std::string bytes = by_hand(
      "in-place",
      R"(<row><c t="inlineStr"><is><r><t>mo</t></r><r><t>tor</t></r><rPh><t>aid</t></rPh></is></c><c t="str"><f>A1</f><v>x</v></c></row><row r="4"><c r="B4"><v>2.50</v></c></row>)");
  const auto sheet = first_sheet(bytes);
  CHECK(rows_of(sheet) == Rows{{"motor", "x"}, {"", "2.5"}});
  CHECK(parse_table(sheet->text)->rows.back().line == 4);
}

TEST_CASE("what is no workbook says so") {
  CHECK(first_sheet("motor\nM1\n").error().kind == ErrorKind::not_this_format);
  CHECK(first_sheet("PK\x03\x04 and nothing").error().kind == ErrorKind::not_this_format);
  const std::string zip = workbook("no-workbook", R"(
import zipfile
zipfile.ZipFile(path, 'w').writestr('a.txt', 'x')
)");
  CHECK(first_sheet(zip).error().kind == ErrorKind::not_this_format);
}

TEST_CASE("a workbook cut off or changed anywhere gives a table or an error") {
  const std::string bytes =
      by_hand("mutations", R"(<row r="1"><c r="A1" t="inlineStr"><is><t>motor</t></is></c></row>)");
  REQUIRE(first_sheet(bytes));
  std::size_t refused = 0;
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    std::string changed = bytes;
    changed[i] = static_cast<char>(changed[i] ^ 0x55);
    if (!first_sheet(changed)) ++refused;
    if (!first_sheet(bytes.substr(0, i))) ++refused;
  }
  CHECK(refused > bytes.size());
}

TEST_CASE("sheets that lie, loop or swell end in one error") {
  const auto kind = [](const std::string& bytes, const WorkbookLimits& limits = {}) {
    const auto sheet = first_sheet(bytes, limits);
    REQUIRE_FALSE(sheet);
    return sheet.error().kind;
  };
  CHECK(kind(by_hand("text-missing", R"(<row r="1"><c r="A1" t="s"><v>7</v></c></row>)")) ==
        ErrorKind::damaged);
  CHECK(kind(by_hand("rows-back", R"(<row r="5"/><row r="4"/>)")) == ErrorKind::damaged);
  CHECK(kind(by_hand("row-too-far", R"(<row r="99999999"/>)")) == ErrorKind::damaged);
  CHECK(kind(by_hand("column-too-far", R"(<row r="1"><c r="ZZZZ1"><v>1</v></c></row>)")) ==
        ErrorKind::damaged);
  CHECK(kind(by_hand("not-closed", R"(<row r="1">)")) == ErrorKind::damaged);
  const std::string bomb = by_hand(
      "entities", "",
      R"(parts['xl/worksheets/sheet1.xml'] = '<!DOCTYPE a [<!ENTITY b "bbbb"><!ENTITY c "&b;&b;">]><worksheet>&c;</worksheet>')");
  CHECK(kind(bomb) == ErrorKind::damaged);
  const std::string swollen = by_hand(
      "swollen", "",
      "parts['xl/worksheets/sheet1.xml'] = '<worksheet>' + ' ' * 40000000 + '</worksheet>'");
  REQUIRE(swollen.size() < 100'000);
  CHECK(kind(swollen, {.part_bytes = 1 << 20}) == ErrorKind::too_large);
  // One long text that many cells refer to.
  const std::string repeated =
      by_hand("repeated", "",
              R"(parts['xl/sharedStrings.xml'] = '<sst><si><t>' + 'x' * 100000 + '</t></si></sst>'
parts['xl/worksheets/sheet1.xml'] = '<worksheet><row>' + '<c t="s"><v>0</v></c>' * 10000 + '</row></worksheet>')");
  CHECK(kind(repeated, {.text_bytes = 1 << 20}) == ErrorKind::too_large);
}
