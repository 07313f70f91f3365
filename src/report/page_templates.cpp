#include "page_templates.h"

#include "embedded.h"
#include "ohmglow/plain_text.h"

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

kainjow::mustache::mustache page_template(std::string_view name) {
  kainjow::mustache::mustache page(embedded_text(name));
  page.set_custom_escape([](const std::string& text) { return escape(text); });
  return page;
}

}  // namespace ohmglow::report
