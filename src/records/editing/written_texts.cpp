#include "offered/editing/survey_edits.h"
#include "records/editing/edited_tables.h"
#include "records/editing/file_state.h"
#include "records/files/json_text.h"
#include "records/intake/tables.h"

#include <algorithm>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

/// A table without its rows, and the sheet that they are in.
struct OpenedTable {
  TableText texts;
  std::optional<Sheet> sheet;
};

Result<OpenedTable> open_table(const fs::path& folder, std::string_view file) {
  const auto state = FileSnapshot::read(folder, file);
  if (!state) return fail(state.error());
  OpenedTable table;
  table.texts.etag = state->etag;
  if (!state->text) return table;
  auto sheet = Sheet::parse(*state->text, state->name);
  if (!sheet) return fail(sheet.error());
  table.texts.dialect = sheet->dialect();
  for (const std::string& name : sheet->written_header()) {
    table.texts.columns.emplace_back(trimmed(name));
  }
  table.sheet = std::move(*sheet);
  return table;
}

void add_row(OpenedTable& table, std::size_t index) {
  const auto& cells = table.sheet->cells(index);
  const auto& columns = table.texts.columns;
  RowText row{table.sheet->number(index), {}};
  for (std::size_t i = 0; i < std::max(cells.size(), columns.size()); ++i) {
    row.cells.push_back({i < columns.size() ? columns[i] : std::string(),
                         i < cells.size() ? cells[i] : std::string()});
  }
  table.texts.rows.push_back(std::move(row));
}

}  // namespace

Result<TableText> table_text(const fs::path& folder, std::string_view file) {
  auto table = open_table(folder, file);
  if (!table) return fail(table.error());
  for (std::size_t i = 0; table->sheet && i < table->sheet->rows(); ++i) add_row(*table, i);
  return std::move(table->texts);
}

Result<TableText> image_text(const fs::path& folder, const ImageKey& image) {
  auto table = open_table(folder, kImagesFile);
  if (!table) return fail(table.error());
  Survey scratch;
  const auto defaults = read_survey_file(folder, scratch);
  if (!defaults) return fail(defaults.error());
  if (!table->sheet) return std::move(table->texts);
  if (const auto row = row_of_image(folder, *table->sheet, image, *defaults)) add_row(*table, *row);
  return std::move(table->texts);
}

Result<TableText> reading_text(const fs::path& folder, long row) {
  auto table = open_table(folder, kReadingsFile);
  if (!table) return fail(table.error());
  if (!table->sheet) return std::move(table->texts);
  if (const auto index = row_by_number(*table->sheet, row)) add_row(*table, *index);
  return std::move(table->texts);
}

Result<TableText> defaults_text(const fs::path& folder) {
  const auto state = FileSnapshot::read(folder, kSurveyFile);
  if (!state) return fail(state.error());
  TableText texts;
  texts.etag = state->etag;
  if (!state->text) return texts;
  const auto json = parse_json(*state->text);
  if (!json) return fail(json.error().in_file(kSurveyFile));
  if (!json->is_object() || !json->contains("defaults")) return texts;
  const Json& defaults = json->at("defaults");
  if (!defaults.is_object()) return texts;
  RowText& row = texts.rows.emplace_back();
  for (const auto& [name, value] : defaults.items()) {
    texts.columns.push_back(name);
    row.cells.push_back({name, value.is_string() ? value.get<std::string>() : dumped(value)});
  }
  return texts;
}

}  // namespace ohmglow::records
