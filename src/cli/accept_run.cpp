#include "cli/accept_run.h"

#include "cli/commands.h"
#include "cli/part.h"
#include "cli/reader_options.h"
#include "cli/run_manifest.h"
#include "offered/documents/documents.h"
#include "offered/report/acceptance_contents.h"
#include "offered/results/findings_texts.h"

#include <algorithm>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

constexpr std::string_view kAcceptancePdf = "acceptance.pdf";

report::AcceptanceSource source_of(const Accepted& accepted) {
  return {accepted.acceptance, accepted.limits, accepted.survey};
}

Result<std::string> pdf_of(const Accepted& accepted) {
  const auto part = open_part<documents::Part>("documents");
  if (!part) return fail(part.error());
  const bool is_letter = accepted.options.paper == "letter";
  return (*part)->acceptance(source_of(accepted),
                             is_letter ? documents::Paper::letter : documents::Paper::a4,
                             *reader_from(accepted.options));
}

Result<std::string> page_of(const Accepted& accepted) {
  const auto reader = reader_from(accepted.options);
  const WritingFor writing_for(*reader);
  return report::acceptance_html(source_of(accepted));
}

}  // namespace

Result<Accepted> accepted_of(const Run& run, const records::AcceptRun& asked) {
  auto limits = records::parse_limits(asked.limits);
  if (!limits) return fail(limits.error());
  auto whole = run.results->whole();
  if (!whole) return fail(whole.error());
  Accepted accepted{run.options, std::move(*whole), std::move(*limits), {}};
  accepted.survey.survey.folder = run.shown_folder;
  auto made = acceptance::accept(accepted.survey, accepted.limits, asked.request);
  if (!made) return fail(made.error());
  accepted.acceptance = std::move(*made);
  return accepted;
}

std::vector<std::string> accept_format_names() {
  return {"json", "html", "pdf"};
}

std::vector<std::string> accept_files() {
  return {std::string(records::kAcceptanceJson), std::string(report::kAcceptanceFile),
          std::string(kAcceptancePdf)};
}

Result<FileRecord> write_acceptance(const Accepted& accepted,
                                    const std::vector<std::string>& formats, Outputs& outputs) {
  const auto wants = [&formats](std::string_view name) {
    return std::find(formats.begin(), formats.end(), name) != formats.end();
  };
  const std::string json = records::acceptance_json(accepted.acceptance, accepted.limits);
  auto record = records::record_of(records::kAcceptanceJson, json);
  if (wants("json")) {
    if (const auto written = outputs.write(record.path, json); !written)
      return fail(written.error());
  }
  const auto write = [&outputs](std::string_view file, const Result<std::string>& text) {
    return text ? outputs.write(std::string(file), *text) : Result<void>(fail(text.error()));
  };
  if (wants("html")) {
    if (const auto written = write(report::kAcceptanceFile, page_of(accepted)); !written)
      return fail(written.error());
  }
  if (wants("pdf")) {
    if (const auto written = write(kAcceptancePdf, pdf_of(accepted)); !written)
      return fail(written.error());
  }
  return record;
}

std::string acceptance_text_of(const Accepted& accepted) {
  const auto reader = reader_from(accepted.options);
  const WritingFor writing_for(*reader);
  return report::acceptance_text(source_of(accepted),
                                 {terminal_width(), wants_colour(STDOUT_FILENO)});
}

Result<void> write_accepted(const Run& run, const Accepted& accepted,
                            const records::AcceptRun& asked, const std::string& output) {
  if (const auto made = make_output_folder(output); !made) return made;
  records::Manifest manifest = run_manifest(run, output);
  manifest.accept = asked;
  Outputs outputs(output);
  const auto json = write_acceptance(accepted, run.options.formats, outputs);
  if (!json) return fail(json.error());
  manifest.findings_sha256 = json->sha256;
  manifest.outputs = outputs.files();
  const records::Inputs inputs = assessment::inputs_of(run);
  auto written = outputs.write(std::string(records::kManifestFile), [&](const records::Sink& sink) {
    return records::write_manifest(manifest, inputs, sink);
  });
  return written ? outputs.put_in_place() : written;
}

}  // namespace ohmglow::cli
