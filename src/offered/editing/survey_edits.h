#pragma once
/// Saving back into the survey's own files. A person edits a cell or a mark; every other byte of
/// the file stays as it was: byte order mark, delimiter, decimal mark, line ends, quotes of other
/// cells, blank lines, column order, unknown columns, a line end at the end or none.
///
/// Each change names the etag of the file that it was made from. Where the file on disk has another
/// one by now, the change is refused with ErrorKind::conflict, and for no other reason with that
/// kind; nothing is written then. What the survey's reader would complain about is refused with
/// that complaint, as ErrorKind::invalid_value with file, row and column. Files are replaced whole
/// or not at all (write_atomically). Callers that save into one folder at the same time, from
/// threads or processes, wait for each other; programs that know nothing of this (a spreadsheet)
/// are told by the etag, but for the moment between the last look at the file and its replacement.
///
/// Values are texts as a person would type them into this file: with its decimal mark, in the
/// column's unit; an empty text empties the cell. They are kept as they are, formulas included.
/// Only a temperature in °C for a row that gives it in °F is turned into °F and put there.

#include "offered/tabular/tabular.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// The etag of a file that is not there.
inline constexpr std::string_view kNoFile = "none";

/// The SHA-256 of a file of the survey (a table, survey.json, a mark file), or kNoFile.
/// Errors: outside_survey, not_this_format for a folder or device, system.
[[nodiscard]] Result<std::string> etag_of(const std::filesystem::path& folder,
                                          std::string_view file);
/// The same of an image's mark file.
[[nodiscard]] Result<std::string> marks_etag(const std::filesystem::path& folder,
                                             std::string_view image);

/// A cell by its column's name.
struct CellText {
  std::string column;
  std::string text;
  friend bool operator==(const CellText&, const CellText&) = default;
};

/// What stands in one row, cell by cell in the order of the columns; cells that are missing at the
/// end of the row are empty here.
struct RowText {
  std::optional<long> row;  ///< as problems count it; absent where the table has no such row
  std::vector<CellText> cells;
};

/// What stands in a table.
struct TableText {
  std::string etag;
  tabular::Dialect dialect;          ///< of a table that is there
  std::vector<std::string> columns;  ///< as the header writes them, blanks around them cut off
  std::vector<RowText> rows;
};

/// The column that may hold a °C column's temperature in °F; empty for every other column.
[[nodiscard]] std::string fahrenheit_column(std::string_view column);

/// Which row of images.csv.
struct ImageKey {
  std::string file;
  int page = 1;
};

/// The raw texts of a table of the survey, "images.csv", "readings.csv" and so on; no rows and
/// kNoFile where it is absent. Errors: those of the file and of the text as a table.
[[nodiscard]] Result<TableText> table_text(const std::filesystem::path& folder,
                                           std::string_view file);
/// One image's row of images.csv, with the table's etag, dialect and columns and at most one row.
[[nodiscard]] Result<TableText> image_text(const std::filesystem::path& folder,
                                           const ImageKey& image);
/// One row of readings.csv, likewise.
[[nodiscard]] Result<TableText> reading_text(const std::filesystem::path& folder, long row);
/// The defaults of survey.json as they stand there, numbers with a full stop: the etag of
/// survey.json, and one row, without a number.
[[nodiscard]] Result<TableText> defaults_text(const std::filesystem::path& folder);

/// What a save has come to.
struct Saved {
  std::string etag;         ///< of the new file
  std::optional<long> row;  ///< that was changed or added
};

/// Sets cells in an image's row of images.csv. A column that is missing is added at the right end
/// (the other rows stay as they are, unless the table could not be read then: they are filled up
/// with empty cells). A row that is missing is added below the last one; the image file must be
/// there. A table that is missing is made, with a row for every image that was taken without one.
[[nodiscard]] Result<Saved> save_image(const std::filesystem::path& folder, const ImageKey& image,
                                       const std::vector<CellText>& cells,
                                       std::string_view expected_etag);

/// Adds a row below the last one of readings.csv, which is made where it is missing.
[[nodiscard]] Result<Saved> add_reading(const std::filesystem::path& folder,
                                        const std::vector<CellText>& cells,
                                        std::string_view expected_etag);
/// Sets cells in a row of readings.csv. Errors: missing where it has no such row.
[[nodiscard]] Result<Saved> change_reading(const std::filesystem::path& folder, long row,
                                           const std::vector<CellText>& cells,
                                           std::string_view expected_etag);
/// Takes a row out of readings.csv; the rows below move up by one.
[[nodiscard]] Result<Saved> delete_reading(const std::filesystem::path& folder, long row,
                                           std::string_view expected_etag);

/// A row by its cells.
using RowCells = std::vector<CellText>;
/// Adds rows below the last one of sweeps.csv, which is made where it is missing: all of them or
/// none. The row that is told is the first.
[[nodiscard]] Result<Saved> add_sweep_rows(const std::filesystem::path& folder,
                                           const std::vector<RowCells>& rows,
                                           std::string_view expected_etag);
/// The same of air_gap.csv.
[[nodiscard]] Result<Saved> add_air_gap_rows(const std::filesystem::path& folder,
                                             const std::vector<RowCells>& rows,
                                             std::string_view expected_etag);

/// Writes an image's marks if nobody has changed them meanwhile. Marks that come from elsewhere
/// should come through parse_marks() first, and be saved only if it has no problems.
[[nodiscard]] Result<Saved> save_marks(const std::filesystem::path& folder, const MarkFile& marks,
                                       std::string_view expected_etag);

/// Writes an image's marks, whoever has changed them meanwhile.
[[nodiscard]] Result<void> write_marks(const std::filesystem::path& folder, const MarkFile& marks);
/// A mark file's text.
[[nodiscard]] std::string marks_json(const MarkFile& marks);

}  // namespace ohmglow::records
