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

}  // namespace ohmglow::cli
