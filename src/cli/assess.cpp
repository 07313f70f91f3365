#include "cli/commands.h"
#include "cli/formats.h"
#include "cli/output_folder.h"
#include "cli/run_manifest.h"
#include "cli/survey_commands.h"
#include "ohmglow/assessment.h"
#include "ohmglow/records.h"
#include "ohmglow/report.h"

#include <boost/timer/progress_display.hpp>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <iostream>
#include <opencv2/core.hpp>
#include <optional>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

struct Given {
  SurveyOptions survey;
  std::string output;
  std::vector<std::string> formats{"json", "csv", "html"};
  std::string paper = "a4";
  unsigned jobs = 0;
  std::string fail_at;
  std::string progress = "auto";
  double max_megapixels = 200;
  bool json = false;
};

/// Few images are done before a bar could be read.
constexpr std::size_t kFewImages = 50;

class Bar {
 public:
  Bar(const std::string& when, std::size_t images) {
    if (when == "always" || (when == "auto" && is_terminal(STDERR_FILENO) && images > kFewImages)) {
      bar_.emplace(static_cast<unsigned long>(images), std::cerr, "", "measuring ", "          ");
    }
  }
  void step() {
    if (bar_) ++*bar_;
  }
  [[nodiscard]] bool shown() const { return bar_.has_value(); }

 private:
  std::optional<boost::timer::progress_display> bar_;
};

/// What is written, and last the manifest that vouches for it.
Result<void> write_outputs(const Given& given, const diagnosis::Assessment& assessment,
                           const records::PolicyText& policy, std::uint64_t max_pixels) {
  if (given.output.empty()) return {};
  const records::RunOptions options{assessment.options, max_pixels, given.formats, given.paper};
  const auto writing = writing_for(policy, options, records::findings_json(assessment));
  if (!writing) return fail(writing.error());
  auto files = write_formats(given.formats, assessment, *writing);
  if (!files) return fail(files.error());
  auto manifest = manifest_of(assessment, policy, given.output, *files);
  manifest.options = options;
  manifest.findings_sha256 = records::record_of(records::kFindingsFile, writing->findings).sha256;
  files->push_back({std::string(records::kManifestFile), records::manifest_json(manifest)});
  return write_output_folder(given.output, *files);
}

/// Nothing measured and nothing read: there is no result to rank.
bool nothing_usable(const diagnosis::Assessment& assessment) {
  for (const auto& image : assessment.images) {
    if (image.status == diagnosis::ImageStatus::measured) return false;
  }
  for (const auto& motor : assessment.motors) {
    for (const auto& reading : motor.electrical) {
      if (reading.problem.empty()) return false;
    }
  }
  return true;
}

bool reaches(const diagnosis::Assessment& assessment, std::size_t band) {
  return std::any_of(
      assessment.findings.begin(), assessment.findings.end(),
      [band](const diagnosis::Finding& finding) { return finding.grade.band >= band; });
}

std::optional<std::size_t> fail_at_band(const Given& given, const severity::Policy& policy) {
  if (given.fail_at.empty()) return std::nullopt;
  if (const auto band = policy.index_of(given.fail_at)) return band;
  std::vector<std::string> ids;
  for (const auto& band : policy.bands) ids.push_back(band.id);
  throw CLI::ValidationError("--fail-at", fmt::format("found \"{}\", expected one of {}",
                                                      given.fail_at, fmt::join(ids, ", ")));
}

int assess(const Given& given) {
  // Images are spread over the cores whole; a region of a few hundred pixels gains nothing from
  // more.
  cv::setNumThreads(1);
  auto opened = open_survey(given.survey);
  if (!opened) {
    complain("assess", opened.error());
    return kNothingDone;
  }
  const auto fail_at = fail_at_band(given, opened->policy);
  assessment::Options options;
  options.judging = opened->judging;
  options.jobs = given.jobs;
  options.limits.max_pixels = static_cast<std::uint64_t>(given.max_megapixels * 1e6);
  Bar bar(given.progress, opened->survey.images.size());
  if (bar.shown()) options.progress = [&bar](std::size_t, std::size_t) { bar.step(); };

  const auto assessment =
      assessment::assess(std::move(opened->survey), std::move(opened->policy), options);
  list_problems("assess", assessment.problems);
  if (nothing_usable(assessment)) {
    complain("assess", Error{ErrorKind::empty,
                             "nothing in " + given.survey.folder +
                                 " could be measured: no marked, readable image and no reading",
                             {},
                             {},
                             "see the lines above, and docs/survey-folder.md"});
    return kNothingDone;
  }
  if (const auto written =
          write_outputs(given, assessment, opened->policy_text, options.limits.max_pixels);
      !written) {
    complain("assess", written.error());
    return kNothingDone;
  }
  if (given.json) {
    fmt::print("{}", records::findings_json(assessment));
  } else {
    fmt::print("{}",
               report::ranked_text(assessment, {terminal_width(), wants_colour(STDOUT_FILENO)}));
  }
  if (fail_at && reaches(assessment, *fail_at)) return kFailAtReached;
  return assessment.problems.empty() ? kDone : kSomeNotMeasured;
}

}  // namespace

void add_assess(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<Given>();
  CLI::App* command = program.add_subcommand(
      "assess",
      "The main job: measure every image, rank what is hot, hold it against the readings");
  add_survey_options(*command, given->survey);
  command->add_option("-o,--output", given->output,
                      "Folder for the results; without it they are only printed");
  command->add_option("--format", given->formats, "What to write, separated by commas")
      ->delimiter(',')
      ->check(CLI::IsMember(format_names()))
      ->default_str("json,csv,html");
  add_calculation_options(*command, given->survey);
  command->add_option("--paper", given->paper, "Size of the PDF's pages")
      ->check(CLI::IsMember({"a4", "letter"}))
      ->capture_default_str();
  command->add_option("--jobs", given->jobs, "Threads; 0 = one a core")->capture_default_str();
  command->add_option("--fail-at", given->fail_at, "Exit with 4 if a finding reaches this band");
  command->add_option("--progress", given->progress, "Progress bar on stderr")
      ->check(CLI::IsMember({"auto", "always", "never"}))
      ->capture_default_str();
  command->add_option("--max-megapixels", given->max_megapixels, "Refuse larger images")
      ->check(CLI::PositiveNumber)
      ->capture_default_str();
  command->add_flag("--json", given->json, "Print findings.json in place of the list");
  command->footer("Example: ohmglow assess bexley -o bexley-report --fail-at urgent");
  command->callback([given, &exit_code] { exit_code = assess(*given); });
}

}  // namespace ohmglow::cli
