#include "cli/run.h"

#include "cli/commands.h"
#include "cli/formats.h"
#include "cli/output_folder.h"
#include "cli/reader_options.h"
#include "cli/run_manifest.h"
#include "ohmglow/output_file.h"
#include "ohmglow/records.h"
#include "ohmglow/report.h"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <optional>
#include <unistd.h>
#include <unordered_map>

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;
using assessment::KeptResults;
using assessment::Words;
using records::FileRecord;

/// Findings that are in memory at once while a list of them is written.
constexpr std::size_t kPage = 100;
/// A terminal shows no more; the files do.
constexpr std::size_t kMostListed = 200;

constexpr std::string_view kJson = "json";
constexpr std::string_view kCsv = "csv";

records::KnownHash hashes_of(const Run& run) {
  const auto& images = run.read.survey.images;
  std::unordered_map<std::string_view, std::size_t> index;
  for (std::size_t i = 0; i < images.size(); ++i) index.emplace(images[i].file, i);
  return [index = std::move(index), &results = *run.results](const std::string& file) {
    const auto at = index.find(file);
    return at == index.end() ? std::string() : results.sha256_of(at->second);
  };
}

/// A file of the output folder, and the line that says so.
class Output {
 public:
  static Result<Output> create(const std::string& folder, std::string_view name) {
    const fs::path path = fs::path(folder) / name;
    auto file = records::OutputFile::create(path);
    if (!file) return fail(file.error());
    return Output(path, std::move(*file));
  }
  Result<void> write(std::string_view text) { return file_.write(text); }
  Result<FileRecord> finish() {
    auto record = file_.finish();
    if (record) fmt::print(stderr, "wrote {}\n", path_.string());
    return record;
  }

 private:
  Output(fs::path path, records::OutputFile file)
      : path_(std::move(path)), file_(std::move(file)) {}
  fs::path path_;
  records::OutputFile file_;
};

/// Its hash is in the manifest, be the file wanted or not.
Result<FileRecord> write_findings(const Run& run, const std::string& folder, bool is_wanted) {
  const KeptResults& results = *run.results;
  if (!is_wanted) {
    records::Hasher hasher;
    const auto written =
        results.write_findings(run.shown_folder, [&hasher](std::string_view text) -> Result<void> {
          hasher.add(text);
          return {};
        });
    if (!written) return fail(written.error());
    return hasher.record(records::kFindingsFile);
  }
  auto file = Output::create(folder, records::kFindingsFile);
  if (!file) return fail(file.error());
  const auto written = results.write_findings(
      run.shown_folder, [&file](std::string_view text) { return file->write(text); });
  if (!written) return fail(written.error());
  return file->finish();
}

Result<FileRecord> write_ranked_csv(const KeptResults& results, const std::string& folder) {
  auto file = Output::create(folder, report::kRankedCsvFile);
  if (!file) return fail(file.error());
  const std::size_t count = results.totals().findings;
  for (std::size_t first = 0; first == 0 || first < count; first += kPage) {
    const auto page = results.page(first, kPage, Words::plain);
    if (!page) return fail(page.error());
    if (const auto written = file->write(report::ranked_csv(*page, first == 0)); !written) {
      return fail(written.error());
    }
  }
  return file->finish();
}

/// The formats that look at the survey as a whole.
Result<std::vector<FileRecord>> write_reports(const Run& run, std::vector<std::string> names,
                                              const std::string& findings_sha256,
                                              const std::string& folder) {
  const WritingFor writing_for_reader(*run.reader);
  const auto whole = run.results->whole(Words::of_reader);
  if (!whole) return fail(whole.error());
  const auto writing = writing_for(run.policy_text, run.options, findings_sha256);
  if (!writing) return fail(writing.error());
  const auto files = write_formats(names, *whole, *writing);
  if (!files) return fail(files.error());
  if (const auto written = write_output_folder(folder, *files); !written) {
    return fail(written.error());
  }
  std::vector<FileRecord> records;
  for (const auto& [name, content] : *files) records.push_back(records::record_of(name, content));
  return records;
}

}  // namespace

Result<void> open_run(Run& run, const std::string& folder, assessment::Options with) {
  auto read = records::read_survey_without_marks(folder);
  if (!read) return fail(read.error());
  run.read = std::move(*read);
  run.shown_folder = run.read.survey.folder;
  with.judging = run.options.judging;
  with.limits.max_pixels = run.options.max_pixels;
  with.reader = run.reader = reader_from(run.options);
  run.parts = std::make_unique<assessment::MotorByMotor>(
      run.read.survey, run.policy, std::move(with),
      [&run, path = fs::path(folder)](const std::string& file, std::vector<Problem>& problems) {
        return records::read_marks_if_any(path, file, run.read.survey.phase_names, problems);
      });
  return {};
}

records::Manifest run_manifest(const Run& run, const std::string& output) {
  records::Manifest manifest = manifest_of(run.read.survey, run.policy_text, output);
  manifest.survey_folder = run.shown_folder;
  manifest.options = run.options;
  return manifest;
}

Result<void> write_results(const Run& run, const std::string& output) {
  if (const auto made = make_output_folder(output); !made) return made;
  const auto wants = [&run](std::string_view format) {
    const auto& formats = run.options.formats;
    return std::find(formats.begin(), formats.end(), format) != formats.end();
  };
  records::Manifest manifest = run_manifest(run, output);
  const auto findings = write_findings(run, output, wants(kJson));
  if (!findings) return fail(findings.error());
  manifest.findings_sha256 = findings->sha256;
  if (wants(kJson)) manifest.outputs.push_back(*findings);
  if (wants(kCsv)) {
    const auto csv = write_ranked_csv(*run.results, output);
    if (!csv) return fail(csv.error());
    manifest.outputs.push_back(*csv);
  }
  auto others = run.options.formats;
  std::erase_if(others, [](const std::string& name) { return is_for_machines(name); });
  if (!others.empty()) {
    auto reports = write_reports(run, std::move(others), findings->sha256, output);
    if (!reports) return fail(reports.error());
    manifest.outputs.insert(manifest.outputs.end(), reports->begin(), reports->end());
  }
  auto file = Output::create(output, records::kManifestFile);
  if (!file) return fail(file.error());
  const auto written = records::write_manifest(
      manifest, records::inputs_of(run.read.survey, run.policy_text, hashes_of(run)),
      [&file](std::string_view text) { return file->write(text); });
  if (!written) return written;
  const auto finished = file->finish();
  return finished ? Result<void>() : fail(finished.error());
}

Result<void> print_results(const Run& run, bool as_json) {
  if (as_json) {
    return run.results->write_findings(run.shown_folder, [](std::string_view text) -> Result<void> {
      fmt::print("{}", text);
      return {};
    });
  }
  const assessment::Totals totals = run.results->totals();
  const auto page = run.results->page(0, kMostListed, Words::of_reader);
  const WritingFor writing_for_reader(*run.reader);
  if (!page) return fail(page.error());
  const report::ListTotals counted{totals.findings, totals.measured, totals.unmarked,
                                   totals.rejected, totals.problems};
  fmt::print("{}",
             report::ranked_text(*page, counted, {terminal_width(), wants_colour(STDOUT_FILENO)}));
  return {};
}

}  // namespace ohmglow::cli
