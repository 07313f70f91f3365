#pragma once
/// The reports that draw images again, with photographs and the hash of findings.json.

#include "cli/formats.h"
#include "offered/report/report.h"
#include "offered/results/work_orders.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/result.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::cli {

/// Results on their way into files.
struct Writing {
  const Reported& of;
  Outputs& outputs;
  std::string findings_sha256 = {};  ///< of findings.json, which the reports name
  std::vector<records::DueRule> due = {};

  /// All of the survey, read when it is first wanted. Errors: those of reading the journal.
  [[nodiscard]] Result<const diagnosis::Assessment*> whole();
  std::optional<diagnosis::Assessment> read_ = {};
};

inline constexpr std::string_view kPdfFile = "report.pdf";
inline constexpr std::string_view kXlsxFile = "report.xlsx";

/// Opens images again, under the limits that they were measured under; one that is no longer what
/// was measured is an error.
[[nodiscard]] report::OpenImage image_opener(const Reported& of);

/// report.html, of a large survey with pages beside it; pages of an earlier run are removed.
[[nodiscard]] Result<void> write_html_report(Writing& writing);
[[nodiscard]] Result<void> write_pdf_report(Writing& writing);
[[nodiscard]] Result<void> write_xlsx_report(Writing& writing);
[[nodiscard]] Result<void> write_shutdown_pdf(Writing& writing, std::string_view file);
[[nodiscard]] Result<void> write_shutdown_xlsx(Writing& writing, std::string_view file);

}  // namespace ohmglow::cli
