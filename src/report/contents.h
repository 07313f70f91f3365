#pragma once
/// Parts of a report's contents that a page of it has too.

#include "ohmglow/report_contents.h"

#include <string>
#include <vector>

namespace ohmglow::report {

/// Who, when, by which rule.
[[nodiscard]] std::vector<Fact> facts(const diagnosis::Assessment& assessment);
/// `page`: the file that the findings' cards stand in; empty: the list's own.
[[nodiscard]] Listing ranked(const diagnosis::Assessment& assessment, const std::string& page = "");
[[nodiscard]] std::string title_of_site(const Survey& survey);
/// Who signs.
[[nodiscard]] std::vector<std::string> signs();

}  // namespace ohmglow::report
