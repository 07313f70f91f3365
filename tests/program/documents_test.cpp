// Sources: poppler, qpdf and openpyxl read the documents (tests/documents/*.py); findings.json of
// the same run says what they must hold.
#include "run_program.h"

#include <catch2/catch.hpp>
#include <fmt/format.h>
#include <set>

namespace {

using program_test::Outcome;
using program_test::run;
using program_test::shell;

std::string with_minus(double value) {
  const std::string text = fmt::format("{:.1f}", std::abs(value));
  return value < 0 && text != "0.0" ? "−" + text : text;
}

// Each finding's motor, component, lug and numbers, a line each.
std::string expected_of(const nlohmann::json& findings) {
  std::string lines;
  for (const auto& f : findings["findings"]) {
    lines += f["motor"].get<std::string>() + "\n" + f["action"].get<std::string>() + "\n";
    if (f["lug"].is_null()) continue;
    lines += fmt::format("{} — {} — phase", f["motor"].get<std::string>(),
                         f["component"].get<std::string>()) +
             "\n";
    lines += "lug " + f["lug"].get<std::string>() + "\n";
    lines += with_minus(f["temperature_c"].get<double>()) + " ±\n";
    lines += with_minus(f["rise_over_air_c"].get<double>()) + " ±\n";
    lines += f["image"].get<std::string>() + "\n";
  }
  for (const auto& problem : findings["problems"]) {
    lines += problem["message"].get<std::string>() + "\n";
  }
  return lines;
}

std::size_t cases_of(const nlohmann::json& findings) {
  std::set<int> cases;
  for (const auto& f : findings["findings"]) cases.insert(f["case"].get<int>());
  return cases.size();
}

std::string says(const std::string& script, const std::string& arguments) {
  const Outcome outcome =
      shell(OHMGLOW_PYTHON " '" OHMGLOW_SOURCE_DIR "/tests/documents/" + script + "' " + arguments);
  return outcome.out + outcome.err;
}

}  // namespace

TEST_CASE("assess writes the PDF and the spreadsheet of the demo, as findings.json has it") {
  const auto out = program_test::fresh_folder("documents");
  const std::string survey = program_test::demo_survey().string();
  const Outcome outcome = run("assess '" + survey + "' -o '" + out.string() +
                              "' --format json,pdf,xlsx --paper letter --detail full");
  CHECK(outcome.exit_code == 1);
  const auto findings = program_test::json_of(out / "findings.json");
  program_test::write(out / "expected.txt", expected_of(findings));
  CHECK(says("check_pdf.py", fmt::format("'{0}/report.pdf' letter {1} '{0}/expected.txt'",
                                         out.string(), cases_of(findings))) == "");
  CHECK(says("check_xlsx.py", fmt::format("'{0}/report.xlsx' '{0}/findings.json'", out.string())) ==
        "");
  // Who signs the PDF signs this file.
  const Outcome hash = shell("sha256sum findings.json | cut -d ' ' -f 1", out);
  const Outcome text = shell("pdftotext -raw report.pdf - | tr -d '\\n'", out);
  CHECK_THAT(text.out, Catch::Contains(hash.out.substr(0, 64)));
}

TEST_CASE("the demo's brief PDF has a page a case and no more than twenty in all") {
  const auto out = program_test::fresh_folder("brief");
  const Outcome outcome = run("assess '" + program_test::demo_survey().string() + "' -o '" +
                              out.string() + "' --format json,pdf,shutdown");
  CHECK(outcome.exit_code == 1);
  const auto findings = program_test::json_of(out / "findings.json");
  const Outcome pages = shell("pdfinfo report.pdf | sed -n 's/^Pages: *//p'", out);
  CHECK(std::stoul(pages.out) <= 20);
  CHECK(std::stoul(pages.out) > cases_of(findings));
  // The first page names every motor to stop, and cautions before it says anything else to do.
  const Outcome first = shell("pdftotext -l 1 -layout report.pdf -", out);
  const Outcome sheet = shell("pdftotext -layout shutdown.pdf -", out);
  for (const auto& f : findings["findings"]) {
    const std::string motor = f["motor"].get<std::string>();
    INFO(motor);
    if (f["decision"] == "stop_now") CHECK_THAT(first.out, Catch::Contains(motor));
    if (f["leads_case"] && f["decision"] != "image_again")
      CHECK_THAT(sheet.out, Catch::Contains(motor));
  }
  CHECK_THAT(first.out, Catch::Contains("Before anyone opens an enclosure"));
  CHECK_THAT(sheet.out, Catch::Contains("verified dead") && Catch::Contains("lock out at"));
  // No clock: the same run gives the same bytes, and recheck says so of every file.
  const Outcome recheck = run("recheck '" + out.string() + "'");
  CHECK_THAT(recheck.out, Catch::Contains("shutdown.pdf: recomputed and equal") &&
                              Catch::Contains("shutdown.xlsx: recomputed and equal"));
  CHECK(says("check_shutdown.py",
             fmt::format("'{0}/shutdown.xlsx' '{0}/findings.json'", out.string())) == "");
}

TEST_CASE("a paper that is none is refused with those that are") {
  const Outcome outcome = run("assess . --format pdf --paper a3");
  CHECK(outcome.exit_code == 2);
  CHECK_THAT(outcome.err, Catch::Contains("a4") && Catch::Contains("letter"));
}

TEST_CASE("a start does not load the libraries that documents are made with") {
  const Outcome libraries = shell("ldd '" OHMGLOW_PROGRAM "'");
  CHECK(libraries.exit_code == 0);
  CHECK_THAT(libraries.out, !Catch::Contains("pango") && !Catch::Contains("cairo") &&
                                !Catch::Contains("xlsxwriter") && !Catch::Contains("turbojpeg"));
}

TEST_CASE("where no font is installed the PDF is refused with what to install") {
  const auto folder = program_test::fresh_folder("no_fonts");
  program_test::write(folder / "fonts.conf",
                      "<?xml version=\"1.0\"?><!DOCTYPE fontconfig SYSTEM \"fonts.dtd\">"
                      "<fontconfig><dir>" +
                          (folder / "none").string() + "</dir><cachedir>" +
                          (folder / "cache").string() + "</cachedir></fontconfig>");
  const Outcome outcome =
      shell("FONTCONFIG_FILE=\"$PWD/fonts.conf\" '" OHMGLOW_PROGRAM "' assess '" +
                program_test::demo_survey().string() + "' -o out --format pdf",
            folder);
  CHECK(outcome.exit_code == 3);
  CHECK_THAT(outcome.err, Catch::Contains("no font was found") && Catch::Contains("fonts-lato"));
}
