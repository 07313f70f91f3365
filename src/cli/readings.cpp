#include "cli/commands.h"
#include "cli/reader_options.h"
#include "cli/survey_commands.h"
#include "ohmglow/records.h"
#include "ohmglow/report.h"

#include <fmt/format.h>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

struct Given {
  SurveyOptions survey;
  ReaderOptions reader;
  std::string html;
  bool json = false;
};

Result<void> write_page(const Given& given, const diagnosis::Assessment& assessment) {
  if (given.html.empty()) return {};
  const auto page = report::readings_html(assessment);
  if (!page) return fail(page.error());
  if (const auto written = records::write_atomically(given.html, *page); !written)
    return fail(written.error());
  fmt::print(stderr, "wrote {}\n", given.html);
  return {};
}

int readings(const Given& given) {
  auto opened = open_survey(given.survey);
  if (!opened) {
    complain("readings", opened.error());
    return kNothingDone;
  }
  if (opened->survey.readings.empty()) {
    list_problems("readings", opened->survey.problems);
    complain("readings", Error{ErrorKind::missing,
                               "no usable reading in " + given.survey.folder,
                               {},
                               {},
                               "write readings.csv"});
    return kNothingDone;
  }
  const auto assessment =
      diagnosis::judge(std::move(opened->survey), {}, std::move(opened->policy), opened->judging);
  if (given.json) fmt::print("{}", records::readings_json(assessment));
  const auto reader = reader_from(given.reader);
  const WritingFor writing_for_reader(*reader);
  if (const auto written = write_page(given, assessment); !written) {
    complain("readings", written.error());
    return kNothingDone;
  }
  if (!given.json) {
    fmt::print("{}",
               report::readings_text(assessment, {terminal_width(), wants_colour(STDOUT_FILENO)}));
  }
  list_problems("readings", assessment.problems);
  return assessment.problems.empty() ? kDone : kSomeNotMeasured;
}

}  // namespace

void add_readings(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<Given>();
  CLI::App* command = program.add_subcommand(
      "readings",
      "The electrical side alone: phase, excess, severity, the hot spot to expect, next step");
  add_survey_options(*command, given->survey);
  add_reader_options(*command, given->reader);
  command->add_flag("--json", given->json, "Print JSON");
  command->add_option("--html", given->html, "Write the same as one page to this file");
  command->footer("Example: ohmglow readings bexley --json");
  command->callback([given, &exit_code] { exit_code = readings(*given); });
}

}  // namespace ohmglow::cli
