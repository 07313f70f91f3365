#pragma once
/// The reports that draw images again, with photographs and the hash of findings.json.

#include "ohmglow/diagnosis.h"
#include "ohmglow/documents.h"
#include "ohmglow/imaging.h"
#include "ohmglow/result.h"

#include <string>

namespace ohmglow::cli {

[[nodiscard]] Result<std::string> html_report(const diagnosis::Assessment& assessment,
                                              const imaging::ReadLimits& limits);
[[nodiscard]] Result<std::string> pdf_report(const diagnosis::Assessment& assessment,
                                             const imaging::ReadLimits& limits,
                                             documents::Paper paper);
[[nodiscard]] Result<std::string> xlsx_report(const diagnosis::Assessment& assessment,
                                              const imaging::ReadLimits& limits);

}  // namespace ohmglow::cli
