// Sources: poppler's pdfinfo, pdffonts, pdftotext and qpdf read the file
// (tests/documents/check_pdf.py); paper sizes by ISO 216 and ANSI/ASME Y14.1.
#include "../report/fixture.h"
#include "document_checks.h"

#include <catch2/catch.hpp>
#include <fmt/format.h>

namespace ohmglow::documents {
namespace {

using documents_test::pdf_of;
using documents_test::wrong_with_pdf;

std::string repeated(const std::string& text, int times) {
  std::string result;
  for (int i = 0; i < times; ++i) result += text;
  return result;
}

}  // namespace

TEST_CASE("the PDF holds every finding with its numbers, on either paper") {
  const auto a = report_test::bexley_creek();
  const std::vector<std::string> lines{
      "Bexley Creek grain terminal",
      "R. Ashdown & \"Co\" <night shift>",
      "CV-3 <script>alert('x')</script> — starter \"load\" side & Förderband",
      "BE-1 — terminal box — phase B, lug T2",
      "87.3 ± 1.1 °C",
      "46.10 ± 0.30 K",
      "38.2 A, 69 % of rated",
      "Recommended action: Stop and repair now.",
      "The lug is 46.1 K over the coolest like lug.",
      a.policy.source,
      a.policy.rule,
      "this is a picture of temperatures, not temperatures",
      "lug T5 not measured",
      "0.01 × stored + 0 K, by images.csv",
      "Inspected by, name and certificate",
      "readings taken here, but no image",
      "L1 31.4 °C, L2 31.2 °C, L3 31.6 °C"};
  CHECK(wrong_with_pdf("a4.pdf", a, Paper::a4, lines) == "");
  CHECK(wrong_with_pdf("letter.pdf", a, Paper::letter, lines) == "");
}

TEST_CASE("a brief PDF gives each case a page and leaves the evidence to findings.json") {
  const auto a = report_test::bexley_creek();
  const std::string pdf = pdf_of(a, Paper::a4, report::Detail::brief);
  CHECK(documents_test::wrong_with_pdf_bytes(
            "brief.pdf", pdf, a, Paper::a4,
            {"Stop now (2)", "At the next planned stop (2)", "Measure or image again (1)",
             "Open, clean and remake this connection.", "The numbers that decide", "46.10 ± 0.30 K",
             "A qualified electrician"}) == "");
  const std::string path = report_test::write_output("brief-pages.pdf", pdf);
  // The first page, the list, a page for each of five cases, and what stands beside them.
  CHECK(documents_test::shell("pdftotext '" + path + "' - | grep -c 'finding [1-5]$'") == "5\n");
  CHECK(documents_test::shell("pdftotext '" + path +
                              "' - | grep -c 'Where the uncertainties'; true") == "0\n");
}

TEST_CASE("the PDF says what must stop, what was not judged and what is warm and even") {
  CHECK(wrong_with_pdf("beside.pdf", report_test::beside_the_list(), Paper::a4,
                       {"Stop it and do not start it again: it runs on two phases.",
                        "at 12 % of rated a fault would not show", "22.5 A",
                        "the lugs are warm <alike>: 17.4 K over the air", "17.4 ± 1.2 K"}) == "");
}

TEST_CASE("the same assessment gives the same bytes, and no clock is asked") {
  const auto a = report_test::bexley_creek();
  const std::string first = pdf_of(a, Paper::a4);
  CHECK(first == pdf_of(a, Paper::a4));
  const std::string path = report_test::write_output("same.pdf", first);
  CHECK_THAT(documents_test::shell("TZ=UTC pdfinfo -isodates '" + path + "'"),
             Catch::Contains("2026-03-05T00:00:00"));
}

TEST_CASE("hostile texts neither break the PDF nor mean anything in it") {
  // Pango's markup, Unicode's bidirectional controls, XML's forbidden characters.
  auto a = report_test::bexley_creek();
  a.survey.site = "<b>bold</b> & &amp; <span size='900'>";
  a.survey.thermographer = "محمد العربي \u202Eevil";
  a.findings[0].motor = repeated("Unbreakable", 200);
  a.findings[0].action = layout("\x01\x02 bell \x07 and \xff broken bytes");
  a.findings[0].next_step = layout(repeated("A long step that goes on. ", 400));
  a.findings[1].motor = "😀 שלום";
  a.findings[2].lug = "dest='finding-1'";
  a.findings[2].component = "(paren\\ )>> endobj";
  CHECK(wrong_with_pdf("hostile.pdf", a, Paper::a4,
                       {"<b>bold</b> & &amp; <span size='900'>", "dest='finding-1'",
                        "(paren\\ )>> endobj", "bell   and", "A long step that goes on."}) == "");
}

TEST_CASE("a survey without findings, and an empty one, make a PDF that says so") {
  diagnosis::Assessment nothing;
  CHECK(wrong_with_pdf("nothing.pdf", nothing, Paper::a4,
                       {"No lug and no reading reaches a band.", "No image was measured."}) == "");
}

TEST_CASE("an image that cannot be opened again leaves words in its place") {
  const auto a = report_test::bexley_creek();
  const auto pdf = documents_test::pdf_with(
      a,
      [](const ImageEntry&) -> Result<imaging::ThermalImage> {
        return fail({ErrorKind::missing, "the file is gone", "", "", "", {}});
      },
      {}, Paper::a4);
  CHECK(documents_test::wrong_with_pdf_bytes("gone.pdf", pdf, a, Paper::a4,
                                             {"be-1_box.tiff: the file is gone"}) == "");
}

TEST_CASE("each image is stored once, however many findings show it") {
  // pdfimages lists every use with the number of its object.
  const auto a = report_test::bexley_creek();
  const std::string path = report_test::write_output("images.pdf", pdf_of(a, Paper::a4));
  CHECK(documents_test::shell("pdfimages -list '" + path +
                              "' | awk 'NR > 2 {print $11}' | sort -u | wc -l") == "3\n");
}

TEST_CASE("a table longer than a page repeats its head") {
  const auto a = report_test::many_findings(150);
  const std::string path = report_test::write_output("many.pdf", pdf_of(a, Paper::a4));
  // Pages that hold the ranks' links, and pages that hold the head.
  const auto pages_with = [&path](const std::string& pattern) {
    return documents_test::shell(
        "for page in 2 3 4 5 6 7 8; do pdftotext -raw -f $page -l $page '" + path +
        "' - | grep -q '" + pattern + "' && echo $page; done; true");
  };
  const std::string heads = pages_with("^No. Band Motor Component");
  CHECK(heads == pages_with("^[0-9]* Urgent M-[0-9]* terminal box phase"));
  CHECK(heads.size() > 4);
}

}  // namespace ohmglow::documents
