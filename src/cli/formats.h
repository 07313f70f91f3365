#pragma once
/// What `assess --format` can write. A new format is a row in formats.cpp.

#include "cli/output_folder.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/documents.h"
#include "ohmglow/imaging.h"
#include "ohmglow/manifest.h"
#include "ohmglow/result.h"
#include "ohmglow/work_orders.h"

#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::cli {

struct Run;

[[nodiscard]] std::vector<std::string> format_names();
/// Those that are written where nobody names one.
[[nodiscard]] std::vector<std::string> usual_formats();
/// Whether a format's bytes depend on the machine besides: a PDF embeds the fonts that are
/// installed.
[[nodiscard]] bool depends_on_fonts(std::string_view format);

/// Every file that a run may have written into the folder, be it there or not.
[[nodiscard]] std::vector<std::string> format_files(const std::string& folder);

/// What the writers need besides the assessment.
struct Writing {
  imaging::ReadLimits limits;  ///< under which the images were read: a report draws them again
  documents::Paper paper = documents::Paper::a4;
  std::vector<records::DueRule> due;
  std::string findings_sha256;  ///< of findings.json, which the reports name
  std::shared_ptr<const Reader> reader = std::make_shared<const Reader>();
};

/// A format that is one file, made from an assessment in memory for whom the thread writes, which
/// `writing` names too.
struct Document {
  std::string_view format;
  std::string_view file;
  bool is_for_machines = false;  ///< the same for every reader; needs nothing of `writing`
  Result<std::string> (*write)(const diagnosis::Assessment&, const Writing& writing) = nullptr;
};
[[nodiscard]] std::vector<Document> documents();

/// Writes the formats that are named, findings.json first. What findings.json is, be it written or
/// not. Errors: a policy that cannot be read; what cannot be written.
[[nodiscard]] Result<records::FileRecord> write_formats(const Run& run,
                                                        const std::vector<std::string>& names,
                                                        Outputs& outputs);

}  // namespace ohmglow::cli
