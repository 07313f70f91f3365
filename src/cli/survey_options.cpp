#include "cli/survey_options.h"

#include "cli/commands.h"
#include "ohmglow/survey_folder.h"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <map>

namespace ohmglow::cli {

void add_survey_options(CLI::App& command, SurveyOptions& options) {
  command.add_option("SURVEY", options.folder, "Survey folder")->required();
  add_judging_options(command, options);
}

void add_judging_options(CLI::App& command, SurveyOptions& options) {
  command.add_option(
      "--policy", options.policy,
      fmt::format("Band policy: {}, or a JSON file [{}]", fmt::join(records::policy_names(), ", "),
                  records::policy_names().front()));
  command
      .add_option("--reading-age", options.reading_age_d,
                  "Days from the image beyond which a reading counts as absent")
      ->check(CLI::NonNegativeNumber)
      ->capture_default_str();
  command.add_flag("--tests-by-effort", options.tests_by_effort,
                   "Choose the next test by what it tells per minute of work");
  add_measuring_options(command, options);
}

void add_measuring_options(CLI::App& command, SurveyOptions& options) {
  const std::map<std::string, diagnosis::Unconfirmed> unconfirmed{
      {"measure", diagnosis::Unconfirmed::measure}, {"skip", diagnosis::Unconfirmed::skip}};
  command
      .add_option("--unconfirmed", options.unconfirmed,
                  "Marks that nobody has confirmed: measure them and say so, or leave them out")
      ->transform(CLI::CheckedTransformer(unconfirmed))
      ->default_str("measure");
  command.add_option("--as-of", options.as_of,
                     "Day from which ages count where no date is written [today]");
}

void add_calculation_options(CLI::App& command, SurveyOptions& options) {
  const std::map<std::string, diagnosis::Reference> references{
      {"coolest", diagnosis::Reference::coolest}, {"median", diagnosis::Reference::median}};
  command.add_option("--reference", options.reference, "Which like lug a rise is counted from")
      ->transform(CLI::CheckedTransformer(references))
      ->default_str("coolest");
  const std::map<std::string, diagnosis::Uncertainty> propagations{
      {"linear", diagnosis::Uncertainty::linear},
      {"monte-carlo", diagnosis::Uncertainty::monte_carlo}};
  command
      .add_option("--uncertainty", options.uncertainty,
                  "How uncertainties are propagated: JCGM 100, or trials by JCGM 101")
      ->transform(CLI::CheckedTransformer(propagations))
      ->default_str("linear");
  command.add_option("--seed", options.seed, "Seed of the Monte Carlo trials")
      ->capture_default_str();
  const std::map<std::string, severity::Decision> decisions{
      {"simple", severity::Decision::simple}, {"guarded", severity::Decision::guarded}};
  command
      .add_option("--decision", options.decision,
                  "How values are held against limits: simple acceptance, or limits lowered by "
                  "1.64 standard uncertainties (JCGM 106)")
      ->transform(CLI::CheckedTransformer(decisions))
      ->default_str("simple");
}

diagnosis::Options judging_from(const SurveyOptions& options) {
  diagnosis::Options judging;
  judging.reading_age_d = options.reading_age_d;
  judging.tests_by_effort = options.tests_by_effort;
  judging.unconfirmed = options.unconfirmed;
  judging.reference = options.reference;
  judging.uncertainty = options.uncertainty;
  judging.decision = options.decision;
  judging.seed = options.seed;
  judging.as_of = options.as_of.empty() ? today() : day_option("--as-of", options.as_of);
  return judging;
}

}  // namespace ohmglow::cli
