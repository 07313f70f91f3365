#include "cli/commands.h"
#include "cli/reader_options.h"
#include "cli/survey_options.h"
#include "cli/talk.h"
#include "offered/files/folder.h"
#include "offered/intake/mark_files.h"
#include "offered/report/report.h"
#include "offered/results/findings_texts.h"
#include "ohmglow/assessment.h"

#include <unistd.h>
#include <unordered_set>

namespace ohmglow::cli {
namespace {

struct ReadingsGiven {
  SurveyOptions survey;
  ReaderOptions reader;
  std::string html;
  bool json = false;
};

Result<void> write_page(const ReadingsGiven& given, const diagnosis::Assessment& assessment) {
  if (given.html.empty()) return {};
  const auto page = report::readings_html(assessment);
  if (!page) return fail(page.error());
  if (const auto written = records::write_atomically(given.html, *page); !written)
    return fail(written.error());
  tell("wrote {}\n", given.html);
  return {};
}

/// What is wrong with an image or its marks is no matter of the readings.
void leave_out_images(diagnosis::Assessment& assessment) {
  std::unordered_set<std::string> files;
  for (const ImageEntry& image : assessment.survey.images) {
    files.insert(image.file);
    files.insert(records::marks_path({}, image.file).generic_string());
  }
  std::erase_if(assessment.problems,
                [&files](const Problem& problem) { return files.contains(problem.file); });
}

/// The same results as `assess` keeps. Errors: those of reading the survey; no reading.
Result<diagnosis::Assessment> assess(const ReadingsGiven& given) {
  assessment::Options how;
  how.judging = judging_from(given.survey);
  auto whole = assessment::assess(given.survey.folder, how, given.survey.policy);
  if (!whole) return whole;
  leave_out_images(*whole);
  if (!whole->survey.readings.empty()) return whole;
  list_problems("readings", whole->problems);
  return fail({ErrorKind::missing,
               "no usable reading in " + given.survey.folder,
               {},
               {},
               "write readings.csv"});
}

int readings(const ReadingsGiven& given) {
  const auto assessment = assess(given);
  if (!assessment) {
    complain("readings", assessment.error());
    return kNothingDone;
  }
  const auto reader = reader_from(given.reader);
  if (given.json) print_whole(records::readings_json(*assessment));
  const WritingFor writing_for_reader(*reader);
  if (const auto written = write_page(given, *assessment); !written) {
    complain("readings", written.error());
    return kNothingDone;
  }
  if (!given.json) {
    print_whole(
        report::readings_text(*assessment, {terminal_width(), wants_colour(STDOUT_FILENO)}));
  }
  list_problems("readings", assessment->problems);
  return any_unused(assessment->problems) ? kSomeNotMeasured : kDone;
}

}  // namespace

void add_readings(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<ReadingsGiven>();
  CLI::App* command = program.add_subcommand(
      "readings",
      "The electrical side alone: phase, excess, severity, the hot spot to expect, next step");
  add_survey_options(*command, given->survey);
  add_reader_options(*command, given->reader);
  command->add_flag("--json", given->json, "Print JSON");
  command->add_option("--html", given->html, "Write the same as one page to this file");
  command->footer(
      "Images in the folder are measured too: it says of a motor what assess says.\n"
      "Example: ohmglow readings bexley --json");
  command->callback([given, &exit_code] { exit_code = readings(*given); });
}

}  // namespace ohmglow::cli
