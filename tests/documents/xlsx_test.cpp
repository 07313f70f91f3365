// Sources: openpyxl reads the file, findings.json says what must be in it (check_xlsx.py).
#include "../findings_text.h"
#include "../report/fixture.h"
#include "document_checks.h"

#include <catch2/catch.hpp>
#include <chrono>
#include <thread>

namespace ohmglow::documents {
namespace {

std::string xlsx_of(const diagnosis::Assessment& a) {
  const auto xlsx = report_xlsx(a, report_test::synthetic_images());
  REQUIRE(xlsx.has_value());
  return *xlsx;
}

std::string wrong_with(const std::string& name, const diagnosis::Assessment& a) {
  return documents_test::script(
      "check_xlsx.py",
      {report_test::write_output(name + ".xlsx", xlsx_of(a)),
       report_test::write_output(name + ".json", ohmglow::by_hand::findings_text(a))});
}

}  // namespace

TEST_CASE("every number of the spreadsheet is that of findings.json, and is a number") {
  CHECK(wrong_with("bexley", report_test::bexley_creek()) == "");
  CHECK(wrong_with("beside", report_test::beside_the_list()) == "");
  CHECK(wrong_with("many", report_test::many_findings(120)) == "");
}

TEST_CASE("a survey without anything makes a spreadsheet with heads alone") {
  CHECK(wrong_with("nothing", diagnosis::Assessment{}) == "");
}

TEST_CASE("texts that look like formulas stay texts") {
  // CWE-1236: =, +, -, @, tab and carriage return begin a formula where a program is careless.
  auto a = report_test::bexley_creek();
  a.findings[0].motor = "=1+1";
  a.findings[1].motor = "+1";
  a.findings[2].component = "-2+3";
  a.findings[3].action = layout("@SUM(A1)");
  a.findings[4].next_step = layout("{=1+1}");
  a.images.back().file = "=HYPERLINK(\"x\")";
  CHECK(wrong_with("formulas", a) == "");
}

TEST_CASE("the same assessment gives the same spreadsheet") {
  const auto a = report_test::bexley_creek();
  const std::string first = xlsx_of(a);
  // ZIP's own clock has steps of two seconds (PKWARE APPNOTE, 4.4.6).
  std::this_thread::sleep_for(std::chrono::milliseconds(2100));
  CHECK(first == xlsx_of(a));
}

TEST_CASE("a text longer than a cell may be is cut") {
  auto a = report_test::bexley_creek();
  a.problems[0].message = std::string(100000, 'x');
  const std::string path = report_test::write_output("long.xlsx", xlsx_of(a));
  CHECK(documents_test::shell(OHMGLOW_PYTHON
                              " -c \"import openpyxl; print(len(openpyxl.load_workbook('" +
                              path + "')['Problems']['D2'].value))\"") == "16000\n");
}

}  // namespace ohmglow::documents
