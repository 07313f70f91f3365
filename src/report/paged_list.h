#pragma once
/// One of a report's long lists, which grows row by row.

#include "offered/report/report_contents.h"

#include <cstddef>
#include <functional>
#include <string>
#include <vector>

namespace ohmglow::report {

/// Rows of a list on a page.
inline constexpr std::size_t kRowsOnAPage = 200;

/// Stands in report.html as long as a page holds it, else on pages of its own.
class PagedList {
 public:
  using WritePage =
      std::function<Result<void>(const Listing& rows, std::size_t number, bool has_next)>;
  explicit PagedList(WritePage write) : write_(std::move(write)) {}

  /// Adds rows of the same columns. Errors: those of writing a page.
  [[nodiscard]] Result<void> add(Listing rows);
  /// What stands in report.html: the rows, or the pages that hold them. Errors: likewise.
  [[nodiscard]] Result<Listing> finish();

 private:
  [[nodiscard]] Result<void> write_page(bool has_next);

  WritePage write_;
  Listing waiting_;  ///< rows that are on no page yet
  std::vector<std::vector<ListCell>> pages_;
  std::size_t rows_ = 0;
};

}  // namespace ohmglow::report
