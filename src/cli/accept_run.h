#pragma once
/// The acceptance of a motor and the files of it: what `accept` and `recheck` do.

#include "cli/output_folder.h"
#include "cli/run.h"
#include "ohmglow/acceptance.h"

#include <string>
#include <vector>

namespace ohmglow::cli {

struct Accepted {
  records::RunOptions options;
  diagnosis::Assessment survey;
  acceptance::Limits limits;
  acceptance::Acceptance acceptance;
};

/// Of a run that is measured. Errors: broken limits, no such motor.
[[nodiscard]] Result<Accepted> accepted_of(const Run& run, const records::AcceptRun& asked);

[[nodiscard]] std::vector<std::string> accept_format_names();
/// Every file that a run of accept may have written.
[[nodiscard]] std::vector<std::string> accept_files();

/// Writes the formats that are named, acceptance.json first. What acceptance.json is, be it written
/// or not. Errors: what cannot be written.
[[nodiscard]] Result<FileRecord> write_acceptance(const Accepted& accepted,
                                                  const std::vector<std::string>& formats,
                                                  Outputs& outputs);
[[nodiscard]] std::string acceptance_text_of(const Accepted& accepted);

/// All of it into the folder, and last the manifest that vouches for it.
[[nodiscard]] Result<void> write_accepted(const Run& run, const Accepted& accepted,
                                          const records::AcceptRun& asked,
                                          const std::string& output);

}  // namespace ohmglow::cli
