#include "offered/editing/survey_edits.h"
#include "records/editing/edited_tables.h"
#include "records/editing/folder_lock.h"
#include "records/editing/table_commit.h"
#include "records/intake/tables.h"

#include <functional>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

/// Does something to readings.csv; `act` says which row it was done to.
Result<Saved> change_readings(const fs::path& folder, std::string_view expected_etag,
                              const std::function<Result<Change>(TableDraft&)>& act) {
  const auto lock = FolderLock::take(folder);
  if (!lock) return fail(lock.error());
  const auto file = FileSnapshot::read(folder, kReadingsFile);
  if (!file) return fail(file.error());
  if (const auto same = file->expect(expected_etag); !same) return fail(same.error());
  auto draft = TableDraft::of(file->text.value_or(readings_header()), file->name);
  if (!draft) return fail(refusal(draft.error()));
  const auto change = act(*draft);
  if (!change) return fail(change.error());
  return commit(*file, *draft, *change, [](const Sheet& sheet) {
    Survey read;
    read_readings(sheet, read);
    return std::move(read.problems);
  });
}

Result<std::size_t> reading_row(const Sheet& sheet, long number) {
  if (const auto row = row_by_number(sheet, number)) return *row;
  return fail({.kind = ErrorKind::missing,
               .what = "there is no such row",
               .mend = std::string(kNothingSaved),
               .place = {.file = std::string(sheet.file()), .row = number}});
}

}  // namespace

std::optional<std::size_t> row_by_number(const Sheet& sheet, long number) {
  for (std::size_t i = 0; i < sheet.rows(); ++i) {
    if (sheet.number(i) == number) return i;
  }
  return std::nullopt;
}

Result<Saved> add_reading(const fs::path& folder, const std::vector<CellText>& cells,
                          std::string_view expected_etag) {
  return change_readings(folder, expected_etag, [&](TableDraft& draft) -> Result<Change> {
    const std::size_t row = draft.append();
    const auto set = set_cells(draft, row, cells, reading_column_names());
    if (!set) return fail(set.error());
    return Change{.erased = {}, .stands = row};
  });
}

Result<Saved> change_reading(const fs::path& folder, long row, const std::vector<CellText>& cells,
                             std::string_view expected_etag) {
  return change_readings(folder, expected_etag, [&](TableDraft& draft) -> Result<Change> {
    const auto at = reading_row(draft.sheet(), row);
    if (!at) return fail(at.error());
    const auto set = set_cells(draft, *at, cells, reading_column_names());
    if (!set) return fail(set.error());
    return Change{.erased = {}, .stands = *at};
  });
}

Result<Saved> delete_reading(const fs::path& folder, long row, std::string_view expected_etag) {
  return change_readings(folder, expected_etag, [&](TableDraft& draft) -> Result<Change> {
    const auto at = reading_row(draft.sheet(), row);
    if (!at) return fail(at.error());
    draft.erase(*at);
    return Change{.erased = row, .stands = {}};
  });
}

}  // namespace ohmglow::records
