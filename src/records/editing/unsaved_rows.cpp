#include "offered/editing/survey_drafts.h"
#include "records/editing/row_scale.h"
#include "records/intake/sheet.h"
#include "records/intake/tables.h"

#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

/// A small table of its own, read as the large one is.
class DraftTable {
 public:
  explicit DraftTable(char delimiter) : delimiter_(delimiter) {}

  void begin_row() { rows_.emplace_back(columns_.size()); }
  void set(std::string_view column, std::string_view text) {
    const std::string name = lower_case(trimmed(column));
    auto at = std::find(columns_.begin(), columns_.end(), name);
    if (at == columns_.end()) at = columns_.insert(columns_.end(), name);
    auto& row = rows_.back();
    row.resize(columns_.size());
    row[static_cast<std::size_t>(at - columns_.begin())] = text;
  }
  [[nodiscard]] std::string get(std::string_view column) const {
    const auto at = std::find(columns_.begin(), columns_.end(), column);
    const auto index = static_cast<std::size_t>(at - columns_.begin());
    return index < rows_.back().size() ? rows_.back()[index] : std::string();
  }

  [[nodiscard]] Result<Sheet> read(std::string_view file) const {
    std::string text = line(columns_);
    // Nothing but a first line tells of this one.
    if (delimiter_ == '|') text.insert(0, "sep=|\n");
    for (std::vector<std::string> row : rows_) {
      row.resize(columns_.size());
      text += line(row);
    }
    return Sheet::parse(text, file);
  }

 private:
  [[nodiscard]] std::string line(const std::vector<std::string>& cells) const {
    std::string text;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      if (i > 0) text += delimiter_;
      text += tabular::cell_text(cells[i], delimiter_);
    }
    return text + '\n';
  }

  char delimiter_;
  std::vector<std::string> columns_;
  std::vector<std::vector<std::string>> rows_;
};

Error error_from(const Problem& problem, std::optional<long> row) {
  return {.kind = ErrorKind::invalid_value,
          .what = problem.message,
          .place = {.file = problem.file, .row = row, .column = problem.column}};
}

/// A column that nobody knows says nothing of the image.
const Problem* first_complaint(const Problems& problems) {
  const auto at = std::find_if(problems.begin(), problems.end(), [](const Problem& problem) {
    return problem.row.has_value() && !problem.is_remark;
  });
  return at == problems.end() ? nullptr : &*at;
}

}  // namespace

Result<ImageEntry> draft_image(const fs::path& folder, const ImageEntry& current,
                               const std::vector<CellText>& cells) {
  const auto table = image_text(folder, {current.file, current.parameters.page.value_or(1)});
  if (!table) return fail(table.error());
  Survey read;
  const auto defaults = read_survey_file(folder, read);
  if (!defaults) return fail(defaults.error());
  DraftTable draft(table->dialect.delimiter);
  draft.begin_row();
  if (!table->rows.empty()) {
    for (const CellText& cell : table->rows.front().cells) draft.set(cell.column, cell.text);
  }
  for (const auto& [column, text] :
       {std::pair{"file", current.file}, std::pair{"motor", current.motor},
        std::pair{"component", current.component}}) {
    if (draft.get(column).empty()) draft.set(column, text);
  }
  const auto written = [&draft](std::string_view column) { return draft.get(column); };
  for (const CellText& cell : in_scale_of_row(cells, written, table->dialect.decimal_mark)) {
    draft.set(cell.column, cell.text);
  }
  auto sheet = draft.read(kImagesFile);
  if (!sheet) return fail(sheet.error());
  const auto listed = read_listed(folder, std::move(*sheet), *defaults, read.problems);
  if (const Problem* problem = first_complaint(read.problems)) {
    return fail(error_from(*problem, current.row));
  }
  if (listed.images.size() == 0) return current;
  ImageEntry entry = listed.images[0];
  entry.row = current.row;
  return entry;
}

Result<std::vector<Reading>> draft_readings(const fs::path& folder,
                                            const std::vector<std::vector<CellText>>& rows) {
  if (rows.empty()) return std::vector<Reading>();
  const auto table = reading_text(folder, 1);
  if (!table) return fail(table.error());
  DraftTable draft(table->dialect.delimiter);
  for (const auto& row : rows) {
    draft.begin_row();
    for (const CellText& cell : row) draft.set(cell.column, cell.text);
  }
  const auto sheet = draft.read(kReadingsFile);
  if (!sheet) return fail(sheet.error());
  Survey read;
  read_readings(*sheet, read);
  if (const Problem* problem = first_complaint(read.problems)) {
    return fail(error_from(*problem, problem->row));
  }
  return std::move(read.readings);
}

}  // namespace ohmglow::records
