#include "paged_list.h"

#include "pager.h"
#include "words.h"

#include <algorithm>
#include <iterator>

namespace ohmglow::report {

Result<void> PagedList::add(Listing rows) {
  rows_ += rows.rows.size();
  if (waiting_.columns.empty()) {
    waiting_ = std::move(rows);
  } else {
    std::move(rows.rows.begin(), rows.rows.end(), std::back_inserter(waiting_.rows));
  }
  while (waiting_.rows.size() > kRowsOnAPage) {
    if (auto written = write_page(true); !written) return written;
  }
  return {};
}

Result<void> PagedList::write_page(bool has_next) {
  const auto begin = waiting_.rows.begin();
  const auto end =
      begin + static_cast<std::ptrdiff_t>(std::min(waiting_.rows.size(), kRowsOnAPage));
  Listing page = waiting_;
  page.rows.assign(std::make_move_iterator(begin), std::make_move_iterator(end));
  waiting_.rows.erase(begin, end);
  const std::size_t number = pages_.size() + 1;
  pages_.push_back(
      {ListCell{std::to_string(number), 0, 0, false, page_from_report(page.id, number)},
       ListCell{page.rows.front().front().text}, ListCell{page.rows.back().front().text}});
  return write_(page, number, has_next);
}

Result<Listing> PagedList::finish() {
  if (pages_.empty()) return std::move(waiting_);
  if (const auto written = write_page(false); !written) return fail(written.error());
  return Listing{waiting_.id,
                 say("{} ({} lines on {} pages)", waiting_.caption, rows_, pages_.size()),
                 {{tr("Page"), 0.5}, {tr("From"), 2}, {tr("To"), 2}},
                 std::move(pages_),
                 ""};
}

}  // namespace ohmglow::report
