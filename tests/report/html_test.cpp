// Sources: HTML as read by Python's html.parser; Content Security Policy level 3 for the meta
// element; RFC 4648 (base64) and the PNG signature (ISO/IEC 15948, 5.2) for the embedded pictures.
#include "fixture.h"
#include "offered/report/report.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <limits>

namespace ohmglow::report {
namespace {

std::size_t occurrences(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++count;
  return count;
}

std::string report_of(const diagnosis::Assessment& a) {
  const auto html = report_html(a, report_test::synthetic_images());
  REQUIRE(html.has_value());
  return *html;
}

}  // namespace

TEST_CASE("the report is balanced markup that fetches and runs nothing") {
  const std::string html = report_of(report_test::bexley_creek());
  CHECK(report_test::python("check_markup.py",
                            {"html", report_test::write_output("report.html", html)}) == "");
  CHECK_THAT(html,
             Catch::Contains("<meta http-equiv=\"Content-Security-Policy\" content=\"default-src "
                             "'none'; style-src 'unsafe-inline'; img-src data:\">"));
}

TEST_CASE("the report lists what was not judged and what is warm and even, with the reasons") {
  const auto a = report_test::beside_the_list();
  const std::string html = report_of(a);
  CHECK(report_test::python("check_markup.py",
                            {"html", report_test::write_output("beside.html", html)}) == "");
  const auto section = [&html](const std::string& id) {
    const auto begin = html.find("<section aria-labelledby=\"" + id + "\"");
    REQUIRE(begin != std::string::npos);
    return html.substr(begin, html.find("</section>", begin) - begin);
  };
  CHECK_THAT(section("not-judged"),
             Catch::Contains(">DF-4<") && Catch::Contains("6.6 A, 12 % of rated") &&
                 Catch::Contains("at 12 % of rated a fault would not show") &&
                 Catch::Contains(">22.5 A<") &&
                 Catch::Contains("Take the image again at 22.5 A or more."));
  CHECK_THAT(section("warm-even"),
             Catch::Contains(">isolator<") && Catch::Contains("phase C, lug L3, 41.4 °C") &&
                 Catch::Contains("0.50 ± 0.30 K") && Catch::Contains("17.4 ± 1.2 K") &&
                 Catch::Contains(">Plan repair<") &&
                 Catch::Contains("the lugs are warm &lt;alike&gt;: 17.4 K over the air"));
  // Neither is told again among the even ones.
  CHECK_THAT(section("others"), Catch::Contains(">disconnect<") && !Catch::Contains("isolator") &&
                                    !Catch::Contains("terminal box"));
  CHECK(html.find("id=\"not-judged\"") > html.find("id=\"ranked\""));
  CHECK(html.find("id=\"warm-even\"") > html.find("id=\"findings\""));
}

TEST_CASE("a motor that runs on two phases is told before anything else") {
  const std::string html = report_of(report_test::beside_the_list());
  const auto stop = html.find("Stop it and do not start it again: it runs on two phases.");
  REQUIRE(stop != std::string::npos);
  CHECK(html.find("id=\"stop-now\"") < stop);
  CHECK(stop < html.find("id=\"next-stop\""));
  CHECK(stop < html.find("id=\"safety\""));
  CHECK_THAT(html, Catch::Contains("Expected loss within a year") && Catch::Contains("12500 USD"));
  CHECK_THAT(report_of(report_test::bexley_creek()),
             !Catch::Contains("runs on two phases") && !Catch::Contains("Expected loss within"));
}

TEST_CASE("the report says what a lug must exceed to be called hot") {
  auto a = report_test::bexley_creek();
  a.policy.confidence = 0.99;
  a.policy.sound_scatter = {.share_of_rise = 0.08, .least_k = 0.4, .source = "route of 2025"};
  CHECK_THAT(report_of(a), Catch::Contains("at 99 % confidence") &&
                               Catch::Contains("by 8 % of their rise over air, by 0.4 K at least "
                                               "(route of 2025)") &&
                               !Catch::Contains("Failure within a year"));
  a.policy.bands.front().failure_probability = 0.02;
  a.policy.bands.back().failure_probability = 0.5;
  a.policy.failure_source = "assumed";
  CHECK_THAT(report_of(a), Catch::Contains("Failure within a year") &&
                               Catch::Contains("Urgent 50 %, Watch 2 % (assumed)"));
}

TEST_CASE("hostile strings are shown, not run") {
  const std::string html = report_of(report_test::bexley_creek());
  CHECK_THAT(html, !Catch::Contains("<script") && !Catch::Contains("<img") &&
                       !Catch::Contains("<b>") && !Catch::Contains("<night"));
  CHECK_THAT(html, Catch::Contains("CV-3 &lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;"));
  CHECK_THAT(html,
             Catch::Contains("&lt;/title&gt;&lt;/style&gt;&lt;img src=x onerror=alert(1)&gt;"));
  CHECK_THAT(html, Catch::Contains("Förderband 漏斗"));
}

TEST_CASE("each finding has a card, and each picture is in the file once") {
  const std::string html = report_of(report_test::bexley_creek());
  for (int rank = 1; rank <= 5; ++rank) {
    CHECK(occurrences(html, "id=\"finding-" + std::to_string(rank) + "\"") == 1);
  }
  // Three images carry findings; two findings share one of them.
  CHECK(occurrences(html, "<image ") == 3);
  CHECK_THAT(html, Catch::Contains("The image is shown at <a href=\"#finding-3\">finding 3</a>."));
  // 89 50 4E 47 0D 0A 1A 0A in base64.
  CHECK(occurrences(html, "href=\"data:image/png;base64,iVBORw0KGgo") == 3);
}

TEST_CASE("a card holds the uncertainty budget, the trials' intervals and the decision rule") {
  // JCGM 100, clause 8: value, u, distribution, sensitivity and contribution of each input.
  auto a = report_test::bexley_creek();
  CHECK_THAT(report_of(a), !Catch::Contains("<details class=\"budget\""));
  auto& finding = a.findings.at(0);
  finding.budget = {{"rise_over_like",
                     46.25,
                     0.375,
                     {{radiometry::InputKind::atmosphere_transmittance, layout("this <image>"), "",
                       0.9, 0.02, diagnosis::Distribution::truncated_normal, -18.75, -0.375, 1}}}};
  finding.monte_carlo.emplace();
  finding.monte_carlo->over_like = diagnosis::Spread{46.2, 0.5, 45.0, 47.75};
  finding.monte_carlo->trials = 20000;
  finding.monte_carlo->outside_share = 0.0125;
  finding.simple_grade = {};
  a.options.decision = severity::Decision::guarded;
  a.options.uncertainty = diagnosis::Uncertainty::monte_carlo;
  a.options.seed = 42;
  const std::string html = report_of(a);
  CHECK(report_test::python("check_markup.py",
                            {"html", report_test::write_output("budget.html", html)}) == "");
  for (const char* part :
       {"Budget of the rise over like: 46.25, standard uncertainty 0.375 K",
        "atmosphere transmittance, this &lt;image&gt;", "<td>truncated normal</td>",
        "<td>−18.8</td><td>−0.375</td><td>100.0 %</td>", "45.0 to 47.8 K, u = 0.50 K",
        "20000, seed 42; 1.25 % left the radiance table", "Band by simple acceptance",
        "limit lowered by 1.64 standard uncertainties"}) {
    CHECK_THAT(html, Catch::Contains(part));
  }
}

TEST_CASE("what could not be measured, and the rule of the bands, stand in the report") {
  const auto a = report_test::bexley_creek();
  const std::string html = report_of(a);
  CHECK_THAT(html, Catch::Contains("df-4_disconnect.tiff") && Catch::Contains("unmarked"));
  CHECK_THAT(html, Catch::Contains("this is a picture of temperatures, not temperatures"));
  CHECK_THAT(html, Catch::Contains("lug T5 not measured"));
  CHECK_THAT(html, Catch::Contains("found &quot;0,5l2&quot;; expected ohms"));
  CHECK_THAT(html, Catch::Contains(a.policy.rule) && Catch::Contains(a.policy.source));
  for (const Sentence& caution : diagnosis::cautions())
    CHECK_THAT(html, Catch::Contains(plainly(caution)));
}

TEST_CASE("the report tells its scope, shows photographs, and has lines to sign on") {
  auto a = report_test::bexley_creek();
  a.survey.images[0].photo = "door <open>.jpg";
  a.survey.images[2].photo = "lost.jpg";
  Extras extras;
  extras.findings_sha256 = std::string(64, '7');
  extras.open_photo = [](const ImageEntry& entry) -> Result<Photograph> {
    if (entry.photo == "lost.jpg") return fail({ErrorKind::missing, "it is lost", "", "", "", {}});
    return Photograph{{std::byte{0xff}, std::byte{0xd8}}, "image/jpeg", 4, 3};
  };
  const auto html = report_html(a, report_test::synthetic_images(), extras);
  REQUIRE(html.has_value());
  CHECK(report_test::python("check_markup.py",
                            {"html", report_test::write_output("photo.html", *html)}) == "");
  // FF D8 in base64.
  CHECK_THAT(*html, Catch::Contains("<img class=\"photo\" src=\"data:image/jpeg;base64,/9g=\" "
                                    "alt=\"Photograph door &lt;open&gt;.jpg\">"));
  for (const char* part :
       {"The photograph could not be shown: it is lost", "SHA-256 of findings.json: <code>7777",
        "12 lugs on 4 components of 3 motors, in 4 measured images",
        "readings taken here, but no image", "no image of this motor", "Inspected by",
        "Cases of each band on each kind of component"}) {
    CHECK_THAT(*html, Catch::Contains(part));
  }
}

TEST_CASE("an image that cannot be opened again leaves its card without a picture") {
  const auto a = report_test::bexley_creek();
  const auto html = report_html(a, [](const ImageEntry&) -> Result<imaging::ThermalImage> {
    return fail({ErrorKind::missing, "the file <is> gone", "", "", "", {}});
  });
  REQUIRE(html.has_value());
  CHECK(occurrences(*html, "<image ") == 0);
  CHECK_THAT(*html, Catch::Contains("be-1_box.tiff: the file &lt;is&gt; gone"));
}

TEST_CASE("an image of no-data pixels leaves its card without a picture") {
  const auto a = report_test::bexley_creek();
  const auto html = report_html(a, [](const ImageEntry&) -> Result<imaging::ThermalImage> {
    const cv::Mat nothing(20, 20, CV_32F, cv::Scalar(std::numeric_limits<double>::quiet_NaN()));
    return imaging::ThermalImage({nothing, "tiff", "float32", 1, std::nullopt}, Declaration{});
  });
  REQUIRE(html.has_value());
  CHECK_THAT(*html, Catch::Contains("the image holds no temperature to draw"));
}

TEST_CASE("a frame wider than 960 pixels is embedded smaller") {
  auto a = report_test::many_findings(1);
  const auto html = report_html(a, [](const ImageEntry&) -> Result<imaging::ThermalImage> {
    cv::Mat wide(200, 2000, CV_32F);
    for (int x = 0; x < wide.cols; ++x) wide.col(x) = 20 + 0.01 * x;
    return imaging::ThermalImage({wide, "tiff", "float32", 1, std::nullopt}, Declaration{});
  });
  REQUIRE(html.has_value());
  CHECK_THAT(*html, Catch::Contains("<image width=\"2000\" height=\"200\""));
  // IHDR (ISO/IEC 15948, 11.2.2): width 960 = 00 00 03 C0 at bytes 16 to 19, of which base64
  // characters 20 to 27 hold bytes 15 to 20.
  const auto at = html->find("base64,");
  REQUIRE(at != std::string::npos);
  CHECK(html->substr(at + 7 + 20, 7) == "UgAAA8A");
}

TEST_CASE("line scans, one pixel wide or one pixel tall, are drawn") {
  for (const cv::Size size : {cv::Size(5000, 1), cv::Size(1, 5000), cv::Size(1, 1)}) {
    const auto html = report_html(
        report_test::many_findings(1), [size](const ImageEntry&) -> Result<imaging::ThermalImage> {
          return imaging::ThermalImage(
              {cv::Mat(size, CV_32F, cv::Scalar(30)), "tiff", "float32", 1, {}}, Declaration{});
        });
    REQUIRE(html.has_value());
    CHECK(occurrences(*html, "<image ") == 1);
  }
}

TEST_CASE("a survey without findings makes a report that says so") {
  diagnosis::Assessment nothing;
  const auto html = report_html(nothing, report_test::synthetic_images());
  REQUIRE(html.has_value());
  CHECK_THAT(*html, Catch::Contains("No lug and no reading reaches a band."));
  CHECK(report_test::python("check_markup.py",
                            {"html", report_test::write_output("empty.html", *html)}) == "");
}

TEST_CASE("colours of the page are told from their ground in light, dark and print") {
  // WCAG 2.1 level AA: 4.5 for text (1.4.3), 3 for graphics (1.4.11).
  CHECK(report_test::python("check_contrast.py",
                            {OHMGLOW_SOURCE_DIR "/src/report/templates/meaning.css"}) == "");
}

TEST_CASE("ten times the findings take about ten times the time") {
  // Source: counting; no growth faster than the findings is wanted. Tiny images, so that composing
  // the page is what is timed.
  const auto timed = [](std::size_t count) {
    const auto a = report_test::many_findings(count);
    const auto start = std::chrono::steady_clock::now();
    const auto html = report_html(a, [](const ImageEntry&) -> Result<imaging::ThermalImage> {
      return imaging::ThermalImage(
          {cv::Mat(4, 4, CV_32F, cv::Scalar(30)), "tiff", "float32", 1, {}}, Declaration{});
    });
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    REQUIRE(html.has_value());
    CHECK(occurrences(*html, "<article") == count);
    return took.count();
  };
  // Quadratic growth would give a ratio of 100; noise on a busy machine is the reason for the
  // slack.
  constexpr double kMostRatio = 40;
  const double few = std::min(timed(50), timed(50));
  const double many = std::min(timed(500), timed(500));
  INFO(few << " s, " << many << " s");
  CHECK(many < kMostRatio * few);
}

}  // namespace ohmglow::report
