#include "pager.h"

#include "page_templates.h"
#include "words.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <fmt/format.h>

namespace ohmglow::report {
namespace {

constexpr std::string_view kEnding = ".html";
/// Pages on either side that have a link of their own.
constexpr std::size_t kNear = 2;

}  // namespace

std::string page_file(std::string_view list, std::size_t number) {
  return fmt::format("{}-{:04}{}", list, number, kEnding);
}

std::string page_from_report(std::string_view list, std::size_t number) {
  return fmt::format("{}/{}", kReportPages, page_file(list, number));
}

bool is_report_page(std::string_view file) {
  if (!file.ends_with(kEnding)) return false;
  file.remove_suffix(kEnding.size());
  const auto dash = file.rfind('-');
  if (dash == std::string_view::npos) return false;
  const std::string_view digits = file.substr(dash + 1);
  const bool is_number =
      digits.size() >= 4 && std::all_of(digits.begin(), digits.end(),
                                        [](unsigned char c) { return std::isdigit(c) != 0; });
  const auto& lists = kPagedLists;
  return is_number && std::find(lists.begin(), lists.end(), file.substr(0, dash)) != lists.end();
}

void set_pager(Data& data, const PageOf& page) {
  data.set("pager",
           Data{kainjow::mustache::partial([] { return template_text("pager.html.mustache"); })});
  data.set("up", fmt::format("../{}#{}", kReportFile, page.section));
  const auto link = [&](const std::string& name, bool is_there, std::size_t number) {
    if (is_there) data.set(name, page_file(page.list, number));
  };
  link("first", page.number > 1, 1);
  link("previous", page.number > 1, page.number - 1);
  link("next", page.has_next, page.number + 1);
  link("last", page.count && page.has_next, page.count.value_or(1));
  const std::size_t last = page.count ? std::min(*page.count, page.number + kNear)
                                      : page.number + (page.has_next ? 1 : 0);
  List near;
  for (std::size_t i = page.number - std::min(page.number - 1, kNear); i <= last; ++i) {
    if (i != page.number) {
      near.push_back(Fields{{"file", page_file(page.list, i)}, {"number", std::to_string(i)}});
      continue;
    }
    near.push_back(
        Fields{{"file", false},
               {"here", page.count ? say("Page {} of {}", i, *page.count) : say("Page {}", i)}});
  }
  data.set("near", near);
}

}  // namespace ohmglow::report
