#pragma once
/// The embedded templates and the style sheet.

#include "page.h"

#include <string>
#include <string_view>

namespace ohmglow::report {

[[nodiscard]] std::string embedded_text(std::string_view name);

/// What every page of the report wears; its first part, meaning.css, is the served page's as well.
[[nodiscard]] std::string report_style();

/// A template's text in the reader's language.
[[nodiscard]] std::string template_text(std::string_view name);
/// A template that escapes what it is given.
[[nodiscard]] kainjow::mustache::mustache page_template(std::string_view name);

}  // namespace ohmglow::report
