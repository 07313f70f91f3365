#include "cli/accept_run.h"
#include "cli/commands.h"
#include "cli/reader_options.h"
#include "cli/survey_options.h"
#include "cli/talk.h"
#include "offered/results/findings_texts.h"

#include <charconv>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace ohmglow::cli {
namespace {

using acceptance::Conclusion;

struct AcceptGiven {
  SurveyOptions survey;
  ReaderOptions reader;
  std::string motor;
  std::string stage;
  std::string limits;
  std::vector<std::string> costs;
  std::string output;
  std::vector<std::string> formats{"json", "html", "pdf"};
  std::string paper = "a4";
  std::string fail_at;
  unsigned jobs = 0;
  bool json = false;
};

int refuse(const Error& error) {
  complain("accept", error);
  return kNothingDone;
}

// "vibration=900"
std::string check_cost(const std::string& text) {
  const auto at = text.find('=');
  const std::string name = text.substr(0, at);
  double amount = 0;
  const char* end = text.data() + text.size();
  const bool is_amount = at != std::string::npos &&
                         std::from_chars(text.data() + at + 1, end, amount).ptr == end &&
                         amount >= 0;
  if (acceptance::check_named(name) && is_amount) return "";
  return fmt::format("\"{}\" is not CHECK=AMOUNT, as vibration=900", text);
}

std::map<acceptance::Check, double> costs_from(const std::vector<std::string>& texts) {
  std::map<acceptance::Check, double> costs;
  for (const std::string& text : texts) {
    const auto at = text.find('=');
    costs[*acceptance::check_named(text.substr(0, at))] = std::stod(text.substr(at + 1));
  }
  return costs;
}

Result<records::AcceptRun> asked_from(const AcceptGiven& given) {
  auto limits = records::find_limits(given.limits);
  if (!limits) return fail(limits.error());
  return records::AcceptRun{
      {given.motor, *acceptance::stage_named(given.stage), costs_from(given.costs)},
      std::move(*limits)};
}

Result<void> measure(Run& run, const AcceptGiven& given) {
  run.options.judging = judging_from(given.survey);
  run.options.max_pixels = imaging::ReadLimits{}.max_pixels;
  run.options.formats = given.formats;
  run.options.paper = given.paper;
  keep_reader(given.reader, run.options);
  assessment::Options with;
  with.jobs = given.jobs;
  if (auto opened = assessment::open_run(run, given.survey.folder, std::move(with)); !opened)
    return opened;
  if (auto chosen = assessment::choose_policy(run, ""); !chosen) return chosen;
  return assessment::measure(run);
}

int exit_code_of(const AcceptGiven& given, const Accepted& accepted) {
  const Conclusion conclusion = accepted.acceptance.conclusion;
  if (given.fail_at == "reject" && conclusion == Conclusion::reject) return kFailAtReached;
  if (given.fail_at == "conditions" && conclusion != Conclusion::accept) return kFailAtReached;
  return any_unused(accepted.survey.problems) ? kSomeNotMeasured : kDone;
}

int accept(const AcceptGiven& given) {
  const auto asked = asked_from(given);
  if (!asked) return refuse(asked.error());
  Run run;
  if (const auto measured = measure(run, given); !measured) return refuse(measured.error());
  const auto accepted = accepted_of(run, *asked);
  if (!accepted) return refuse(accepted.error());
  list_problems("accept", accepted->survey.problems);
  if (!given.output.empty()) {
    if (const auto written = write_accepted(run, *accepted, *asked, given.output); !written)
      return refuse(written.error());
  }
  print_whole(given.json ? records::acceptance_json(accepted->acceptance, accepted->limits)
                         : acceptance_text_of(*accepted));
  return exit_code_of(given, *accepted);
}

}  // namespace

void add_accept(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<AcceptGiven>();
  CLI::App* command = program.add_subcommand(
      "accept",
      "Acceptance of a bought, repaired or installed motor: each check against its limit");
  command->add_option("SURVEY", given->survey.folder, "Survey folder")->required();
  add_measuring_options(*command, given->survey);
  command->add_option("--motor", given->motor, "Of this motor")->required();
  command->add_option("--stage", given->stage, "What has happened to it")
      ->check(CLI::IsMember({"bought", "repaired", "installed"}))
      ->required();
  command->add_option(
      "--limits", given->limits,
      fmt::format("Limits: {}, or a JSON file", fmt::join(records::limits_names(), ", ")));
  command
      ->add_option("--cost", given->costs,
                   "What it may cost to put a check right that fails, as vibration=900; repeatable")
      ->check(check_cost);
  command->add_option(
      "-o,--output", given->output,
      "Folder for the certificate: acceptance.json, the page, the PDF, manifest.json");
  command
      ->add_option("--format", given->formats,
                   fmt::format("What to write into it: {}", fmt::join(accept_format_names(), ", ")))
      ->delimiter(',')
      ->check(CLI::IsMember(accept_format_names()))
      ->capture_default_str();
  command->add_option("--paper", given->paper, "Of the PDF")
      ->check(CLI::IsMember({"a4", "letter"}))
      ->capture_default_str();
  add_reader_options(*command, given->reader);
  command->add_option("--jobs", given->jobs, "Threads; 0 = one a core")->capture_default_str();
  command
      ->add_option("--fail-at", given->fail_at,
                   "Exit with 4 if the motor is not to be accepted; \"conditions\": also with "
                   "conditions")
      ->check(CLI::IsMember({"reject", "conditions"}));
  command->add_flag("--json", given->json, "Print acceptance.json in place of the text");
  command->footer("Example: ohmglow accept fan/before --motor DF-20 --stage bought -o certificate");
  command->callback([given, &exit_code] { exit_code = accept(*given); });
}

}  // namespace ohmglow::cli
