#include "cli/commands.h"
#include "cli/output_folder.h"
#include "cli/reader_options.h"
#include "cli/survey_options.h"
#include "cli/talk.h"
#include "offered/diagnosis/verification.h"
#include "offered/report/report.h"
#include "offered/results/findings_texts.h"
#include "ohmglow/assessment.h"

#include <unistd.h>

namespace ohmglow::cli {
namespace {

using diagnosis::Change;

struct VerifyGiven {
  SurveyOptions first;
  ReaderOptions reader;
  std::string second;
  std::string output;
  std::string fail_at;
  diagnosis::VerifyOptions options;
  unsigned jobs = 0;
  bool json = false;
};

/// Two surveys and what became of each fault.
struct Compared {
  diagnosis::Assessment before;
  diagnosis::Assessment after;
  diagnosis::Verification verification;
};

Result<Compared> compare(const VerifyGiven& given) {
  assessment::Options how;
  how.judging = judging_from(given.first);
  how.jobs = given.jobs;
  auto before = assessment::assess(given.first.folder, how, given.first.policy);
  if (!before) return fail(before.error());
  // Two surveys are judged by one policy.
  auto after = assessment::assess(given.second, how, before->policy);
  if (!after) return fail(after.error());
  auto verification = diagnosis::verify(*before, *after, given.options);
  return Compared{std::move(*before), std::move(*after), std::move(verification)};
}

std::string json_of(const Compared& compared) {
  return records::verification_json(compared.verification, compared.before, compared.after);
}

Result<void> write_outputs(const VerifyGiven& given, const Compared& compared,
                           const Reader& reader) {
  if (given.output.empty()) return {};
  Outputs outputs(given.output);
  if (auto written = outputs.write("verification.json", json_of(compared)); !written) {
    return written;
  }
  const WritingFor writing_for(reader);
  const auto page =
      report::verification_html(compared.verification, compared.before, compared.after);
  if (!page) return fail(page.error());
  auto written = outputs.write("verification.html", *page);
  return written ? outputs.put_in_place() : written;
}

int exit_code_of(const VerifyGiven& given, const diagnosis::Verification& verification,
                 bool had_problems) {
  const bool worse = verification.any_fault(Change::worse);
  const bool unchanged = verification.any_fault(Change::unchanged);
  if ((!given.fail_at.empty() && worse) || (given.fail_at == "unchanged" && unchanged))
    return kFailAtReached;
  return had_problems || verification.any_fault(Change::not_comparable) ? kSomeNotMeasured : kDone;
}

int refuse(const Error& error) {
  complain("verify", error);
  return kNothingDone;
}

int verify(const VerifyGiven& given) {
  const auto reader = reader_from(given.reader);
  const auto compared = compare(given);
  if (!compared) return refuse(compared.error());
  list_problems("verify", compared->before.problems);
  list_problems("verify", compared->after.problems);
  if (!compared->verification.anything_compared()) {
    return refuse(Error{ErrorKind::empty,
                        "no lug and no reading of " + given.first.folder +
                            " can be compared with one of " + given.second,
                        {},
                        "the same motors, components and lug names, measured again later",
                        {}});
  }
  if (const auto written = write_outputs(given, *compared, *reader); !written) {
    return refuse(written.error());
  }
  if (given.json) {
    print_whole(json_of(*compared));
  } else {
    const WritingFor writing_for(*reader);
    print_whole(report::verification_text(compared->verification, compared->after,
                                          {terminal_width(), wants_colour(STDOUT_FILENO)}));
  }
  return exit_code_of(
      given, compared->verification,
      any_unused(compared->before.problems) || any_unused(compared->after.problems));
}

void add_limits(CLI::App& command, diagnosis::VerifyOptions& options) {
  command
      .add_option("--load-ratio", options.load_ratio,
                  "Larger load over smaller beyond which rises are not compared")
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
                      "Folder for verification.json and verification.html");
  add_limits(*command, given->options);
  add_money(*command, given->options);
  add_reader_options(*command, given->reader);
  command->add_option("--jobs", given->jobs, "Threads; 0 = one a core")->capture_default_str();
  command
      ->add_option("--fail-at", given->fail_at,
                   "Exit with 4 if a fault is worse; \"unchanged\": also if one is unchanged")
      ->check(CLI::IsMember({"worse", "unchanged"}));
  command->add_flag("--json", given->json, "Print verification.json in place of the text");
  command->footer(
      "Example: ohmglow verify bexley bexley-after -o bexley-repairs --price-per-kwh 0.14 "
      "--hours-per-year 4000");
  command->callback([given, &exit_code] { exit_code = verify(*given); });
}

}  // namespace ohmglow::cli
