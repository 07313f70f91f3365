#include "document_checks.h"

#include "../report/fixture.h"

#include <array>
#include <catch2/catch.hpp>
#include <cstdio>
#include <sys/wait.h>

namespace ohmglow::documents_test {

using documents::Paper;

std::string pdf_with(const diagnosis::Assessment& assessment, const report::OpenImage& open_image,
                     const report::Extras& extras, Paper paper) {
  std::string pdf;
  const auto written = documents::report_pdf(report_test::pieces_of(assessment), open_image, extras,
                                             paper, [&pdf](std::string_view part) -> Result<void> {
                                               pdf += part;
                                               return {};
                                             });
  REQUIRE(written.has_value());
  return pdf;
}

std::string pdf_of(const diagnosis::Assessment& assessment, Paper paper, report::Detail detail) {
  return pdf_with(assessment, report_test::synthetic_images(),
                  {.open_photo = {}, .findings_sha256 = std::string(64, 'a'), .detail = detail},
                  paper);
}

std::string wrong_with_pdf(const std::string& name, const diagnosis::Assessment& assessment,
                           Paper paper, const std::vector<std::string>& expected) {
  return wrong_with_pdf_bytes(name, pdf_of(assessment, paper), assessment, paper, expected);
}

std::string wrong_with_pdf_bytes(const std::string& name, const std::string& pdf,
                                 const diagnosis::Assessment& assessment, Paper paper,
                                 const std::vector<std::string>& expected) {
  std::string lines;
  for (const std::string& line : expected) lines += line + "\n";
  return script("check_pdf.py",
                {report_test::write_output(name, pdf), paper == Paper::a4 ? "a4" : "letter",
                 std::to_string(assessment.findings.size()),
                 report_test::write_output(name + ".txt", lines)});
}

std::string script(const std::string& name, const std::vector<std::string>& arguments) {
  std::string command = OHMGLOW_PYTHON " " OHMGLOW_SOURCE_DIR "/tests/documents/" + name;
  for (const std::string& argument : arguments) command += " '" + argument + "'";
  return shell(command);
}

std::string shell(const std::string& command) {
  FILE* pipe = popen((command + " 2>&1").c_str(), "r");
  if (pipe == nullptr) return "the shell could not be started";
  std::string output;
  std::array<char, 4096> buffer{};
  while (const std::size_t n = fread(buffer.data(), 1, buffer.size(), pipe))
    output.append(buffer.data(), n);
  const int status = pclose(pipe);
  if (output.empty() && (!WIFEXITED(status) || WEXITSTATUS(status) != 0)) output = "failed";
  return output;
}

}  // namespace ohmglow::documents_test
