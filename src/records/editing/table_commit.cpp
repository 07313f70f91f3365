#include "records/editing/table_commit.h"

#include "offered/files/folder.h"
#include "records/editing/row_scale.h"
#include "records/files/shown.h"

#include <algorithm>
#include <fmt/format.h>
#include <set>
#include <tuple>

namespace ohmglow::records {
namespace {

using Complaints = std::multiset<std::tuple<long, std::string, std::string>>;

Error other_decimals(const Sheet& before) {
  const char mark = before.decimal_mark();
  return {
      .kind = ErrorKind::invalid_value,
      .what = "with this value the table's other numbers would be read with another decimal mark",
      .expected = fmt::format("numbers with \"{}\", as the table has them", mark),
      .mend = std::string(kNothingSaved),
      .place = {.file = std::string(before.file())}};
}

}  // namespace

Problems new_complaints(const Problems& before, const Problems& after, std::optional<long> erased) {
  Complaints known;
  Problems added;
  for (const Problem& problem : before) {
    long row = problem.row.value_or(0);
    if (erased && row > *erased) --row;
    known.emplace(row, problem.column, problem.message);
  }
  for (const Problem& problem : after) {
    if (problem.is_remark) continue;
    const auto same = known.find({problem.row.value_or(0), problem.column, problem.message});
    if (same == known.end()) {
      added.push_back(problem);
    } else {
      known.erase(same);
    }
  }
  return added;
}

Error refusal(Error error) {
  if (error.kind == ErrorKind::conflict) error.kind = ErrorKind::invalid_value;
  return error;
}

Error refusal(const Problem& problem) {
  const std::string kept = fmt::format("; {}", kMendCell);
  std::string what = problem.message;
  if (what.ends_with(kept)) what.resize(what.size() - kept.size());
  return {.kind = ErrorKind::invalid_value,
          .what = std::move(what),
          .mend = std::string(kNothingSaved),
          .place = {.file = problem.file, .row = problem.row, .column = problem.column}};
}

Result<Saved> commit(const FileSnapshot& file, const TableDraft& draft, const Change& change,
                     const Reader& reader) {
  const auto done = draft.done();
  if (!done) return fail(refusal(done.error()));
  const Problems added = new_complaints(reader(draft.sheet()), reader(done->sheet), change.erased);
  if (!added.empty() && done->sheet.decimal_mark() != draft.sheet().decimal_mark()) {
    return fail(other_decimals(draft.sheet()));
  }
  if (!added.empty()) return fail(refusal(added.front()));
  const auto bytes = file.bytes_of(done->text);
  if (!bytes) return fail(bytes.error());
  Saved saved{etag_of_text(*bytes), std::nullopt};
  if (change.stands) saved.row = done->sheet.number(*change.stands);
  if (file.text && *file.text == done->text) return saved;
  if (const auto written = write_atomically(file.path, *bytes); !written) {
    return fail(written.error());
  }
  return saved;
}

Result<void> set_cells(TableDraft& draft, std::size_t row, const std::vector<CellText>& cells,
                       const std::vector<std::string_view>& known) {
  const Sheet& before = draft.sheet();
  const auto written = [&before, row](std::string_view column) {
    return row < before.rows() ? before.cell(row, column) : std::string();
  };
  for (const CellText& cell : in_scale_of_row(cells, written, before.decimal_mark())) {
    const std::string column = lower_case(trimmed(cell.column));
    const bool is_known = std::find(known.begin(), known.end(), column) != known.end();
    if (column.empty() || (!is_known && !draft.has_column(column))) {
      Error error =
          cell_error(shown(column), "this column is not known", "", "one of " + listed(known));
      error.mend = kNothingSaved;
      return fail(error.in_file(draft.sheet().file()));
    }
    // An empty cell says the same as none.
    if (cell.text.empty() && !draft.has_column(column)) continue;
    draft.set(row, column, cell.text);
  }
  return {};
}

}  // namespace ohmglow::records
