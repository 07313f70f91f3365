#include "offered/report/report.h"
#include "terminal_table.h"
#include "words.h"

#include <algorithm>
#include <fmt/format.h>

namespace ohmglow::report {
namespace {

using records::FileCheck;
using records::FileState;
using records::Recheck;
using records::ValueCheck;

/// Lines of one kind that a terminal shows; --json lists them all.
constexpr std::size_t kMostShown = 40;

std::string first_digits(const std::string& sha256) {
  constexpr std::size_t kDigits = 16;
  return sha256.empty() ? "not readable" : sha256.substr(0, kDigits) + "…";
}

std::string file_line(const FileCheck& check) {
  switch (check.state) {
    case FileState::changed:
      return fmt::format("changed: {} (SHA-256 recorded {}, now {})", check.path,
                         first_digits(check.recorded_sha256), first_digits(check.sha256));
    case FileState::missing:
      return fmt::format("missing: {}", check.path);
    case FileState::added:
      return fmt::format("new: {} was not there when the result was made", check.path);
    case FileState::same:
      break;
  }
  return {};
}

std::string shown_lines(const std::vector<std::string>& lines, int width) {
  std::string text;
  for (std::size_t i = 0; i < std::min(lines.size(), kMostShown); ++i) {
    text += paragraph(lines[i], width, 2);
  }
  if (lines.size() > kMostShown)
    text += paragraph(fmt::format("and {} more; --json lists them all", lines.size() - kMostShown),
                      width, 2);
  return text;
}

std::string files_text(std::string_view title, const std::vector<FileCheck>& checks, int width) {
  std::vector<std::string> lines;
  for (const FileCheck& check : checks) {
    if (check.state != FileState::same) lines.push_back(file_line(check));
  }
  const std::size_t same = checks.size() - lines.size();
  return paragraph(fmt::format("{}: {} as recorded, {} not", title,
                               counted(same, msg("{} file"), msg("{} files")), lines.size()),
                   width, 0) +
         shown_lines(lines, width);
}

std::string or_absent(const std::string& json) {
  return json.empty() ? "not there" : json;
}

std::string values_text(const ValueCheck& values, int width) {
  if (!values.is_done) return paragraph("Findings: not compared. " + values.not_done, width, 0);
  if (values.compared == 0)
    return paragraph("Findings: recomputed, the same bytes as the run made", width, 0);
  std::string how = values.tolerance == 0
                        ? "exactly equal"
                        : fmt::format("equal within {:g} of the value", values.tolerance);
  std::string text =
      paragraph(fmt::format("Findings: recomputed from the inputs; {} {}, {} not",
                            counted(values.compared - std::min(values.different, values.compared),
                                    msg("{} value"), msg("{} values")),
                            how, values.different),
                width, 0);
  std::vector<std::string> lines;
  for (const auto& difference : values.differences) {
    lines.push_back(fmt::format("{}: recorded {}, recomputed {} ({})", difference.where,
                                or_absent(difference.recorded), or_absent(difference.recomputed),
                                difference.pointer));
  }
  return text + shown_lines(lines, width);
}

}  // namespace

std::string recheck_text(const Recheck& recheck, const TextOptions& options) {
  const int width = options.width;
  const records::Manifest& manifest = recheck.manifest;
  std::string text = paragraph(
      fmt::format("Made by ohmglow {}{}", manifest.tool_version,
                  recheck.same_program
                      ? ", the program and the kind of machine that recheck it"
                      : "; this program or machine is another one, so that last digits may differ"),
      width, 0);
  text += paragraph("Survey: " + recheck.survey_folder, width, 0);
  if (recheck.signature.is_asked)
    text += paragraph("Signature: " + recheck.signature.message, width, 0);
  text += files_text("Inputs", recheck.inputs, width);
  text += files_text("Outputs", recheck.outputs, width);
  text += values_text(recheck.values, width);
  for (const std::string& remark : recheck.remarks) text += paragraph(remark, width, 0);
  const std::size_t differences = recheck.differences();
  text += paragraph(differences == 0
                        ? "Everything is as it was recorded."
                        : fmt::format("{} in all.", counted(differences, msg("{} difference"),
                                                            msg("{} differences"))),
                    width, 0);
  return text;
}

}  // namespace ohmglow::report
