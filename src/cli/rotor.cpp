#include "ohmglow/rotor.h"

#include "cli/commands.h"
#include "cli/reader_options.h"
#include "cli/talk.h"
#include "offered/intake/survey_tables.h"
#include "offered/report/report.h"
#include "offered/results/findings_texts.h"

#include <algorithm>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

struct RotorGiven {
  std::string folder;
  std::string motor;
  ReaderOptions reader;
  bool json = false;
};

/// Of the tables that a rotor is judged from.
std::vector<Problem> rotor_problems(const Survey& survey) {
  std::vector<Problem> its;
  for (const Problem& problem : survey.problems) {
    for (const std::string& file :
         {survey.tables.motors, survey.tables.sweeps, survey.tables.air_gap}) {
      if (problem.file == file) its.push_back(problem);
    }
  }
  return its;
}

bool is_known(const Survey& survey, const std::string& motor) {
  const auto has = [&motor](const auto& rows) {
    return std::any_of(rows.begin(), rows.end(),
                       [&motor](const auto& row) { return row.motor == motor; });
  };
  return survey.find_motor(motor) != nullptr || has(survey.sweeps) || has(survey.air_gaps);
}

int rotor(const RotorGiven& given) {
  const auto survey = records::read_tables(given.folder);
  if (!survey) {
    complain("rotor", survey.error());
    return kNothingDone;
  }
  const std::vector<Problem> problems = rotor_problems(*survey);
  list_problems("rotor", problems);
  if (!given.motor.empty() && !is_known(*survey, given.motor)) {
    complain("rotor", {.kind = ErrorKind::missing,
                       .what = "this motor is not in the survey",
                       .found = given.motor,
                       .mend = "name a motor of motors.csv"});
    return kNothingDone;
  }
  const auto rotors = rotor::rotors(
      *survey, given.motor.empty() ? std::nullopt : std::optional<std::string_view>(given.motor));
  const auto reader = reader_from(given.reader);
  if (given.json) print_whole(records::rotor_json(rotors, *survey));
  if (rotors.empty()) {
    complain("rotor", {.kind = ErrorKind::missing,
                       .what = "no usable sweep and no usable air gap in " + given.folder,
                       .mend = "write sweeps.csv or air_gap.csv"});
    return kNothingDone;
  }
  const WritingFor writing_for_reader(*reader);
  if (!given.json) {
    print_whole(
        report::rotor_text(rotors, *survey, {terminal_width(), wants_colour(STDOUT_FILENO)}));
  }
  return any_unused(problems) ? kSomeNotMeasured : kDone;
}

}  // namespace

void add_rotor(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<RotorGiven>();
  CLI::App* command = program.add_subcommand(
      "rotor", "Sweeps and air gaps: what pattern, what it can and cannot mean, the next test");
  command->add_option("SURVEY", given->folder, "Survey folder")->required();
  command->add_option("--motor", given->motor, "Of this motor alone");
  add_reader_options(*command, given->reader);
  command->add_flag("--json", given->json, "Print JSON");
  command->footer("Example: ohmglow rotor fan/before --motor DF-20");
  command->callback([given, &exit_code] { exit_code = rotor(*given); });
}

}  // namespace ohmglow::cli
