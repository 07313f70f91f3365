#include "cli/commands.h"
#include "cli/survey_commands.h"
#include "ohmglow/records.h"
#include "ohmglow/report.h"

#include <fmt/format.h>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

struct Given {
  SurveyOptions survey;
  bool json = false;
};

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
  if (given.json) {
    fmt::print("{}", records::readings_json(assessment));
  } else {
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
      "readings", "The electrical side alone: unbalance, phase, excess, next step");
  add_survey_options(*command, given->survey);
  command->add_flag("--json", given->json, "Print JSON");
  command->footer("Example: ohmglow readings bexley --json");
  command->callback([given, &exit_code] { exit_code = readings(*given); });
}

}  // namespace ohmglow::cli
