#include "page_templates.h"

#include "embedded.h"
#include "plain_text.h"

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

kainjow::mustache::mustache page_template(std::string_view name) {
  kainjow::mustache::mustache page(embedded_text(name));
  page.set_custom_escape([](const std::string& text) { return escape(text); });
  return page;
}

}  // namespace ohmglow::report
