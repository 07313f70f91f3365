#include "cli/commands.h"
#include "cli/formats.h"
#include "cli/output_folder.h"
#include "cli/run.h"
#include "cli/run_manifest.h"
#include "cli/signatures.h"
#include "cli/talk.h"
#include "offered/intake/policy_text.h"
#include "offered/report/report.h"
#include "offered/results/manifest.h"
#include "ohmglow/survey_folder.h"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <memory>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;
using records::FileCheck;
using records::FileState;
using records::Manifest;
using records::PolicyOrigin;
using records::Recheck;

struct RecheckGiven {
  std::string output;
  std::string survey;
  std::string public_key;
  unsigned jobs = 0;
  bool json = false;
};

Result<std::string> find_survey(const RecheckGiven& given, const Manifest& manifest) {
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

/// The run once more, into a journal that is gone with it. Its policy is the one that the inputs
/// give now.
Result<void> assess_again(const RecheckGiven& given, const Manifest& manifest,
                          const std::string& folder, Run& run) {
  run.options = manifest.options;
  assessment::Options with;
  with.jobs = given.jobs;
  if (auto opened = assessment::open_run(run, folder, std::move(with)); !opened) return opened;
  run.shown_folder = manifest.survey_folder;
  const auto text = policy_now(manifest, folder);
  if (!text) return fail(text.error());
  run.policy_text = *text;
  auto policy = records::parse_policy(text->text, text->name);
  if (!policy) return fail(policy.error());
  run.policy = std::move(*policy);
  return assessment::measure(run);
}

/// With every input hashed, those that were measured from what was read.
std::vector<FileRecord> inputs_now(const Run& run, const Manifest& manifest,
                                   const std::string& folder, bool is_assessed) {
  const records::Inputs inputs =
      is_assessed ? assessment::inputs_of(run) : records::inputs_of(folder, manifest.policy);
  std::vector<FileRecord> files;
  for (std::size_t i = 0; i < inputs.count; ++i) {
    if (auto file = inputs.record(i)) files.push_back(std::move(*file));
  }
  return files;
}

/// With both texts and their values in memory: several times what findings.json takes on the disk.
Result<records::ValueCheck> compare_in_memory(const fs::path& findings, const Run& run,
                                              double tolerance) {
  const auto bytes = imaging::read_bytes(findings, std::uint64_t{1} << 40);
  if (!bytes) return fail(bytes.error());
  std::string again;
  const auto written = run.results->write_findings(
      run.shown_folder, [&again](std::string_view piece) -> Result<void> {
        again += piece;
        return {};
      });
  if (!written) return fail(written.error());
  const std::string_view recorded{reinterpret_cast<const char*>(bytes->data()), bytes->size()};
  return records::compare_findings(recorded, again, tolerance);
}

/// findings.json as the folder has it now, or lacks it; null: the run did not write one.
const FileCheck* findings_of(const Recheck& recheck) {
  const auto found =
      std::find_if(recheck.outputs.begin(), recheck.outputs.end(), [](const FileCheck& check) {
        return check.path == records::kFindingsFile && check.state != FileState::added;
      });
  return found == recheck.outputs.end() ? nullptr : &*found;
}

Result<void> compare_values(const RecheckGiven& given, const Run& run, Recheck& recheck) {
  Outputs nowhere("");
  const auto again = write_formats(reported(run), {}, nowhere);
  if (!again) return fail(again.error());
  const FileCheck* const recorded = findings_of(recheck);
  if (recorded == nullptr) {
    // Its hash alone can be compared.
    if (again->sha256 == recheck.manifest.findings_sha256) {
      recheck.values.is_done = true;
    } else {
      recheck.values.not_done =
          "The run wrote no findings.json to compare with, and what the inputs give now has "
          "another hash than what the run found.";
    }
    return {};
  }
  const fs::path path = fs::path(given.output) / records::kFindingsFile;
  const double tolerance = recheck.same_program ? 0 : records::kOtherArithmeticTolerance;
  auto values = recorded->sha256 == again->sha256 ? records::check_of_same_findings(path)
                                                  : compare_in_memory(path, run, tolerance);
  if (values) {
    recheck.values = std::move(*values);
  } else {
    recheck.values.not_done = "findings.json: " + sentence(values.error()) + ".";
  }
  return {};
}

bool can_write_again(const Recheck& recheck) {
  return recheck.same_program &&
         std::all_of(recheck.inputs.begin(), recheck.inputs.end(),
                     [](const FileCheck& check) { return check.state == FileState::same; });
}

/// The other outputs, written again: a number edited in a report and in the manifest shows here.
void compare_outputs(const Run& run, Recheck& recheck) {
  if (!can_write_again(recheck)) return;
  std::vector<std::string> formats = run.options.formats;
  std::erase_if(formats, [](const std::string& name) { return depends_on_fonts(name); });
  Outputs again("");
  if (const auto written = write_formats(reported(run), formats, again); !written) {
    recheck.remarks.push_back("The outputs cannot be written again: " + sentence(written.error()));
    return;
  }
  for (const FileRecord& file : again.files()) {
    if (file.path == records::kFindingsFile) continue;  // that is compared value by value
    const auto check = std::find_if(recheck.outputs.begin(), recheck.outputs.end(),
                                    [&file](const FileCheck& c) { return c.path == file.path; });
    if (check == recheck.outputs.end() || check->state != FileState::same) continue;
    if (file.sha256 != check->sha256)
      recheck.remarks.push_back(file.path +
                                " is not what the inputs give, although it has the hash "
                                "that the manifest records.");
  }
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

Result<Recheck> recheck_output(const RecheckGiven& given) {
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
  Run run;
  const auto assessed = assess_again(given, *manifest, *folder, run);
  recheck.inputs = records::check_inputs(*folder, manifest->inputs,
                                         inputs_now(run, *manifest, *folder, assessed.has_value()));
  const bool any =
      std::any_of(recheck.inputs.begin(), recheck.inputs.end(), [](const FileCheck& check) {
        return check.state == FileState::same || check.state == FileState::changed;
      });
  if (!any)
    return fail({.kind = ErrorKind::missing,
                 .what = fmt::format("none of the result's {} inputs is in this folder",
                                     manifest->inputs.size()),
                 .mend = "name the survey that the result was made from with --survey",
                 .place = {.file = *folder}});
  recheck.outputs =
      records::check_outputs(given.output, manifest->outputs, format_files(given.output));
  compare_policy(*manifest, recheck);
  recheck.manifest = std::move(*manifest);
  const auto compared = assessed ? compare_values(given, run, recheck) : assessed;
  if (compared) {
    compare_outputs(run, recheck);
  } else {
    recheck.values.not_done =
        "The survey cannot be assessed: " + sentence_with_place(compared.error()) + ".";
  }
  return recheck;
}

int recheck(const RecheckGiven& given) {
  const auto result = recheck_output(given);
  if (!result) {
    complain("recheck", result.error());
    return kNothingDone;
  }
  if (given.json) {
    print_whole(records::recheck_json(*result));
  } else {
    print_whole(report::recheck_text(*result, {terminal_width(), false}));
  }
  return result->differences() == 0 ? kDone : kSomeNotMeasured;
}

}  // namespace

void add_recheck(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<RecheckGiven>();
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
