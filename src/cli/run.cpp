#include "cli/run.h"

#include "cli/commands.h"
#include "cli/formats.h"
#include "cli/output_folder.h"
#include "cli/reader_options.h"
#include "cli/run_manifest.h"
#include "cli/talk.h"
#include "offered/report/report.h"

#include <unistd.h>

namespace ohmglow::cli {
namespace {

/// A terminal shows no more; the files do.
constexpr std::size_t kMostListed = 200;

}  // namespace

records::Manifest run_manifest(const Run& run, const std::string& output) {
  records::Manifest manifest = manifest_of(run.read.survey, run.policy_text, output);
  manifest.survey_folder = run.shown_folder;
  manifest.options = run.options;
  return manifest;
}

Result<void> write_results(const Run& run, const std::string& output) {
  if (const auto made = make_output_folder(output); !made) return made;
  records::Manifest manifest = run_manifest(run, output);
  Outputs outputs(output);
  const auto findings = write_formats(reported(run), run.options.formats, outputs);
  if (!findings) return fail(findings.error());
  manifest.findings_sha256 = findings->sha256;
  manifest.outputs = outputs.files();
  const records::Inputs inputs = assessment::inputs_of(run);
  auto written = outputs.write(std::string(records::kManifestFile), [&](const records::Sink& sink) {
    return records::write_manifest(manifest, inputs, sink);
  });
  return written ? outputs.put_in_place() : written;
}

Result<void> print_results(const Run& run, bool as_json) {
  if (as_json) {
    return run.results->write_findings(run.shown_folder, [](std::string_view text) -> Result<void> {
      print_whole(text);
      return {};
    });
  }
  const auto page = run.results->page(0, kMostListed);
  if (!page) return fail(page.error());
  const auto reader = reader_from(run.options);
  const WritingFor writing_for_reader(*reader);
  print_whole(report::ranked_text(*page, run.results->totals(),
                                  {terminal_width(), wants_colour(STDOUT_FILENO)}));
  return {};
}

}  // namespace ohmglow::cli
