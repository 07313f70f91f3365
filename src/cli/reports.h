#pragma once
/// The reports that draw images again, with photographs and the hash of findings.json.

#include "cli/formats.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/result.h"

#include <string>

namespace ohmglow::cli {

[[nodiscard]] Result<std::string> html_report(const diagnosis::Assessment& assessment,
                                              const Writing& writing);
[[nodiscard]] Result<std::string> pdf_report(const diagnosis::Assessment& assessment,
                                             const Writing& writing);
[[nodiscard]] Result<std::string> xlsx_report(const diagnosis::Assessment& assessment,
                                              const Writing& writing);

/// report.html, of a large survey with pages beside it; pages of an earlier run are removed.
[[nodiscard]] Result<void> write_html_report(const Run& run, const Writing& writing,
                                             Outputs& outputs);

}  // namespace ohmglow::cli
