#include "offered/editing/survey_drafts.h"
#include "offered/editing/survey_edits.h"
#include "records/editing/folder_lock.h"
#include "records/editing/table_commit.h"
#include "records/intake/tables.h"

#include <utility>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

/// A table that rows are added to.
struct BenchTable {
  std::string_view file;
  std::vector<std::string_view> columns;
  void (*read)(const Sheet&, Survey&);
};

BenchTable sweep_table() {
  return {kSweepsFile, sweep_column_names(),
          [](const Sheet& sheet, Survey& survey) { read_sweeps(sheet, survey); }};
}

BenchTable air_gap_table() {
  return {kAirGapFile, air_gap_column_names(),
          [](const Sheet& sheet, Survey& survey) { read_air_gaps(sheet, survey); }};
}

BenchTable shop_test_table() {
  return {kReadingsFile, reading_column_names(),
          [](const Sheet& sheet, Survey& survey) { read_readings(sheet, survey); }};
}

/// The header of a table that is begun.
std::string header_of(const BenchTable& table) {
  if (table.file == kReadingsFile) return readings_header();
  std::string header;
  for (const std::string_view column : table.columns) {
    header.append(header.empty() ? "" : ",").append(column);
  }
  return header + '\n';
}

/// The table with the rows below its last one.
Result<TableDraft> draft_with(const FileSnapshot& file, const BenchTable& table,
                              const std::vector<RowCells>& rows) {
  auto draft = TableDraft::of(file.text.value_or(header_of(table)), file.name);
  if (!draft) return fail(refusal(draft.error()));
  for (const RowCells& cells : rows) {
    const std::size_t row = draft->append();
    if (const auto set = set_cells(*draft, row, cells, table.columns); !set) {
      return fail(set.error());
    }
  }
  return draft;
}

Result<Saved> add_rows(const fs::path& folder, const BenchTable& table,
                       const std::vector<RowCells>& rows, std::string_view expected_etag) {
  const auto lock = FolderLock::take(folder);
  if (!lock) return fail(lock.error());
  const auto file = FileSnapshot::read(folder, table.file);
  if (!file) return fail(file.error());
  if (const auto same = file->expect(expected_etag); !same) return fail(same.error());
  if (rows.empty()) return Saved{file->etag, std::nullopt};
  auto draft = draft_with(*file, table, rows);
  if (!draft) return fail(draft.error());
  const Change change{.erased = {}, .stands = draft->sheet().rows()};
  return commit(*file, *draft, change, [&table](const Sheet& sheet) {
    Survey read;
    table.read(sheet, read);
    return std::move(read.problems);
  });
}

/// Reads the table as it would be with the rows.
Result<Survey> read_with(const fs::path& folder, const BenchTable& table,
                         const std::vector<RowCells>& rows, std::vector<BenchProblem>& problems) {
  const auto file = FileSnapshot::read(folder, table.file);
  if (!file) return fail(file.error());
  const auto draft = draft_with(*file, table, rows);
  if (!draft) return fail(draft.error());
  Survey before;
  // A sweep without a name takes the survey's day for one.
  const auto defaults = read_survey_file(folder, before);
  if (!defaults) return fail(defaults.error());
  before.problems.clear();
  Survey after = before;
  table.read(draft->sheet(), before);
  const auto done = draft->done();
  if (!done) {
    problems.push_back({std::string(table.file), {}, "", sentence(done.error())});
    return before;
  }
  table.read(done->sheet, after);
  const std::size_t first = draft->sheet().rows();
  for (Problem& problem : new_complaints(before.problems, after.problems)) {
    BenchProblem its{std::string(table.file), {}, std::move(problem.column), problem.message};
    for (std::size_t i = first; i < done->sheet.rows(); ++i) {
      if (problem.row == done->sheet.number(i)) its.row = i - first;
    }
    problems.push_back(std::move(its));
  }
  return after;
}

}  // namespace

Result<Saved> add_sweep_rows(const fs::path& folder, const std::vector<RowCells>& rows,
                             std::string_view expected_etag) {
  return add_rows(folder, sweep_table(), rows, expected_etag);
}

Result<Saved> add_air_gap_rows(const fs::path& folder, const std::vector<RowCells>& rows,
                               std::string_view expected_etag) {
  return add_rows(folder, air_gap_table(), rows, expected_etag);
}

Result<DraftedBench> draft_bench(const fs::path& folder, const BenchRows& rows) {
  DraftedBench drafted;
  const auto take = [&](const BenchTable& table, const std::vector<RowCells>& added,
                        auto Survey::*from, auto DraftedBench::*into) -> Result<void> {
    if (added.empty()) return {};
    auto read = read_with(folder, table, added, drafted.problems);
    if (!read) return fail(read.error());
    drafted.*into = std::move((*read).*from);
    return {};
  };
  if (const auto took = take(sweep_table(), rows.sweeps, &Survey::sweeps, &DraftedBench::sweeps);
      !took) {
    return fail(took.error());
  }
  if (const auto took =
          take(air_gap_table(), rows.air_gaps, &Survey::air_gaps, &DraftedBench::air_gaps);
      !took) {
    return fail(took.error());
  }
  if (const auto took =
          take(shop_test_table(), rows.readings, &Survey::shop_tests, &DraftedBench::shop_tests);
      !took) {
    return fail(took.error());
  }
  return drafted;
}

}  // namespace ohmglow::records
