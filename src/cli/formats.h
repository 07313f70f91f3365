#pragma once
/// What `assess --format` can write. A new format is a row in formats.cpp.

#include "cli/output_folder.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/documents.h"
#include "ohmglow/imaging.h"
#include "ohmglow/manifest.h"
#include "ohmglow/result.h"
#include "ohmglow/work_orders.h"

#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::cli {

[[nodiscard]] std::vector<std::string> format_names();

/// Every file that some format writes.
[[nodiscard]] std::vector<std::string> format_files();
/// Whether a format's bytes depend on the machine besides: a PDF embeds the fonts that are
/// installed.
[[nodiscard]] bool depends_on_fonts(std::string_view format);

/// Whether a format is the same for every reader.
[[nodiscard]] bool is_for_machines(std::string_view format);

/// What the writers need besides the assessment.
struct Writing {
  imaging::ReadLimits limits;  ///< under which the images were read: a report draws them again
  documents::Paper paper = documents::Paper::a4;
  std::vector<records::DueRule> due;
  std::string findings_sha256;  ///< of findings.json, which the reports name
  std::shared_ptr<const Reader> reader = std::make_shared<const Reader>();
};
/// `findings_sha256` is that of findings.json of the assessment that will be written. Errors: a
/// policy that cannot be read.
[[nodiscard]] Result<Writing> writing_for(const records::PolicyText& policy,
                                          const records::RunOptions& options,
                                          std::string findings_sha256);

/// The files of the formats that are named, in the order of the table, written for whom the thread
/// writes; `writing` names the same reader.
[[nodiscard]] Result<std::vector<OutputFile>> write_formats(const std::vector<std::string>& names,
                                                            const diagnosis::Assessment& assessment,
                                                            const Writing& writing);

}  // namespace ohmglow::cli
