#include "cli/commands.h"
#include "cli/formats.h"
#include "cli/output_folder.h"
#include "cli/run_manifest.h"
#include "cli/signatures.h"
#include "ohmglow/assessment.h"
#include "ohmglow/manifest.h"
#include "ohmglow/records.h"
#include "ohmglow/report.h"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;
using diagnosis::Assessment;
using records::FileState;
using records::Manifest;
using records::PolicyOrigin;
using records::Recheck;

struct Given {
  std::string output;
  std::string survey;
  std::string public_key;
  unsigned jobs = 0;
  bool json = false;
};

Result<std::string> find_survey(const Given& given, const Manifest& manifest) {
  const fs::path folder =
      given.survey.empty()
          ? (fs::path(given.output) / manifest.survey_from_output).lexically_normal()
          : fs::path(given.survey);
  std::error_code error;
  if (fs::is_directory(folder, error)) return folder.string();
  return fail({.kind = ErrorKind::missing,
               .what = "the survey is not where it was when the result was made",
               .expected = fmt::format("the survey{}{}, with {} inputs",
                                       manifest.site.empty() ? "" : " of ", manifest.site,
                                       manifest.inputs.size()),
               .mend = "name its folder with --survey",
               .place = {.file = folder.string()}});
}

/// The policy as the inputs give it now, where it is one of them; else as the manifest keeps it.
Result<records::PolicyText> policy_now(const Manifest& manifest, const std::string& survey) {
  if (manifest.policy.origin != PolicyOrigin::survey_file) return manifest.policy;
  return records::find_policy(manifest.policy.name, survey);
}

/// In the words of `reader`, or in plain ones where it is null.
Result<Assessment> assess_again(const Given& given, const Manifest& manifest,
                                const std::string& folder,
                                std::shared_ptr<const Reader> reader = nullptr) {
  auto survey = records::read_survey(folder);
  if (!survey) return fail(survey.error());
  const auto text = policy_now(manifest, folder);
  if (!text) return fail(text.error());
  auto policy = records::parse_policy(text->text, text->name);
  if (!policy) return fail(policy.error());
  assessment::Options options;
  options.judging = manifest.options.judging;
  options.limits.max_pixels = manifest.options.max_pixels;
  options.jobs = given.jobs;
  options.reader = std::move(reader);
  return assessment::assess(std::move(*survey), std::move(*policy), options);
}

/// findings.json as the run would write it now, wherever the survey lies today.
std::string findings_again(const Manifest& manifest, Assessment& assessment) {
  const std::string here = std::exchange(assessment.survey.folder, manifest.survey_folder);
  std::string text = records::findings_json(assessment);
  assessment.survey.folder = here;
  return text;
}

bool is_recorded(const Manifest& manifest, std::string_view name) {
  return std::any_of(manifest.outputs.begin(), manifest.outputs.end(),
                     [name](const records::FileRecord& file) { return file.path == name; });
}

/// Without findings.json among the outputs its hash alone can be compared.
void compare_hash(const Manifest& manifest, const std::string& recomputed, Recheck& recheck) {
  if (records::record_of(records::kFindingsFile, recomputed).sha256 == manifest.findings_sha256) {
    recheck.values.is_done = true;
  } else {
    recheck.values.not_done =
        "The run wrote no findings.json to compare with, and what the inputs give now has another "
        "hash than what the run found.";
  }
}

void compare_values(const Given& given, const Manifest& manifest, const std::string& recomputed,
                    Recheck& recheck) {
  if (!is_recorded(manifest, records::kFindingsFile))
    return compare_hash(manifest, recomputed, recheck);
  const auto bytes =
      imaging::read_bytes(fs::path(given.output) / records::kFindingsFile, std::uint64_t{1} << 40);
  if (!bytes) {
    recheck.values.not_done = "findings.json: " + sentence(bytes.error()) + ".";
    return;
  }
  const std::string_view recorded{reinterpret_cast<const char*>(bytes->data()), bytes->size()};
  const double tolerance = recheck.same_program ? 0 : records::kOtherArithmeticTolerance;
  auto values = records::compare_findings(recorded, recomputed, tolerance);
  if (values) {
    recheck.values = std::move(*values);
  } else {
    recheck.values.not_done = "findings.json: " + sentence(values.error()) + ".";
  }
}

bool can_write_again(const Recheck& recheck) {
  return recheck.same_program && std::all_of(recheck.inputs.begin(), recheck.inputs.end(),
                                             [](const records::FileCheck& check) {
                                               return check.state == FileState::same;
                                             });
}

/// Those of the named formats, written again, beside what the run wrote.
void compare_files(const std::vector<std::string>& formats, const Assessment& assessment,
                   const Writing& writing, Recheck& recheck) {
  const auto files = write_formats(formats, assessment, writing);
  if (!files) {
    recheck.remarks.push_back("The outputs cannot be written again: " + sentence(files.error()));
    return;
  }
  for (const auto& [name, content] : *files) {
    const auto check =
        std::find_if(recheck.outputs.begin(), recheck.outputs.end(),
                     [&name = name](const records::FileCheck& c) { return c.path == name; });
    if (check == recheck.outputs.end() || check->state != FileState::same) continue;
    if (records::record_of(name, content).sha256 != check->sha256)
      recheck.remarks.push_back(name +
                                " is not what the inputs give, although it has the hash "
                                "that the manifest records.");
  }
}

/// The other outputs, written again: a number edited in a report and in the manifest shows here.
void compare_outputs(const Given& given, const Manifest& manifest, const Assessment& plain,
                     const std::string& findings, Recheck& recheck) {
  if (!can_write_again(recheck)) return;
  // With every input as recorded, a policy of the survey is the manifest's too.
  const auto writing = writing_for(manifest.policy, manifest.options,
                                   records::record_of(records::kFindingsFile, findings).sha256);
  if (!writing) {
    recheck.remarks.push_back("The outputs cannot be written again: " + sentence(writing.error()));
    return;
  }
  std::vector<std::string> for_machines;
  std::vector<std::string> for_reader;
  for (const std::string& name : manifest.options.formats) {
    // findings.json is compared value by value.
    if (depends_on_fonts(name) || name == "json") continue;
    (is_for_machines(name) ? for_machines : for_reader).push_back(name);
  }
  compare_files(for_machines, plain, *writing, recheck);
  const auto shown = assess_again(given, manifest, recheck.survey_folder, writing->reader);
  if (!shown) return;
  const WritingFor writing_for_reader(*writing->reader);
  compare_files(for_reader, *shown, *writing, recheck);
}

/// A built-in policy is the program's: a manifest that calls another text by its name is lying, or
/// the policy has been revised.
void compare_policy(const Manifest& manifest, Recheck& recheck) {
  if (manifest.policy.origin != PolicyOrigin::built_in) return;
  const auto built_in = records::find_policy(manifest.policy.name, ".");
  if (built_in && built_in->origin == PolicyOrigin::built_in &&
      built_in->text == manifest.policy.text)
    return;
  recheck.remarks.push_back("The policy " + manifest.policy.name +
                            " of the manifest is not the one that is built into this program; the "
                            "manifest's was used.");
}

Result<Recheck> recheck_output(const Given& given) {
  Recheck recheck;
  std::string content;
  auto manifest = records::read_manifest(given.output, &content);
  if (!manifest) return fail(manifest.error());
  if (!given.public_key.empty()) {
    auto signature = check_signature(given.output, content, given.public_key);
    if (!signature) return fail(signature.error());
    recheck.signature = std::move(*signature);
  }
  const auto folder = find_survey(given, *manifest);
  if (!folder) return fail(folder.error());
  recheck.survey_folder = *folder;
  recheck.same_program = is_this_program(*manifest);
  auto assessment = assess_again(given, *manifest, *folder);
  Survey unread;
  unread.folder = *folder;
  recheck.inputs = records::check_inputs(
      *folder, manifest->inputs,
      assessment ? records::inventory(assessment->survey, manifest->policy,
                                      records::hashes_of(assessment->images))
                 : records::inventory(unread, manifest->policy, records::hashes_of({})));
  const bool any = std::any_of(
      recheck.inputs.begin(), recheck.inputs.end(), [](const records::FileCheck& check) {
        return check.state == FileState::same || check.state == FileState::changed;
      });
  if (!any)
    return fail({.kind = ErrorKind::missing,
                 .what = fmt::format("none of the result's {} inputs is in this folder",
                                     manifest->inputs.size()),
                 .mend = "name the survey that the result was made from with --survey",
                 .place = {.file = *folder}});
  recheck.outputs = records::check_outputs(given.output, manifest->outputs, format_files());
  compare_policy(*manifest, recheck);
  if (assessment) {
    const std::string findings = findings_again(*manifest, *assessment);
    compare_values(given, *manifest, findings, recheck);
    compare_outputs(given, *manifest, *assessment, findings, recheck);
  } else {
    recheck.values.not_done =
        "The survey cannot be assessed: " + sentence_with_place(assessment.error()) + ".";
  }
  recheck.manifest = std::move(*manifest);
  return recheck;
}

int recheck(const Given& given) {
  const auto result = recheck_output(given);
  if (!result) {
    complain("recheck", result.error());
    return kNothingDone;
  }
  if (given.json) {
    fmt::print("{}", records::recheck_json(*result));
  } else {
    fmt::print("{}", report::recheck_text(*result, {terminal_width(), false}));
  }
  return result->differences() == 0 ? kDone : kSomeNotMeasured;
}

}  // namespace

void add_recheck(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<Given>();
  CLI::App* command = program.add_subcommand(
      "recheck",
      "What an auditor runs: hash every input and output of a result, compute it again, and list "
      "what is not the same");
  command->add_option("OUT", given->output, "Folder that assess -o wrote")->required();
  command->add_option("--survey", given->survey,
                      "Survey folder, where it is no longer where it was beside OUT");
  command->add_option("--public-key", given->public_key,
                      "Whose signature the manifest must bear: a file, or the key itself");
  command->add_option("--jobs", given->jobs, "Threads; 0 = one a core")->capture_default_str();
  command->add_flag("--json", given->json, "Print JSON in place of the text");
  command->footer(
      "Exit codes: 0 all is the same; 1 something is not; 3 nothing could be rechecked.\n"
      "Example: ohmglow recheck bexley-report --survey bexley");
  command->callback([given, &exit_code] { exit_code = recheck(*given); });
}

}  // namespace ohmglow::cli
