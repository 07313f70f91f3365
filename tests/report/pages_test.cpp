// A report in pages. Sources: counting; HTML as read by Python's html.parser, links followed from
// file to file (check_markup.py).
#include "fixture.h"
#include "offered/report/report.h"
#include "ohmglow/reader.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <map>

namespace ohmglow::report {
namespace {

namespace fs = std::filesystem;
using diagnosis::Assessment;
using Files = std::map<std::string, std::string>;

std::size_t occurrences_in(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++count;
  return count;
}

Result<imaging::ThermalImage> tiny_image(const ImageEntry&) {
  return imaging::ThermalImage(
      {cv::Mat(4, 4, CV_32F, cv::Scalar(30)), "tiff", "float32", 1, std::nullopt}, Declaration{});
}

/// What is written, in the order of writing in `names`.
Files written(const Assessment& a, std::vector<std::string>* names = nullptr) {
  Files files;
  Extras extras;
  extras.findings_sha256 = std::string(64, '7');
  const auto done = write_report_pages(
      report_test::pieces_of(a), tiny_image, extras,
      [&](const std::string& name, const auto& content) {
        REQUIRE_FALSE(files.contains(name));
        if (names != nullptr) names->push_back(name);
        return content([&file = files[name]](std::string_view text) -> Result<void> {
          file += text;
          return {};
        });
      });
  REQUIRE(done.has_value());
  return files;
}

/// What is wrong with the markup and the links of a report's files.
std::string wrong_in(const std::string& folder, const Files& files) {
  const fs::path root =
      fs::path(report_test::write_output(folder + ".txt", "")).replace_extension();
  fs::remove_all(root);
  fs::create_directories(root / kReportPages);
  for (const auto& [name, text] : files) std::ofstream(root / name) << text;
  return report_test::python("check_markup.py", {"pages", root.string()});
}

}  // namespace

TEST_CASE("each finding has its card on one page, and the report leads to every page") {
  const auto a = report_test::many_findings(250);
  std::vector<std::string> names;
  const Files files = written(a, &names);
  CHECK(names == std::vector<std::string>{
                     "report-pages/readings-0001.html", "report-pages/readings-0002.html",
                     "report-pages/findings-0001.html", "report-pages/findings-0002.html",
                     "report-pages/findings-0003.html", "report.html"});
  CHECK(wrong_in("pages", files) == "");
  const auto cards = [&files](int page) {
    return occurrences_in(files.at("report-pages/findings-000" + std::to_string(page) + ".html"),
                          "<article class=\"finding");
  };
  CHECK(cards(1) == 100);
  CHECK(cards(2) == 100);
  CHECK(cards(3) == 50);
  CHECK_THAT(files.at("report-pages/findings-0002.html"),
             Catch::Contains("id=\"finding-101\"") && Catch::Contains("id=\"finding-200\"") &&
                 Catch::Contains("<a href=\"#finding-101\"") && Catch::Contains("Page 2 of 3") &&
                 Catch::Contains("Findings 101 to 200 of 250") &&
                 Catch::Contains("rel=\"prev\" href=\"findings-0001.html\"") &&
                 Catch::Contains("rel=\"next\" href=\"findings-0003.html\"") &&
                 Catch::Contains("href=\"../report.html#findings\""));
  const std::string& report = files.at("report.html");
  CHECK(occurrences_in(report, "<article") == 0);
  CHECK(occurrences_in(report, "<image ") == 0);
  CHECK_THAT(report, Catch::Contains("<strong>250</strong> Urgent") &&
                         Catch::Contains("The most severe, 20 of 250.") &&
                         Catch::Contains("href=\"report-pages/findings-0001.html#finding-20\"") &&
                         Catch::Contains("201 to 250") && Catch::Contains("Urgent 50"));
}

TEST_CASE(
    "a page can be read alone: its pictures, the cautions, the rules and the hash are on it") {
  auto a = report_test::many_findings(150);
  // One image with findings on two pages is drawn on both.
  a.findings[100].image = a.findings[99].image;
  const Files files = written(a);
  CHECK(occurrences_in(files.at("report-pages/findings-0001.html"), "<image ") == 100);
  CHECK(occurrences_in(files.at("report-pages/findings-0002.html"), "<image ") == 50);
  for (const auto& [name, text] : files) {
    INFO(name);
    for (const Sentence& caution : diagnosis::cautions())
      CHECK_THAT(text, Catch::Contains(plainly(caution)));
    CHECK_THAT(text, Catch::Contains(a.policy.rule) && Catch::Contains(a.policy.source) &&
                         Catch::Contains(std::string(64, '7')) &&
                         Catch::Contains("default-src 'none'; style-src 'unsafe-inline'"));
  }
}

TEST_CASE("a list too long for the report has pages of its own, and loses no row") {
  const auto a = report_test::many_findings(450);
  const Files files = written(a);
  std::string rows;
  for (const char* page : {"1", "2", "3"}) {
    rows += files.at("report-pages/readings-000" + std::string(page) + ".html");
  }
  CHECK_FALSE(files.contains("report-pages/readings-0004.html"));
  for (const Motor& motor : a.survey.motors) {
    CHECK(occurrences_in(rows, "data-label=\"Motor\">" + motor.id + "<") == 1);
  }
  CHECK_THAT(files.at("report-pages/readings-0002.html"),
             Catch::Contains("Readings of the motors, page 2") &&
                 Catch::Contains("href=\"../report.html#readings\"") &&
                 Catch::Contains("href=\"readings-0003.html\""));
  CHECK_THAT(files.at("report.html"), Catch::Contains("450 lines on 3 pages"));
  CHECK(wrong_in("long-list", files) == "");
}

TEST_CASE("in pages a report counts and lists what it does in one file") {
  auto a = report_test::beside_the_list();
  a.motors.emplace_back().motor = "BE-9";  // named by an image alone
  const auto one = report_html(a, tiny_image);
  REQUIRE(one.has_value());
  const Files files = written(a);
  CHECK(wrong_in("small", files) == "");
  const auto part = [](const std::string& text, const std::string& from, const std::string& to) {
    const auto begin = text.find(from);
    REQUIRE(begin != std::string::npos);
    return text.substr(begin, text.find(to, begin) - begin);
  };
  const std::string& report = files.at("report.html");
  for (const auto& [from, to] :
       std::map<std::string, std::string>{{"<ul class=\"tallies\"", "</ul>"},
                                          {"<h2 id=\"scope\"", "</section>"},
                                          {"<h2 id=\"not-seen\"", "</section>"},
                                          {"<h2 id=\"not-judged\"", "</section>"},
                                          {"<h2 id=\"warm-even\"", "</section>"},
                                          {"<h2 id=\"others\"", "</section>"},
                                          {"<h2 id=\"not-measured\"", "</section>"},
                                          {"<h2 id=\"readings\"", "</section>"},
                                          {"<h2 id=\"parameters\"", "</section>"},
                                          {"<h2 id=\"problems\"", "</section>"}}) {
    CHECK(part(report, from, to) == part(*one, from, to));
  }
  for (const auto& [name, text] : files) {
    INFO(name);
    CHECK_THAT(text, !Catch::Contains("<script") && !Catch::Contains("<b>") &&
                         !Catch::Contains("<img src=x") && !Catch::Contains("<night"));
  }
}

TEST_CASE("a survey without findings has a report that says so, in pages too") {
  Assessment nothing;
  const Files files = written(nothing);
  CHECK(files.size() == 1);
  CHECK_THAT(files.at("report.html"), Catch::Contains("No lug and no reading reaches a band."));
}

TEST_CASE("pages speak the reader's language") {
  const auto german = reader_of("de");
  REQUIRE(german.has_value());
  const WritingFor writing(*german);
  const Files files = written(report_test::many_findings(201));
  CHECK_THAT(files.at("report-pages/findings-0002.html"),
             Catch::Contains("Seite 2 von 3") && Catch::Contains("<html lang=\"de\">") &&
                 Catch::Contains("Befunde 101 bis 200 von 201"));
}

TEST_CASE("what cannot be read or written ends the report with the reason") {
  const auto a = report_test::many_findings(101);
  const auto put = [](const std::string&, const auto& content) {
    return content([](std::string_view) -> Result<void> { return {}; });
  };
  Pieces pieces = report_test::pieces_of(a);
  const auto full = write_report_pages(
      pieces, tiny_image, {}, [](const std::string&, const auto&) -> Result<void> {
        return fail({ErrorKind::system, "the disk is full", "", "", "", {}});
      });
  REQUIRE_FALSE(full.has_value());
  CHECK(full.error().what == "the disk is full");
  pieces.findings_page = [](std::size_t, std::size_t) -> Result<Assessment> {
    return fail({ErrorKind::damaged, "the journal is damaged", "", "", "", {}});
  };
  const auto unread = write_report_pages(pieces, tiny_image, {}, put);
  REQUIRE_FALSE(unread.has_value());
  CHECK(unread.error().what == "the journal is damaged");
}

TEST_CASE("a page is told from other files by its name") {
  for (const char* name : {"findings-0001.html", "not-measured-0012.html", "not-judged-0001.html",
                           "warm-even-0003.html", "problems-12345.html"})
    CHECK(is_report_page(name));
  for (const char* name :
       {"findings.html", "findings-1.html", "notes-0001.html", "findings-00a1.html",
        "findings-0001.html.bak", "-0001.html", ".html", ""})
    CHECK_FALSE(is_report_page(name));
}

}  // namespace ohmglow::report
