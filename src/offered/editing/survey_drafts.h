#pragma once
/// Rows of the survey as they would be read with cells that nobody has saved yet, for callers that
/// show what a change would do. Nothing is written.

#include "offered/editing/survey_edits.h"

#include <filesystem>
#include <vector>

namespace ohmglow::records {

/// The image's row of images.csv with some cells set; an empty text empties the cell, and the
/// default of survey.json serves again. `current` is the image as it was read. Errors: what the
/// survey's reader would complain about, with row and column.
[[nodiscard]] Result<ImageEntry> draft_image(const std::filesystem::path& folder,
                                             const ImageEntry& current,
                                             const std::vector<CellText>& cells);

/// Rows as readings.csv would hold them, with its decimal mark. Errors as above; rows count from 2,
/// below a header.
[[nodiscard]] Result<std::vector<Reading>> draft_readings(
    const std::filesystem::path& folder, const std::vector<std::vector<CellText>>& rows);

/// New rows of the tables of a motor on the bench.
struct BenchRows {
  std::vector<RowCells> sweeps;
  std::vector<RowCells> air_gaps;
  std::vector<RowCells> readings;  ///< tests of the shop
};
/// What is wrong with new rows.
struct BenchProblem {
  std::string table;               ///< its usual name, "sweeps.csv"
  std::optional<std::size_t> row;  ///< its place among the new rows of its table
  std::string column;
  std::string message;
};
/// The tables as they would be read with the new rows below their last ones; a table without new
/// rows is not read.
struct DraftedBench {
  std::optional<std::vector<SweepReading>> sweeps;
  std::optional<std::vector<AirGapReading>> air_gaps;
  std::optional<std::vector<ShopTest>> shop_tests;
  std::vector<BenchProblem> problems;
};
/// Errors: those of the tables as they are; a column that nobody knows.
[[nodiscard]] Result<DraftedBench> draft_bench(const std::filesystem::path& folder,
                                               const BenchRows& rows);

}  // namespace ohmglow::records
