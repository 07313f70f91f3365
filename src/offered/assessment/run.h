#pragma once
/// A survey on its way from its folder to its results, motor by motor: the one way in which
/// anything that judges a survey comes by its results.

#include "offered/assessment/motor_by_motor.h"
#include "offered/intake/survey_tables.h"
#include "offered/results/kept_results.h"
#include "offered/results/manifest.h"

#include <filesystem>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::assessment {

/// Its members refer to each other.
struct Run {
  records::LargeSurvey read;
  severity::Policy policy;
  records::PolicyText policy_text;
  records::RunOptions options;
  unsigned jobs = 0;         ///< threads; 0 = one a core
  std::string shown_folder;  ///< as findings.json names the survey, wherever it lies
  std::unique_ptr<MotorByMotor> parts;
  std::unique_ptr<records::KeptResults> results;

  Run() = default;
  Run(const Run&) = delete;
  Run& operator=(const Run&) = delete;
};

/// Reads the survey's tables and cuts it into its motors; the options are there, and the policy
/// before anything is measured. `with` gives the threads and the progress. Errors: those of reading
/// the survey.
[[nodiscard]] Result<void> open_run(Run& run, const std::filesystem::path& folder, Options with);
/// The policy of that name or file, else the survey's own, else the default. Errors: unknown name,
/// unreadable or broken policy file.
[[nodiscard]] Result<void> choose_policy(Run& run, std::string_view name_or_file);

/// The motors that a shard has, every N-th in the order of results; without a shard all of them.
[[nodiscard]] std::vector<std::size_t> motors_of(const Run& run, const records::Shard& shard = {});

/// Gives the run its results, which these journals keep.
void keep_results(Run& run, std::vector<records::Journal> journals);
/// Takes over what the journals hold of these motors; see KeptResults::take_over.
[[nodiscard]] Result<std::vector<std::size_t>> take_over(Run& run,
                                                         std::span<const std::size_t> motors,
                                                         bool unchanged_files);

/// Measures and judges these motors over all cores, adds them to the run's results and ranks what
/// is there. Errors: the journal cannot be written.
[[nodiscard]] Result<void> measure(Run& run, std::span<const std::size_t> motors);
/// All of them, into a journal that is gone with the run.
[[nodiscard]] Result<void> measure(Run& run);

/// Every file that the run took in, once it is measured, for a reader that asks in their order.
[[nodiscard]] records::Inputs inputs_of(const Run& run);

}  // namespace ohmglow::assessment
