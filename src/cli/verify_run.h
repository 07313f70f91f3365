#pragma once
/// Two surveys held against each other, and the files of it: what `verify` and `recheck` do.

#include "cli/output_folder.h"
#include "cli/run.h"
#include "offered/diagnosis/verification.h"
#include "ohmglow/acceptance.h"

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace ohmglow::cli {

/// What is compared with what, and how.
struct VerifyJob {
  std::string before;
  std::string after;
  std::string shown_before;  ///< as verification.json names the folders, wherever they lie
  std::string shown_after;
  records::RunOptions options;
  diagnosis::VerifyOptions verify;
  unsigned jobs = 0;
  /// Gives the first survey's run its policy, by which both are judged.
  std::function<Result<void>(Run& before)> choose_policy;
};

/// Its members refer to each other.
struct VerifiedSurveys {
  Run before;
  Run after;
  std::optional<diagnosis::Assessment> assessed_before;
  std::optional<diagnosis::Assessment> assessed_after;
  diagnosis::Verification verification;
  std::vector<acceptance::Compared> shops;  ///< motors on the bench both times
};

/// Errors: those of reading and measuring either survey.
[[nodiscard]] Result<void> verify_surveys(VerifiedSurveys& all, const VerifyJob& job);

[[nodiscard]] std::vector<std::string> verify_format_names();
/// Every file that a run of verify may have written.
[[nodiscard]] std::vector<std::string> verify_files();

/// Writes the formats that are named, verification.json first, as the run's options say. What
/// verification.json is, be it written or not. Errors: what cannot be written.
[[nodiscard]] Result<FileRecord> write_verification(const VerifiedSurveys& all,
                                                    const std::vector<std::string>& formats,
                                                    Outputs& outputs);
[[nodiscard]] std::string verification_text_of(const VerifiedSurveys& all);
[[nodiscard]] std::string verification_json_of(const VerifiedSurveys& all);

/// All of it into the folder, and last the manifest that vouches for it.
[[nodiscard]] Result<void> write_verified(const VerifiedSurveys& all, const VerifyJob& job,
                                          const std::string& output);

}  // namespace ohmglow::cli
