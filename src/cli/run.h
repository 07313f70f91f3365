#pragma once
/// A survey on its way from its folder to its results, motor by motor: what `assess`, `merge`
/// and `recheck` share.

#include "cli/survey_commands.h"
#include "ohmglow/kept_results.h"
#include "ohmglow/manifest.h"
#include "ohmglow/reader.h"
#include "ohmglow/survey_tables.h"

#include <memory>
#include <span>
#include <string>
#include <vector>

namespace ohmglow::cli {

/// Its members refer to each other.
struct Run {
  records::LargeSurvey read;
  severity::Policy policy;
  records::PolicyText policy_text;
  records::RunOptions options;
  std::shared_ptr<const Reader> reader;
  unsigned jobs = 0;         ///< threads; 0 = one a core
  std::string shown_folder;  ///< as findings.json names the survey, wherever it lies
  std::unique_ptr<assessment::MotorByMotor> parts;
  std::unique_ptr<assessment::KeptResults> results;

  Run() = default;
  Run(const Run&) = delete;
  Run& operator=(const Run&) = delete;
};

/// Reads the survey's tables and cuts it into its motors; the policy and the options are there.
/// `with` gives the threads and the progress. Errors: those of reading the survey.
[[nodiscard]] Result<void> open_run(Run& run, const std::string& folder, assessment::Options with);

/// The motors that a shard has, every N-th in the order of results; without a shard all of them.
[[nodiscard]] std::vector<std::size_t> motors_of(const Run& run, const records::Shard& shard = {});

/// Gives the run its results, which these journals keep.
void keep_results(Run& run, std::vector<records::Journal> journals);

/// What a run is, without inputs and outputs.
[[nodiscard]] records::Manifest run_manifest(const Run& run, const std::string& output);

/// Measures and judges these motors over all cores, adds them to the run's results and ranks what
/// is there. Errors: the journal cannot be written.
[[nodiscard]] Result<void> measure(Run& run, std::span<const std::size_t> motors);

/// Every file that the run takes in, once it is measured, for a reader that asks in their order.
[[nodiscard]] records::Inputs inputs_of(const Run& run, const records::PolicyText& policy);

/// Writes the formats of the run's options into the folder, and last the manifest that vouches for
/// them. Errors: what cannot be written.
[[nodiscard]] Result<void> write_results(const Run& run, const std::string& output);

/// The ranked list, or findings.json, on stdout.
[[nodiscard]] Result<void> print_results(const Run& run, bool as_json);

}  // namespace ohmglow::cli
