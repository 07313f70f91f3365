#include "offered/report/report.h"
#include "offered/vocabulary/number_text.h"
#include "page.h"
#include "page_templates.h"
#include "terminal_table.h"
#include "words.h"

#include <algorithm>
#include <exception>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace ohmglow::report {
namespace {

using records::Ending;
using records::FileCheck;
using records::FileState;
using records::Recheck;
using records::Recomputed;
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

/// "recomputed and equal", with its reason where there is one.
std::string standing_of(const FileCheck& check) {
  std::string text;
  switch (check.recomputed) {
    case Recomputed::equal:
      text = "recomputed and equal";
      break;
    case Recomputed::different:
      text = "recomputed and different";
      break;
    case Recomputed::no:
      text = check.state == FileState::same ? "only hashed" : "not recomputed";
      break;
  }
  return check.note.empty() ? text : text + ": " + check.note;
}

std::string standings_text(const std::vector<FileCheck>& outputs, int width) {
  std::vector<std::string> lines;
  for (const FileCheck& check : outputs) {
    if (check.state == FileState::missing || check.state == FileState::added) continue;
    lines.push_back(fmt::format("{}: {}", check.path, standing_of(check)));
  }
  return shown_lines(lines, width);
}

std::string or_absent(const std::string& json) {
  return json.empty() ? "not there" : json;
}

std::string values_line(const ValueCheck& values) {
  if (!values.is_done) return "not compared. " + values.not_done;
  if (values.compared == 0) return "recomputed, the same bytes as the run made";
  const std::string how = values.tolerance == 0
                              ? "exactly equal"
                              : fmt::format("equal within {:g} of the value", values.tolerance);
  return fmt::format("recomputed from the inputs; {} {}, {} not",
                     counted(values.compared - std::min(values.different, values.compared),
                             msg("{} value"), msg("{} values")),
                     how, values.different);
}

std::string values_text(const ValueCheck& values, int width) {
  std::string text = paragraph("Findings: " + values_line(values), width, 0);
  std::vector<std::string> lines;
  for (const auto& difference : values.differences) {
    lines.push_back(fmt::format("{}: recorded {}, recomputed {} ({})", difference.where,
                                or_absent(difference.recorded), or_absent(difference.recomputed),
                                difference.pointer));
  }
  return text + shown_lines(lines, width);
}

std::string program_line(const Recheck& recheck) {
  const std::string& version = recheck.manifest.tool_version;
  if (version != recheck.checked_by) {
    return fmt::format("Made by ohmglow {}, rechecked by ohmglow {}: another version", version,
                       recheck.checked_by);
  }
  return fmt::format("Made by ohmglow {}{}", version,
                     recheck.same_program
                         ? ", the program and the kind of machine that recheck it"
                         : "; this machine is of another kind, so that last digits may differ");
}

std::size_t count_of(const Recheck& recheck, Recomputed state) {
  return static_cast<std::size_t>(
      std::count_if(recheck.outputs.begin(), recheck.outputs.end(),
                    [state](const FileCheck& check) { return check.recomputed == state; }));
}

std::string ending_text(const Recheck& recheck) {
  const std::string& version = recheck.manifest.tool_version;
  const std::string versions =
      version == recheck.checked_by
          ? ""
          : fmt::format(" Another version of the tool: {} is recorded, {} rechecked.", version,
                        recheck.checked_by);
  switch (recheck.ending()) {
    case Ending::equal:
      return "Recomputed and equal.";
    case Ending::other_version:
      return "Recomputed and equal, but not by the version that is recorded." + versions;
    case Ending::only_hashed:
      return fmt::format(
          "Only hashed: {} not recomputed, {} recomputed and equal.{}",
          counted(count_of(recheck, Recomputed::no), msg("{} file"), msg("{} files")),
          count_of(recheck, Recomputed::equal), versions);
    case Ending::different:
      break;
  }
  return fmt::format("{} in all.{}",
                     counted(recheck.differences(), msg("{} difference"), msg("{} differences")),
                     versions);
}

List file_list(const std::vector<RecheckCertificate::File>& files) {
  List list;
  for (const auto& file : files) {
    list.push_back(Fields{{"path", file.path}, {"sha256", file.sha256}, {"state", file.state}});
  }
  return list;
}

}  // namespace

std::string recheck_conclusion(const Recheck& recheck) {
  return ending_text(recheck) + " " + recheck.signature.message;
}

std::string recheck_text(const Recheck& recheck, const TextOptions& options) {
  const int width = options.width;
  std::string text = paragraph(program_line(recheck), width, 0);
  text += paragraph("Survey: " + recheck.survey_folder, width, 0);
  if (recheck.manifest.verify) {
    text += files_text("Inputs before the repair", recheck.inputs_before, width);
  }
  text += files_text("Inputs", recheck.inputs, width);
  text += files_text("Outputs", recheck.outputs, width);
  text += standings_text(recheck.outputs, width);
  text += values_text(recheck.values, width);
  for (const std::string& remark : recheck.remarks) text += paragraph(remark, width, 0);
  return text + paragraph(recheck_conclusion(recheck), width, 0);
}

RecheckCertificate recheck_certificate(const Recheck& recheck, const std::string& dated) {
  const records::Manifest& manifest = recheck.manifest;
  RecheckCertificate certificate;
  certificate.title = "Certificate of recheck";
  certificate.conclusion = recheck_conclusion(recheck);
  const bool is_unchecked = recheck.signature.is_there && !recheck.signature.is_asked;
  certificate.is_good = recheck.ending() == Ending::equal && !is_unchecked;
  const auto add = [&certificate](std::string label, std::string value) {
    if (!value.empty()) certificate.facts.emplace_back(std::move(label), std::move(value));
  };
  add("Dated", dated);
  add("Site", manifest.site);
  add("Result", recheck.output_folder);
  if (manifest.verify) add("Survey before the repair", manifest.verify->survey_folder);
  add(manifest.verify ? "Survey after the repair" : "Survey", manifest.survey_folder);
  add("Made by", "ohmglow " + manifest.tool_version);
  add("Rechecked by", "ohmglow " + recheck.checked_by);
  add("Machine", recheck.same_program ? "the version and kind of machine that made it"
                                      : "another version or kind of machine");
  add("Signature", recheck.signature.message);
  add("Inputs",
      fmt::format("{} recorded, each hashed (SHA-256)",
                  manifest.inputs.size() + (manifest.verify ? manifest.verify->inputs.size() : 0)));
  add("Values", values_line(recheck.values));
  for (const FileCheck& check : recheck.outputs) {
    const bool is_there = check.state == FileState::same || check.state == FileState::changed;
    std::string state = is_there ? standing_of(check) : std::string(name_of(check.state));
    if (check.state == FileState::changed) state = "changed since it was recorded; " + state;
    certificate.outputs.push_back({check.path, check.sha256, std::move(state)});
  }
  for (const auto* inputs : {&recheck.inputs_before, &recheck.inputs}) {
    for (const FileCheck& check : *inputs) {
      if (check.state == FileState::same) continue;
      certificate.inputs.push_back({check.path, check.sha256, std::string(name_of(check.state))});
    }
  }
  for (const auto& difference : recheck.values.differences) {
    if (certificate.remarks.size() >= kMostShown) break;
    certificate.remarks.push_back(fmt::format("{}: recorded {}, recomputed {}", difference.where,
                                              or_absent(difference.recorded),
                                              or_absent(difference.recomputed)));
  }
  certificate.remarks.insert(certificate.remarks.end(), recheck.remarks.begin(),
                             recheck.remarks.end());
  return certificate;
}

Result<std::string> recheck_html(const RecheckCertificate& certificate) {
  List facts;
  for (const auto& [label, value] : certificate.facts) {
    facts.push_back(Fields{{"label", label}, {"value", value}});
  }
  try {
    Data data{Fields{{"title", certificate.title},
                     {"style", report_style()},
                     {"conclusion", certificate.conclusion},
                     {"level", certificate.is_good ? "0" : "4"},
                     {"facts", facts},
                     {"outputs", file_list(certificate.outputs)},
                     {"inputs", file_list(certificate.inputs)},
                     {"has_inputs", !certificate.inputs.empty()},
                     {"remarks", text_list(certificate.remarks)},
                     {"has_remarks", !certificate.remarks.empty()}}};
    return page_template("recheck.html.mustache").render(data);
  } catch (const std::exception& error) {
    return fail(
        {ErrorKind::system, "the page could not be composed", error.what(), "", "free memory", {}});
  }
}

}  // namespace ohmglow::report
