#include "cli/run.h"

#include "cli/commands.h"
#include "cli/formats.h"
#include "cli/output_folder.h"
#include "cli/reader_options.h"
#include "cli/run_manifest.h"
#include "ohmglow/hashed_ahead.h"
#include "ohmglow/records.h"
#include "ohmglow/report.h"

#include <filesystem>
#include <fmt/format.h>
#include <mutex>
#include <optional>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

/// A terminal shows no more; the files do.
constexpr std::size_t kMostListed = 200;

}  // namespace

Result<void> open_run(Run& run, const std::string& folder, assessment::Options with) {
  auto read = records::read_large_survey(folder);
  if (!read) return fail(read.error());
  run.read = std::move(*read);
  run.shown_folder = run.read.survey.folder;
  with.judging = run.options.judging;
  with.limits.max_pixels = run.options.max_pixels;
  run.reader = reader_from(run.options);
  run.jobs = with.jobs;
  run.parts = std::make_unique<assessment::MotorByMotor>(
      run.read.survey, run.read.images, run.policy, std::move(with),
      [&run, path = fs::path(folder)](const std::string& file, std::vector<Problem>& problems) {
        return records::read_marks_if_any(path, file, run.read.survey.phase_names, problems);
      });
  return {};
}

std::vector<std::size_t> motors_of(const Run& run, const records::Shard& shard) {
  std::vector<std::size_t> its;
  for (std::size_t i = shard.number - 1; i < run.parts->motors().size(); i += shard.count) {
    its.push_back(i);
  }
  return its;
}

void keep_results(Run& run, std::vector<records::Journal> journals) {
  run.results =
      std::make_unique<assessment::KeptResults>(run.read.survey, run.policy, run.options.judging,
                                                *run.parts, std::move(journals), run.read.of_marks);
}

records::Manifest run_manifest(const Run& run, const std::string& output) {
  records::Manifest manifest = manifest_of(run.read.survey, run.policy_text, output);
  manifest.survey_folder = run.shown_folder;
  manifest.options = run.options;
  return manifest;
}

Result<void> measure(Run& run, std::span<const std::size_t> motors) {
  Result<void> added;
  std::mutex mutex;
  run.parts->assess(motors, [&](std::size_t motor, assessment::MotorState state) {
    auto done = run.results->add(motor, state);
    if (done) return true;
    const std::lock_guard lock(mutex);
    added = std::move(done);
    return false;
  });
  run.results->rank();
  return added;
}

records::Inputs inputs_of(const Run& run, const records::PolicyText& policy) {
  return assessment::hashed_ahead(
      records::inputs_of(run.read.survey, run.read.images, policy,
                         [&run](std::size_t image) { return run.results->sha256_of(image); }),
      run.jobs);
}

Result<void> write_results(const Run& run, const std::string& output) {
  if (const auto made = make_output_folder(output); !made) return made;
  records::Manifest manifest = run_manifest(run, output);
  Outputs outputs(output);
  const auto findings = write_formats(run, run.options.formats, outputs);
  if (!findings) return fail(findings.error());
  manifest.findings_sha256 = findings->sha256;
  manifest.outputs = outputs.files();
  const records::Inputs inputs = inputs_of(run, run.policy_text);
  return outputs.write(std::string(records::kManifestFile), [&](const records::Sink& sink) {
    return records::write_manifest(manifest, inputs, sink);
  });
}

Result<void> print_results(const Run& run, bool as_json) {
  if (as_json) {
    return run.results->write_findings(run.shown_folder, [](std::string_view text) -> Result<void> {
      fmt::print("{}", text);
      return {};
    });
  }
  const auto page = run.results->page(0, kMostListed);
  const WritingFor writing_for_reader(*run.reader);
  if (!page) return fail(page.error());
  fmt::print("{}", report::ranked_text(*page, run.results->totals(),
                                       {terminal_width(), wants_colour(STDOUT_FILENO)}));
  return {};
}

}  // namespace ohmglow::cli
