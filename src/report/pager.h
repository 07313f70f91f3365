#pragma once
/// Pages of a report, what they are called and the way from one to the next.

#include "page.h"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace ohmglow::report {

/// "others-0002.html"
[[nodiscard]] std::string page_file(std::string_view list, std::size_t number);
/// The same as report.html names it: "report-pages/others-0002.html".
[[nodiscard]] std::string page_from_report(std::string_view list, std::size_t number);

/// One of a list's pages, counted from 1.
struct PageOf {
  std::string_view list;
  std::string_view section;  ///< of report.html, which names all pages
  std::size_t number = 1;
  bool has_next = false;
  std::optional<std::size_t> count = std::nullopt;  ///< where it is known
};
/// The links of the partial "pager".
void set_pager(Data& data, const PageOf& page);

}  // namespace ohmglow::report
