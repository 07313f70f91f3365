#include "page_templates.h"

#include "embedded.h"
#include "offered/report/plain_text.h"
#include "ohmglow/reader.h"

#include <algorithm>

namespace ohmglow::report {

std::string embedded_text(std::string_view name) {
  for (const embedded::File& file : embedded::templates()) {
    if (file.name == name) return std::string(file.content);
  }
  return "";
}

std::string report_style() {
  return embedded_text("meaning.css") + embedded_text("report.css");
}

std::string colour_of(std::string_view name) {
  static const std::string meaning = embedded_text("meaning.css");
  constexpr std::size_t kLength = 7;  // "#" and six digits; shorter ones end at ";"
  const std::string wanted = "--" + std::string(name) + ": #";
  const auto at = meaning.find(wanted, meaning.find("@media print"));
  if (at == std::string::npos) return "";
  const auto begin = at + wanted.size() - 1;
  return meaning.substr(begin, std::min(meaning.find(';', begin) - begin, kLength));
}

namespace {

void replace_all(std::string& text, std::string_view from, std::string_view to) {
  for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos; at += to.size()) {
    text.replace(at, from.size(), to);
  }
}

/// What stands between {{#t}} and {{/t}} in the reader's language. The templates hold whole
/// messages, and no message holds markup.
std::string translated(std::string text) {
  constexpr std::string_view kBegin = "{{#t}}";
  constexpr std::string_view kEnd = "{{/t}}";
  for (std::size_t at = 0; (at = text.find(kBegin, at)) != std::string::npos;) {
    const auto begin = at + kBegin.size();
    const auto end = text.find(kEnd, begin);
    const std::string message = tr(std::string_view(text).substr(begin, end - begin));
    text.replace(at, end + kEnd.size() - at, message);
    at += message.size();
  }
  replace_all(text, "{{language}}", reader().language);
  replace_all(text, "{{difference_unit}}", difference_unit());
  return text;
}

}  // namespace

std::string template_text(std::string_view name) {
  return translated(embedded_text(name));
}

kainjow::mustache::mustache page_template(std::string_view name) {
  kainjow::mustache::mustache page(template_text(name));
  page.set_custom_escape([](const std::string& text) { return escape(text); });
  return page;
}

}  // namespace ohmglow::report
