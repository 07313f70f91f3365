#include "cli/verify_run.h"

#include "cli/commands.h"
#include "cli/part.h"
#include "cli/reader_options.h"
#include "cli/reports.h"
#include "cli/run_manifest.h"
#include "offered/documents/documents.h"
#include "offered/report/acceptance_contents.h"
#include "offered/results/findings_texts.h"

#include <algorithm>
#include <array>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

constexpr std::string_view kPdf = "verification.pdf";

Result<void> open_survey(Run& run, const VerifyJob& job, const std::string& folder,
                         const std::string& shown_folder) {
  run.options = job.options;
  assessment::Options with;
  with.jobs = job.jobs;
  if (auto opened = assessment::open_run(run, folder, std::move(with)); !opened) return opened;
  if (!shown_folder.empty()) run.shown_folder = shown_folder;
  return {};
}

Result<void> take_results(Run& run, std::optional<diagnosis::Assessment>& assessed) {
  if (auto measured = assessment::measure(run); !measured) return measured;
  auto whole = run.results->whole();
  if (!whole) return fail(whole.error());
  assessed = std::move(*whole);
  assessed->survey.folder = run.shown_folder;
  return {};
}

Result<void> write_page(const VerifiedSurveys& all, const report::VerificationSource& source,
                        Outputs& outputs) {
  const auto reader = reader_from(all.after.options);
  const WritingFor writing_for(*reader);
  const auto page = report::verification_html(source);
  if (!page) return fail(page.error());
  return outputs.write(std::string(report::kVerificationFile), *page);
}

Result<void> write_pdf(const VerifiedSurveys& all, const report::VerificationSource& source,
                       Outputs& outputs) {
  const auto part = open_part<documents::Part>("documents");
  if (!part) return fail(part.error());
  const records::RunOptions& options = all.after.options;
  const auto paper = options.paper == "letter" ? documents::Paper::letter : documents::Paper::a4;
  const auto pdf = (*part)->verification(source, paper, *reader_from(options));
  if (!pdf) return fail(pdf.error());
  return outputs.write(std::string(kPdf), *pdf);
}

bool has(const std::vector<std::string>& formats, std::string_view name) {
  return std::find(formats.begin(), formats.end(), name) != formats.end();
}

std::vector<FileRecord> all_of(const records::Inputs& inputs) {
  std::vector<FileRecord> files;
  for (std::size_t i = 0; i < inputs.count; ++i) {
    if (auto file = inputs.record(i)) files.push_back(std::move(*file));
  }
  return files;
}

}  // namespace

Result<void> verify_surveys(VerifiedSurveys& all, const VerifyJob& job) {
  if (auto opened = open_survey(all.before, job, job.before, job.shown_before); !opened)
    return opened;
  if (auto chosen = job.choose_policy(all.before); !chosen) return chosen;
  if (auto taken = take_results(all.before, all.assessed_before); !taken) return taken;
  if (auto opened = open_survey(all.after, job, job.after, job.shown_after); !opened) return opened;
  all.after.policy = all.before.policy;
  // The text is no file of the second survey.
  all.after.policy_text = all.before.policy_text;
  if (all.after.policy_text.origin == records::PolicyOrigin::survey_file) {
    all.after.policy_text.origin = records::PolicyOrigin::other_file;
  }
  if (auto taken = take_results(all.after, all.assessed_after); !taken) return taken;
  all.verification = diagnosis::verify(*all.assessed_before, *all.assessed_after, job.verify);
  const auto limits = records::shipped_limits();
  if (!limits) return fail(limits.error());
  all.shops = acceptance::compare_shops(*all.assessed_before, *all.assessed_after, *limits);
  return {};
}

std::vector<std::string> verify_format_names() {
  return {"json", "html", "pdf"};
}

std::vector<std::string> verify_files() {
  return {std::string(records::kVerificationJson), std::string(report::kVerificationFile),
          std::string(kPdf)};
}

Result<FileRecord> write_verification(const VerifiedSurveys& all,
                                      const std::vector<std::string>& formats, Outputs& outputs) {
  const std::string json = verification_json_of(all);
  const auto record = records::record_of(records::kVerificationJson, json);
  if (has(formats, "json")) {
    if (const auto written = outputs.write(record.path, json); !written)
      return fail(written.error());
  }
  const report::OpenImage open_before = image_opener(reported(all.before));
  const report::OpenImage open_after = image_opener(reported(all.after));
  const report::VerificationSource source{all.verification,    *all.assessed_before,
                                          *all.assessed_after, open_before,
                                          open_after,          all.shops};
  if (has(formats, "html")) {
    if (const auto written = write_page(all, source, outputs); !written)
      return fail(written.error());
  }
  if (has(formats, "pdf")) {
    if (const auto written = write_pdf(all, source, outputs); !written)
      return fail(written.error());
  }
  return record;
}

std::string verification_json_of(const VerifiedSurveys& all) {
  return records::verification_json(all.verification, *all.assessed_before, *all.assessed_after,
                                    all.shops);
}

std::string verification_text_of(const VerifiedSurveys& all) {
  const auto reader = reader_from(all.after.options);
  const WritingFor writing_for(*reader);
  const report::TextOptions options{terminal_width(), wants_colour(STDOUT_FILENO)};
  return report::acceptance_changes_text(all.shops, options) +
         report::verification_text(all.verification, *all.assessed_after, options);
}

Result<void> write_verified(const VerifiedSurveys& all, const VerifyJob& job,
                            const std::string& output) {
  if (const auto made = make_output_folder(output); !made) return made;
  records::Manifest manifest = run_manifest(all.after, output);
  manifest.policy = all.before.policy_text;
  const records::Manifest before = run_manifest(all.before, output);
  manifest.verify = records::VerifyRun{before.survey_folder, before.survey_from_output, job.verify,
                                       all_of(assessment::inputs_of(all.before))};
  Outputs outputs(output);
  const auto json = write_verification(all, job.options.formats, outputs);
  if (!json) return fail(json.error());
  manifest.findings_sha256 = json->sha256;
  manifest.outputs = outputs.files();
  const records::Inputs inputs = assessment::inputs_of(all.after);
  auto written = outputs.write(std::string(records::kManifestFile), [&](const records::Sink& sink) {
    return records::write_manifest(manifest, inputs, sink);
  });
  return written ? outputs.put_in_place() : written;
}

}  // namespace ohmglow::cli
