#include "ohmglow/tabular.h"
#include "text.h"

#include <algorithm>

namespace ohmglow::tabular {
namespace {

/// Walks through a text by the rules of the table reader: blanks around a cell and around its
/// quotes belong to the cell, a doubled quote is none, and a row ends at CR, LF or both.
class Walker {
 public:
  Walker(std::string_view text, char delimiter)
      : text_(text),
        delimiter_(delimiter),
        at_(text.size() - without_byte_order_mark(text).size()) {}

  [[nodiscard]] bool done() const { return at_ >= text_.size(); }

  RowPlace row() {
    RowPlace row{.begin = at_, .end = at_, .cells = {}};
    for (;;) {
      const std::size_t begin = at_;
      pass_cell();
      row.cells.push_back({begin, at_});
      if (done() || text_[at_] != delimiter_) break;
      ++at_;
    }
    pass_line_end();
    row.end = at_;
    return row;
  }

  /// Whether the reader finds anything in a row; it drops the others.
  [[nodiscard]] bool holds_something(const RowPlace& row) const {
    return std::any_of(row.cells.begin(), row.cells.end(),
                       [this](const CellPlace& cell) { return !is_empty(cell); });
  }

 private:
  [[nodiscard]] bool is_blank(std::size_t at) const {
    return (text_[at] == ' ' || text_[at] == '\t') && text_[at] != delimiter_;
  }
  [[nodiscard]] bool ends_cell(std::size_t at) const {
    return text_[at] == delimiter_ || text_[at] == '\n' || text_[at] == '\r';
  }

  void pass_cell() {
    while (!done() && is_blank(at_)) ++at_;
    if (!done() && text_[at_] == '"') pass_quotes();
    while (!done() && !ends_cell(at_)) ++at_;
  }

  void pass_quotes() {
    for (++at_; !done(); ++at_) {
      if (text_[at_] != '"') continue;
      ++at_;
      if (done() || text_[at_] != '"') return;
    }
  }

  void pass_line_end() {
    if (text_.substr(at_).starts_with("\r\n")) {
      at_ += 2;
    } else if (!done()) {
      ++at_;
    }
  }

  [[nodiscard]] bool is_empty(CellPlace cell) const {
    while (cell.begin < cell.end && is_blank(cell.begin)) ++cell.begin;
    while (cell.begin < cell.end && is_blank(cell.end - 1)) --cell.end;
    const auto core = text_.substr(cell.begin, cell.end - cell.begin);
    return core.empty() || core == "\"\"";
  }

  std::string_view text_;
  char delimiter_;
  std::size_t at_;
};

}  // namespace

std::vector<RowPlace> places(std::string_view text, char delimiter) {
  std::vector<RowPlace> rows;
  for (Walker walker(text, delimiter); !walker.done();) {
    RowPlace row = walker.row();
    if (walker.holds_something(row)) rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace ohmglow::tabular
