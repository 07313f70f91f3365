#include "records/editing/table_draft.h"

#include "records/files/shown.h"

#include <algorithm>
#include <utility>

namespace ohmglow::records {

Result<TableDraft> TableDraft::of(std::string text, std::string_view file) {
  auto sheet = Sheet::parse(text, file);
  if (!sheet) return fail(sheet.error());
  TableDraft draft(std::move(text), std::move(*sheet));
  if (draft.places_.size() != draft.sheet_.rows() + 1) {
    return fail({.kind = ErrorKind::unsupported,
                 .what = "the table cannot be edited here: its cells cannot be located in the file",
                 .mend = "edit the table in a spreadsheet",
                 .place = {.file = std::string(file)}});
  }
  return draft;
}

TableDraft::TableDraft(std::string text, Sheet sheet)
    : text_(std::move(text)),
      sheet_(std::move(sheet)),
      places_(tabular::places(text_, sheet_.dialect().delimiter)),
      columns_(sheet_.header()) {
  // A cell without a column name above it must not come under the name of a new column.
  std::size_t widest = columns_.size();
  for (const tabular::RowPlace& row : places_) widest = std::max(widest, row.cells.size());
  columns_.resize(widest);
}

bool TableDraft::has_column(std::string_view name) const {
  return std::find(columns_.begin(), columns_.end(), name) != columns_.end();
}

TableDraft::RawRow TableDraft::raw(std::size_t line) const {
  const tabular::RowPlace& place = places_[line];
  RawRow row;
  for (const tabular::CellPlace& cell : place.cells) {
    row.cells.push_back(text_.substr(cell.begin, cell.end - cell.begin));
  }
  row.line_end = text_.substr(place.cells.back().end, place.end - place.cells.back().end);
  return row;
}

TableDraft::RawRow& TableDraft::changed(std::size_t line) {
  const auto known = changes_.find(line);
  if (known != changes_.end()) return known->second;
  return changes_.emplace(line, line < places_.size() ? raw(line) : RawRow{}).first->second;
}

std::size_t TableDraft::column_index(std::string_view name) {
  const auto at = std::find(columns_.begin(), columns_.end(), name);
  const auto index = static_cast<std::size_t>(at - columns_.begin());
  if (at != columns_.end()) return index;
  columns_.emplace_back(name);
  RawRow& header = changed(0);
  header.cells.resize(index + 1);
  header.cells[index] = tabular::cell_text(name, sheet_.dialect().delimiter);
  values_[0][index] = name;
  return index;
}

void TableDraft::set(std::size_t row, std::string_view column, std::string_view value) {
  const std::size_t index = column_index(column);
  const std::size_t line = row + 1;
  RawRow& cells = changed(line);
  if (cells.cells.size() <= index) cells.cells.resize(index + 1);
  std::string& cell = cells.cells[index];
  const bool was_quoted = !value.empty() && trimmed(cell).starts_with('"');
  cell = tabular::cell_text(value, sheet_.dialect().delimiter);
  if (was_quoted && !cell.starts_with('"')) cell = '"' + cell + '"';
  values_[line][index] = value;
}

std::size_t TableDraft::append() {
  const std::size_t line = places_.size() + appended_rows_;
  ++appended_rows_;
  changed(line);
  return line - 1;
}

void TableDraft::erase(std::size_t row) {
  erased_ = row + 1;
}

std::string TableDraft::joined(const RawRow& row) const {
  std::string text;
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    if (i > 0) text += sheet_.dialect().delimiter;
    text += row.cells[i];
  }
  return text + row.line_end;
}

std::string TableDraft::line_end() const {
  const std::string of_header = raw(0).line_end;
  return of_header.empty() ? "\n" : of_header;
}

/// The new rows with the line end that keeps the text ending as it did.
std::string TableDraft::appended() const {
  const bool ends_open = raw(places_.size() - 1).line_end.empty();
  std::string text;
  for (std::size_t i = 0; i < appended_rows_; ++i) {
    RawRow row = changes_.at(places_.size() + i);
    // As wide as the header: a row that is cut short looks damaged in other programs.
    row.cells.resize(std::max(row.cells.size(), sheet_.header().size()));
    text += ends_open ? line_end() + joined(row) : joined(row) + line_end();
  }
  return text;
}

std::string TableDraft::written() const {
  std::string text = text_;
  if (appended_rows_ > 0) text.insert(places_.back().end, appended());
  for (auto change = changes_.rbegin(); change != changes_.rend(); ++change) {
    if (change->first >= places_.size()) continue;
    const tabular::RowPlace& place = places_[change->first];
    text.replace(place.begin, place.end - place.begin, joined(change->second));
  }
  if (erased_ == 0) return text;
  tabular::RowPlace place = places_[erased_];
  if (raw(erased_).line_end.empty()) {  // the row above ends the text then, as openly
    place.begin -= std::string_view(text).substr(0, place.begin).ends_with("\r\n") ? 2 : 1;
  }
  return text.erase(place.begin, place.end - place.begin);
}

bool TableDraft::reads_as_meant(const Sheet& after) const {
  if (after.dialect().delimiter != sheet_.dialect().delimiter) return false;
  std::vector<std::size_t> lines;
  for (std::size_t line = 1; line < places_.size() + appended_rows_; ++line) {
    if (line != erased_) lines.push_back(line);
  }
  if (after.rows() != lines.size()) return false;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    std::vector<std::string> meant;
    if (lines[i] < places_.size()) meant = sheet_.cells(lines[i] - 1);
    if (const auto values = values_.find(lines[i]); values != values_.end()) {
      for (const auto& [column, value] : values->second) {
        if (meant.size() <= column) meant.resize(column + 1);
        meant[column] = value;
      }
    }
    std::vector<std::string> read = after.cells(i);
    const std::size_t cells = std::max(meant.size(), read.size());
    meant.resize(cells);
    read.resize(cells);
    if (meant != read) return false;
  }
  return true;
}

TableDraft TableDraft::padded() const {
  TableDraft full = *this;
  for (std::size_t line = 0; line < places_.size(); ++line) {
    auto& cells = full.changed(line).cells;
    cells.resize(std::max(cells.size(), columns_.size()));
  }
  return full;
}

/// What the change damages.
std::optional<Error> TableDraft::damage_in(const Sheet& after) const {
  const auto& before = sheet_.damaged();
  const auto same = [](const Error& a, const Error& b) { return sentence(a) == sentence(b); };
  const auto [old, found] = std::mismatch(before.begin(), before.end(), after.damaged().begin(),
                                          after.damaged().end(), same);
  if (found == after.damaged().end()) return std::nullopt;
  Error error = *found;
  error.mend = "nothing was saved";
  return error;
}

Result<TableDraft::Done> TableDraft::done() const {
  std::string text = written();
  auto after = Sheet::parse(text, sheet_.file());
  if (after) {
    if (auto damage = damage_in(*after)) return fail(damage->in_file(sheet_.file()));
  }
  const bool sound = after && reads_as_meant(*after);
  // Rows of unlike lengths may hide which delimiter cuts the table.
  const bool has_new_columns = columns_.size() > sheet_.header().size();
  if (!sound && has_new_columns && !is_padded_) {
    TableDraft full = padded();
    full.is_padded_ = true;
    return full.done();
  }
  if (!after) return fail(after.error());
  if (!sound) {
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "with this change the table would be read otherwise in other places",
                 .mend = "nothing was saved; change the table with a spreadsheet",
                 .place = {.file = std::string(sheet_.file())}});
  }
  return Done{std::move(text), std::move(*after)};
}

}  // namespace ohmglow::records
