#include "cli/accept_run.h"
#include "cli/commands.h"
#include "cli/formats.h"
#include "cli/output_folder.h"
#include "cli/part.h"
#include "cli/run.h"
#include "cli/run_manifest.h"
#include "cli/signatures.h"
#include "cli/talk.h"
#include "cli/verify_run.h"
#include "offered/documents/documents.h"
#include "offered/files/folder.h"
#include "offered/intake/policy_text.h"
#include "offered/report/report.h"
#include "offered/results/manifest.h"
#include "ohmglow/survey_folder.h"
#include "ohmglow/version.h"

#include <algorithm>
#include <array>
#include <ctime>
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
  std::string before;  ///< of a result of verify: the survey before the repair
  std::string public_key;
  std::string certificate;
  unsigned jobs = 0;
  bool json = false;
};

Result<std::string> find_survey(const std::string& output, const std::string& given,
                                const std::string& way, const Manifest& manifest) {
  const fs::path folder =
      given.empty() ? (fs::path(output) / way).lexically_normal() : fs::path(given);
  std::error_code error;
  if (fs::is_directory(folder, error)) return folder.string();
  return fail({.kind = ErrorKind::missing,
               .what = "the survey is not where it was when the result was made",
               .expected = fmt::format("the survey{}{}, with {} inputs",
                                       manifest.site.empty() ? "" : " of ", manifest.site,
                                       manifest.inputs.size()),
               .mend = manifest.verify ? "name its folder with --survey, or --before"
                                       : "name its folder with --survey",
               .place = {.file = folder.string()}});
}

/// The policy as the inputs give it now, where it is one of them; else as the manifest keeps it.
Result<records::PolicyText> policy_now(const Manifest& manifest, const std::string& survey) {
  if (manifest.policy.origin != PolicyOrigin::survey_file) return manifest.policy;
  return records::find_policy(manifest.policy.name, survey);
}

Result<void> take_policy(Run& run, const Manifest& manifest, const std::string& survey) {
  const auto text = policy_now(manifest, survey);
  if (!text) return fail(text.error());
  run.policy_text = *text;
  auto policy = records::parse_policy(text->text, text->name);
  if (!policy) return fail(policy.error());
  run.policy = std::move(*policy);
  return {};
}

std::vector<FileRecord> records_of(const records::Inputs& inputs) {
  std::vector<FileRecord> files;
  for (std::size_t i = 0; i < inputs.count; ++i) {
    if (auto file = inputs.record(i)) files.push_back(std::move(*file));
  }
  return files;
}

/// The result made once more, into journals that are gone with it. Its policy is the one that the
/// inputs give now.
class Again {
 public:
  Again(const RecheckGiven& given, const Manifest& manifest, std::string folder,
        std::string folder_before)
      : manifest_(manifest), folder_(std::move(folder)), folder_before_(std::move(folder_before)) {
    made_ = manifest.verify ? verify(given) : assess(given);
    if (made_ && manifest.accept) made_ = accept();
  }

  [[nodiscard]] const Result<void>& made() const { return made_; }
  [[nodiscard]] std::string_view json_file() const { return manifest_.json_file(); }

  /// With every input hashed, those that were measured from what was read.
  [[nodiscard]] std::vector<FileRecord> inputs_now() const {
    if (!made_) return records_of(records::inputs_of(folder_, policy_of_second()));
    return records_of(assessment::inputs_of(manifest_.verify ? both_.after : run_));
  }
  [[nodiscard]] std::vector<FileRecord> inputs_before_now() const {
    if (!manifest_.verify) return {};
    if (!made_) return records_of(records::inputs_of(folder_before_, manifest_.policy));
    return records_of(assessment::inputs_of(both_.before));
  }

  [[nodiscard]] Result<FileRecord> write(const std::vector<std::string>& formats,
                                         Outputs& outputs) const {
    if (manifest_.verify) return write_verification(both_, formats, outputs);
    if (manifest_.accept) return write_acceptance(*accepted_, formats, outputs);
    return write_formats(reported(run_), formats, outputs);
  }
  [[nodiscard]] std::vector<std::string> files(const std::string& output) const {
    if (manifest_.accept) return accept_files();
    return manifest_.verify ? verify_files() : format_files(output);
  }

 private:
  Result<void> assess(const RecheckGiven& given) {
    run_.options = manifest_.options;
    assessment::Options with;
    with.jobs = given.jobs;
    if (auto opened = assessment::open_run(run_, folder_, std::move(with)); !opened) return opened;
    run_.shown_folder = manifest_.survey_folder;
    if (auto taken = take_policy(run_, manifest_, folder_); !taken) return taken;
    return assessment::measure(run_);
  }
  Result<void> accept() {
    auto accepted = accepted_of(run_, *manifest_.accept);
    if (!accepted) return fail(accepted.error());
    accepted_.emplace(std::move(*accepted));
    return {};
  }
  Result<void> verify(const RecheckGiven& given) {
    VerifyJob job;
    job.before = folder_before_;
    job.after = folder_;
    job.shown_before = manifest_.verify->survey_folder;
    job.shown_after = manifest_.survey_folder;
    job.options = manifest_.options;
    job.verify = manifest_.verify->options;
    job.jobs = given.jobs;
    job.choose_policy = [this](Run& run) { return take_policy(run, manifest_, folder_before_); };
    return verify_surveys(both_, job);
  }
  [[nodiscard]] records::PolicyText policy_of_second() const {
    records::PolicyText policy = manifest_.policy;
    if (manifest_.verify && policy.origin == PolicyOrigin::survey_file)
      policy.origin = PolicyOrigin::other_file;
    return policy;
  }

  const Manifest& manifest_;
  std::string folder_;
  std::string folder_before_;
  Run run_;
  VerifiedSurveys both_;
  std::optional<Accepted> accepted_;
  Result<void> made_;
};

Result<std::string> text_of(const fs::path& file) {
  const auto bytes = imaging::read_bytes(file, std::uint64_t{1} << 40);
  if (!bytes) return fail(bytes.error());
  return std::string(reinterpret_cast<const char*>(bytes->data()), bytes->size());
}

/// With both texts and their values in memory: several times what findings.json takes on the disk.
Result<records::ValueCheck> compare_in_memory(const fs::path& file, const Again& again,
                                              double tolerance) {
  const auto recorded = text_of(file);
  if (!recorded) return fail(recorded.error());
  std::string text;
  Outputs outputs = Outputs::into(text);
  if (const auto written = again.write({"json"}, outputs); !written) return fail(written.error());
  return records::compare_findings(*recorded, text, tolerance);
}

/// findings.json as the folder has it now, or lacks it; null: the run did not write one.
FileCheck* output_of(Recheck& recheck, std::string_view file) {
  const auto found =
      std::find_if(recheck.outputs.begin(), recheck.outputs.end(), [file](const FileCheck& check) {
        return check.path == file && check.state != FileState::added;
      });
  return found == recheck.outputs.end() ? nullptr : &*found;
}

Result<void> compare_values(const RecheckGiven& given, const Again& again, Recheck& recheck) {
  Outputs nowhere("");
  const auto now = again.write({}, nowhere);
  if (!now) return fail(now.error());
  FileCheck* const recorded = output_of(recheck, again.json_file());
  if (recorded == nullptr) {
    // Its hash alone can be compared.
    if (now->sha256 == recheck.manifest.findings_sha256) {
      recheck.values.is_done = true;
    } else {
      recheck.values.not_done = fmt::format(
          "The run wrote no {} to compare with, and what the inputs give now has "
          "another hash than what the run found.",
          again.json_file());
    }
    return {};
  }
  const fs::path path = fs::path(given.output) / again.json_file();
  const double tolerance = recheck.same_program ? 0 : records::kOtherArithmeticTolerance;
  auto values = recorded->sha256 == now->sha256 ? records::check_of_same_findings(path)
                                                : compare_in_memory(path, again, tolerance);
  if (!values) {
    recheck.values.not_done = fmt::format("{}: {}.", again.json_file(), sentence(values.error()));
    return {};
  }
  recheck.values = std::move(*values);
  const bool is_equal = recheck.values.different == 0;
  recorded->recomputed = is_equal ? records::Recomputed::equal : records::Recomputed::different;
  const std::string version = recheck.values.recorded_version.empty()
                                  ? recheck.checked_by
                                  : recheck.values.recorded_version;
  if (version != recheck.manifest.tool_version) {
    recheck.remarks.push_back(
        fmt::format("{} says that version {} made it, the manifest says {}: one of the two was "
                    "edited.",
                    again.json_file(), version, recheck.manifest.tool_version));
  }
  return {};
}

void replace_all(std::string& text, const std::string& was, const std::string& is) {
  for (std::size_t at = text.find(was); at != std::string::npos; at = text.find(was, at)) {
    text.replace(at, was.size(), is);
    at += is.size();
  }
}

/// A text that names the version that made it, with another one in its place.
std::string as_of_version(std::string text, const std::string& from, const std::string& to) {
  replace_all(text, "ohmglow " + from, "ohmglow " + to);
  replace_all(text, "\"version\": \"" + from + "\"", "\"version\": \"" + to + "\"");
  return text;
}

/// An output whose bytes are not those that were made again: whether it shows the same.
void look_closer(const RecheckGiven& given, const Again& again, const Recheck& recheck,
                 const FileRecord& made, FileCheck& check) {
  using records::Recomputed;
  check.recomputed = Recomputed::different;
  const bool is_other_version = recheck.manifest.tool_version != recheck.checked_by;
  const auto recorded = text_of(fs::path(given.output) / check.path);
  if (!recorded) return;
  if (!check.path.ends_with(".pdf")) {
    if (!is_other_version) return;
    const std::string as_ours =
        as_of_version(*recorded, recheck.manifest.tool_version, recheck.checked_by);
    if (records::record_of(check.path, as_ours).sha256 == made.sha256) {
      check.recomputed = Recomputed::equal;
    } else if (check.path.ends_with(".xlsx")) {
      check.recomputed = Recomputed::no;
      check.note = "another version made it";
    }
    return;
  }
  std::string now;
  Outputs outputs = Outputs::into(now, check.path);
  // That of a repair is none of the formats of assess.
  const std::string_view format = format_of(check.path);
  if (!again.write({format.empty() ? "pdf" : std::string(format)}, outputs)) return;
  const auto part = open_part<documents::Part>("documents");
  if (!part) {
    check.recomputed = Recomputed::no;
    check.note = sentence(part.error());
    return;
  }
  const auto compared =
      (*part)->compare(*recorded, now, {recheck.manifest.tool_version, recheck.checked_by});
  if (!compared) {
    check.note = sentence(compared.error());
    return;
  }
  if (compared->is_same) {
    check.recomputed = Recomputed::equal;
  } else if (compared->fonts_differ) {
    check.recomputed = Recomputed::no;
  }
  check.note = compared->difference;
}

/// The other outputs, written again: a number edited in a report and in the manifest shows here.
void compare_outputs(const RecheckGiven& given, const Again& again, Recheck& recheck) {
  using records::Recomputed;
  const auto is_same = [](const FileCheck& check) { return check.state == FileState::same; };
  const auto note_all = [&](const std::string& note) {
    for (FileCheck& check : recheck.outputs) {
      if (check.recomputed == Recomputed::no) check.note = note;
    }
  };
  if (!std::all_of(recheck.inputs.begin(), recheck.inputs.end(), is_same) ||
      !std::all_of(recheck.inputs_before.begin(), recheck.inputs_before.end(), is_same))
    return note_all("the inputs are not those that it was made from");
  std::vector<std::string> formats = recheck.manifest.options.formats;
  std::erase(formats, "json");
  Outputs outputs("");
  if (const auto written = again.write(formats, outputs); !written)
    return note_all("it cannot be made again: " + sentence(written.error()));
  for (FileCheck& check : recheck.outputs) {
    if (check.path == again.json_file() || check.state == FileState::missing ||
        check.state == FileState::added)
      continue;
    const auto made =
        std::find_if(outputs.files().begin(), outputs.files().end(),
                     [&check](const FileRecord& file) { return file.path == check.path; });
    if (made == outputs.files().end()) {
      check.note = "this program writes no such file";
      continue;
    }
    if (made->sha256 == check.sha256) {
      check.recomputed = Recomputed::equal;
    } else {
      look_closer(given, again, recheck, *made, check);
    }
    if (check.recomputed != Recomputed::different || check.state != FileState::same) continue;
    recheck.remarks.push_back(
        check.path +
        " is not what the inputs give, although it has the hash that the manifest "
        "records" +
        (check.note.empty() ? "." : ": " + check.note));
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

bool any_there(const std::vector<FileCheck>& inputs) {
  return std::any_of(inputs.begin(), inputs.end(), [](const FileCheck& check) {
    return check.state == FileState::same || check.state == FileState::changed;
  });
}

Result<void> find_signature(const RecheckGiven& given, const std::string& content,
                            Recheck& recheck) {
  std::error_code error;
  const bool is_there = fs::exists(signature_path(given.output), error);
  if (!given.public_key.empty()) {
    auto signature = check_signature(given.output, content, given.public_key);
    if (!signature) return fail(signature.error());
    recheck.signature = std::move(*signature);
  } else {
    recheck.signature.message =
        is_there ? "The manifest is signed, but no key was given: the signature was not checked."
                 : "Unsigned: nothing proves who made this result.";
  }
  recheck.signature.is_there = is_there;
  return {};
}

Result<Recheck> recheck_output(const RecheckGiven& given) {
  Recheck recheck;
  std::string content;
  auto read = records::read_manifest(given.output, &content);
  if (!read) return fail(read.error());
  recheck.manifest = std::move(*read);
  const Manifest& manifest = recheck.manifest;
  if (const auto found = find_signature(given, content, recheck); !found)
    return fail(found.error());
  const auto folder =
      find_survey(given.output, given.survey, manifest.survey_from_output, manifest);
  if (!folder) return fail(folder.error());
  Result<std::string> before = std::string();
  if (manifest.verify) {
    before = find_survey(given.output, given.before, manifest.verify->survey_from_output, manifest);
  }
  if (!before) return fail(before.error());
  recheck.output_folder = given.output;
  recheck.survey_folder = *folder;
  recheck.same_program = is_this_program(manifest);
  recheck.checked_by = kVersion;
  const Again again(given, manifest, *folder, *before);
  recheck.inputs = records::check_inputs(*folder, manifest.inputs, again.inputs_now());
  if (manifest.verify) {
    recheck.inputs_before =
        records::check_inputs(*before, manifest.verify->inputs, again.inputs_before_now());
  }
  if (!any_there(recheck.inputs))
    return fail({.kind = ErrorKind::missing,
                 .what = fmt::format("none of the result's {} inputs is in this folder",
                                     manifest.inputs.size()),
                 .mend = "name the survey that the result was made from with --survey",
                 .place = {.file = *folder}});
  recheck.outputs =
      records::check_outputs(given.output, manifest.outputs, again.files(given.output));
  compare_policy(manifest, recheck);
  const auto compared = again.made() ? compare_values(given, again, recheck) : again.made();
  if (compared) {
    compare_outputs(given, again, recheck);
  } else {
    recheck.values.not_done =
        "The survey cannot be assessed: " + sentence_with_place(compared.error()) + ".";
  }
  return recheck;
}

/// Today, as the machine has it: a certificate is dated.
std::string day_of_recheck() {
  const std::tm parts = local_time(std::time(nullptr));
  std::array<char, 16> text{};
  const std::size_t length = std::strftime(text.data(), text.size(), "%Y-%m-%d", &parts);
  return {text.data(), length};
}

Result<void> write_certificate(const std::string& file, const Recheck& recheck) {
  const std::string dated = day_of_recheck();
  const auto certificate = report::recheck_certificate(recheck, dated);
  Result<std::string> content = std::string();
  if (file.ends_with(".pdf")) {
    const auto part = open_part<documents::Part>("documents");
    if (!part) return fail(part.error());
    const auto paper = recheck.manifest.options.paper == "letter" ? documents::Paper::letter
                                                                  : documents::Paper::a4;
    content = (*part)->certificate(certificate, dated, paper);
  } else {
    content = report::recheck_html(certificate);
  }
  if (!content) return fail(content.error());
  if (auto written = records::write_atomically(file, *content); !written) return written;
  tell("wrote {}\n", file);
  return {};
}

/// 0 only where every output was made again and is equal, and no signature was left unchecked.
int exit_code_of(const Recheck& recheck) {
  const bool is_unchecked = recheck.signature.is_there && !recheck.signature.is_asked;
  return recheck.ending() == records::Ending::equal && !is_unchecked ? kDone : kSomeNotMeasured;
}

int recheck(const RecheckGiven& given) {
  const auto result = recheck_output(given);
  if (!result) {
    complain("recheck", result.error());
    return kNothingDone;
  }
  if (!given.certificate.empty()) {
    if (const auto written = write_certificate(given.certificate, *result); !written) {
      complain("recheck", written.error());
      return kNothingDone;
    }
  }
  if (given.json) {
    print_whole(records::recheck_json(*result));
  } else {
    print_whole(report::recheck_text(*result, {terminal_width(), false}));
  }
  return exit_code_of(*result);
}

}  // namespace

void add_recheck(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<RecheckGiven>();
  CLI::App* command = program.add_subcommand(
      "recheck",
      "What an auditor runs: hash every input and output of a result, compute it again, and list "
      "what is not the same");
  command->add_option("OUT", given->output, "Folder that assess -o or verify -o wrote")->required();
  command->add_option("--survey", given->survey,
                      "Survey folder, where it is no longer where it was beside OUT");
  command->add_option("--before", given->before,
                      "The same of the survey before the repair, for a result of verify");
  command
      ->add_option("--certificate", given->certificate,
                   "Write a dated certificate of the recheck: FILE.html or FILE.pdf")
      ->check([](const std::string& file) {
        return file.ends_with(".html") || file.ends_with(".pdf")
                   ? std::string()
                   : "found \"" + file + "\", expected a name that ends in .html or .pdf";
      });
  command->add_option("--public-key", given->public_key,
                      "Whose signature the manifest must bear: a file, or the key itself");
  command->add_option("--jobs", given->jobs, "Threads; 0 = one a core")->capture_default_str();
  command->add_flag("--json", given->json, "Print JSON in place of the text");
  command->footer(
      "Exit codes: 0 every output recomputed and equal; 1 something differs, was only hashed, was "
      "made by another version, or bears a signature that was not checked; 3 nothing could be "
      "rechecked. The last line says which.\n"
      "Example: ohmglow recheck bexley-report --survey bexley");
  command->callback([given, &exit_code] { exit_code = recheck(*given); });
}

}  // namespace ohmglow::cli
