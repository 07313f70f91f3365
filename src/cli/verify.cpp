#include "cli/commands.h"
#include "cli/reader_options.h"
#include "cli/survey_options.h"
#include "cli/talk.h"
#include "cli/verify_run.h"
#include "offered/results/findings_texts.h"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

using diagnosis::Change;

struct VerifyGiven {
  SurveyOptions first;
  ReaderOptions reader;
  std::string second;
  std::string output;
  std::vector<std::string> formats{"json", "html"};
  std::string paper = "a4";
  std::string fail_at;
  std::vector<double> downtime_h;
  diagnosis::VerifyOptions options;
  unsigned jobs = 0;
  bool json = false;
};

VerifyJob job_from(const VerifyGiven& given) {
  VerifyJob job;
  job.before = given.first.folder;
  job.after = given.second;
  job.options.judging = judging_from(given.first);
  job.options.max_pixels = imaging::ReadLimits{}.max_pixels;
  job.options.formats = given.formats;
  job.options.paper = given.paper;
  keep_reader(given.reader, job.options);
  job.verify = given.options;
  if (!given.downtime_h.empty()) {
    job.verify.downtime_h =
        severity::Assumed{given.downtime_h[0], given.downtime_h[1], given.downtime_h[2]};
  }
  job.jobs = given.jobs;
  job.choose_policy = [&given](Run& run) {
    return assessment::choose_policy(run, given.first.policy);
  };
  return job;
}

int exit_code_of(const VerifyGiven& given, const diagnosis::Verification& verification,
                 bool had_problems) {
  const bool worse = verification.any_fault(Change::worse) || verification.any_fault(Change::moved);
  const bool unchanged = verification.any_fault(Change::unchanged);
  if ((!given.fail_at.empty() && worse) || (given.fail_at == "unchanged" && unchanged))
    return kFailAtReached;
  const bool some_not_compared = verification.any_fault(Change::not_comparable) ||
                                 verification.any_fault(Change::unproven) ||
                                 !verification.open.empty();
  return had_problems || some_not_compared ? kSomeNotMeasured : kDone;
}

int refuse(const Error& error) {
  complain("verify", error);
  return kNothingDone;
}

int verify(const VerifyGiven& given) {
  VerifiedSurveys all;
  const VerifyJob job = job_from(given);
  if (const auto verified = verify_surveys(all, job); !verified) return refuse(verified.error());
  list_problems("verify", all.assessed_before->problems);
  list_problems("verify", all.assessed_after->problems);
  if (!all.verification.anything_compared() && all.shops.empty()) {
    return refuse(Error{ErrorKind::empty,
                        "no lug and no reading of " + given.first.folder +
                            " can be compared with one of " + given.second,
                        {},
                        "the same motors, components and lug names, measured again later",
                        {}});
  }
  if (!given.output.empty()) {
    if (const auto written = write_verified(all, job, given.output); !written)
      return refuse(written.error());
  }
  if (given.json) {
    print_whole(verification_json_of(all));
  } else {
    print_whole(verification_text_of(all));
  }
  return exit_code_of(
      given, all.verification,
      any_unused(all.assessed_before->problems) || any_unused(all.assessed_after->problems));
}

void add_limits(CLI::App& command, diagnosis::VerifyOptions& options) {
  command
      .add_option("--load-ratio", options.load_ratio,
                  "How many times smaller the load after may be; a larger one proves all the more")
      ->check(CLI::Range(1.0, 10.0))
      ->capture_default_str();
  command
      .add_option("--emissivity-change", options.emissivity_change,
                  "Difference of the emissivities used beyond which rises are not compared")
      ->check(CLI::Range(0.0, 1.0))
      ->capture_default_str();
}

void add_money(CLI::App& command, diagnosis::VerifyOptions& options) {
  command.add_option("--price-per-kwh", options.price_per_kwh, "Price of energy")
      ->check(CLI::NonNegativeNumber);
  command.add_option("--hours-per-year", options.hours_per_year, "Running hours a year")
      ->check(CLI::Range(0.0, 8784.0));
  command.add_option("--repair-cost", options.repair_cost, "What the repair of one motor cost")
      ->check(CLI::NonNegativeNumber);
  command
      .add_option("--period-years", options.period_years,
                  "Years over which a failure counts as avoided")
      ->check(CLI::Range(0.1, 30.0))
      ->capture_default_str();
  command
      .add_option("--failure-probability", options.failure_probability,
                  "Of a failure within a year, had nobody repaired [the policy's, assumed]")
      ->check(CLI::Range(0.0, 1.0));
}

}  // namespace

void add_verify(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<VerifyGiven>();
  CLI::App* command = program.add_subcommand(
      "verify", "Did the repair work: two surveys, lug by lug and reading by reading");
  command->add_option("BEFORE", given->first.folder, "Survey folder before the repair")->required();
  command->add_option("AFTER", given->second, "Survey folder after the repair")->required();
  add_judging_options(*command, given->first);
  command->add_option("-o,--output", given->output,
                      "Folder for verification.json, the pages and manifest.json");
  command
      ->add_option("--format", given->formats,
                   fmt::format("What to write into it: {}", fmt::join(verify_format_names(), ", ")))
      ->delimiter(',')
      ->check(CLI::IsMember(verify_format_names()))
      ->capture_default_str();
  command->add_option("--paper", given->paper, "Of the PDF")
      ->check(CLI::IsMember({"a4", "letter"}))
      ->capture_default_str();
  add_limits(*command, given->options);
  add_money(*command, given->options);
  command
      ->add_option("--downtime-h", given->downtime_h,
                   "Hours of an unplanned stop: least, likely, most [from repair_h, assumed]")
      ->delimiter(',')
      ->expected(3)
      ->check(CLI::NonNegativeNumber);
  add_reader_options(*command, given->reader);
  command->add_option("--jobs", given->jobs, "Threads; 0 = one a core")->capture_default_str();
  command
      ->add_option("--fail-at", given->fail_at,
                   "Exit with 4 if a fault is worse or has moved; \"unchanged\": also if one is "
                   "unchanged")
      ->check(CLI::IsMember({"worse", "unchanged"}));
  command->add_flag("--json", given->json, "Print verification.json in place of the text");
  command->footer(
      "Example: ohmglow verify bexley bexley-after -o bexley-repairs --price-per-kwh 0.14 "
      "--hours-per-year 4000");
  command->callback([given, &exit_code] { exit_code = verify(*given); });
}

}  // namespace ohmglow::cli
