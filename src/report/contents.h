#pragma once
/// Parts of a report's contents that a page of it has too.

#include "offered/report/report_contents.h"
#include "summary.h"

#include <string>
#include <vector>

namespace ohmglow::report {

/// Sweeps and air gaps of the motors.
[[nodiscard]] std::vector<RotorShown> rotors_shown(const diagnosis::Assessment& assessment);

/// Who, when, by which rule; a value is empty where a person has to write it.
[[nodiscard]] std::vector<Fact> facts(const diagnosis::Assessment& assessment);
/// `page`: the file that the findings' cards stand in; empty: the list's own.
[[nodiscard]] Listing ranked(const diagnosis::Assessment& assessment, const std::string& page = "");
/// A dash where there is no text.
[[nodiscard]] ListCell or_dash(const std::string& text);
[[nodiscard]] std::string title_of_site(const Survey& survey);
/// What stands before and after the lists: of a survey, and what was counted of it.
void set_overview(Contents& contents, const diagnosis::Assessment& head, const Summary& summary,
                  std::size_t problems);

}  // namespace ohmglow::report
