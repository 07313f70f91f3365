#include "records/intake/sheet.h"

#include "records/files/files.h"
#include "records/intake/table_file.h"

#include <algorithm>
#include <fmt/format.h>
#include <iterator>
#include <unordered_map>
#include <unordered_set>

namespace ohmglow::records {
namespace {

/// LF, CRLF or CR.
long line_breaks(std::string_view cell) {
  long count = 0;
  for (std::size_t i = 0; i < cell.size(); ++i) {
    const bool within_crlf = cell[i] == '\r' && i + 1 < cell.size() && cell[i + 1] == '\n';
    if (cell[i] == '\n' || (cell[i] == '\r' && !within_crlf)) ++count;
  }
  return count;
}

Result<std::vector<std::string>> header_from(const std::vector<std::string>& row) {
  std::vector<std::string> header;
  std::unordered_set<std::string> seen;
  for (const std::string& cell : row) {
    header.push_back(lower_case(trimmed(cell)));
    if (header.back().empty() || seen.insert(header.back()).second) continue;
    Error error = cell_error(shown(header.back()), "this column is there twice", "",
                             "each column once", ErrorKind::conflict);
    error.mend = "remove or rename one; the table is left out until then";
    error.place.row = 1;
    return fail(std::move(error));
  }
  return header;
}

/// A damaged row as the sheet counts and names.
Error in_sheet(Error error, const std::vector<std::string>& header, long breaks) {
  error.mend += "; the row is left out until then";
  error.place.row = error.place.row.value_or(1) - breaks;
  const auto cell = std::stoul(error.place.column) - 1;
  error.place.column = cell < header.size() ? shown(lower_case(trimmed(header[cell]))) : "";
  return error;
}

/// Each with what may have been meant by it, of the columns that the table does not have.
Error unknown_columns(const std::vector<std::string_view>& unknown,
                      const std::vector<std::string_view>& absent) {
  std::vector<std::string> named;
  for (const std::string_view name : unknown) {
    const bool is_listed = named.size() < kMostListed;
    named.push_back(!is_listed ? std::string()
                               : '"' + shown(name) + '"' + did_you_mean(near_names(name, absent)));
  }
  return {.what = (unknown.size() > 1 ? "unknown columns " : "unknown column ") + listed(named),
          .mend = "kept, but nothing is read from there"};
}

}  // namespace

Error cell_error(std::string_view column, std::string what, std::string_view found,
                 std::string expected, ErrorKind kind) {
  Error error{.kind = kind,
              .what = std::move(what),
              .found = shown(found),
              .expected = std::move(expected),
              .mend = std::string(kMendCell)};
  error.place.column = column;
  return error;
}

Error given_twice(std::string_view column, std::string_view other) {
  return cell_error(column, "this is given twice, in two units", "",
                    fmt::format("{} or {}, not both", other, column), ErrorKind::conflict);
}

std::vector<std::pair<std::size_t, std::size_t>> units_of_one_thing(
    std::span<const ColumnInfo* const> columns) {
  std::vector<std::pair<std::size_t, std::size_t>> pairs;
  for (std::size_t i = 0; i < columns.size(); ++i) {
    for (std::size_t j = 0; j < columns.size() && !columns[i]->other_unit.empty(); ++j) {
      if (columns[j]->name == columns[i]->other_unit) pairs.emplace_back(i, j);
    }
  }
  return pairs;
}

void report(Problems& problems, Error error, std::string_view file, std::optional<long> row) {
  error.place.file = file;
  if (row) error.place.row = row;
  problems.push_back(problem_from(error));
}

Result<Sheet> Sheet::read(const std::filesystem::path& folder, std::string_view file) {
  const auto content = TextFile::read(folder / file, most_bytes_of(file));
  if (!content) return fail(content.error().in_file(file));
  auto table = decoded_table(content->text(), file);
  if (!table) return fail(table.error());
  return parse(std::move(table->text), file);
}

std::optional<Sheet> Sheet::take_in(const std::filesystem::path& folder,
                                    std::string_view usual_name, Survey& survey) {
  const auto refuse = [&survey](const Error& error) {
    survey.problems.push_back(problem_from(error));
    return std::nullopt;
  };
  const auto found = find_table(folder, usual_name);
  if (!found) return refuse(found.error());
  if (!*found) return std::nullopt;
  const std::string& file = name_in(survey.tables, usual_name) = **found;
  const auto content = records::take_in(folder / file, file, most_bytes_of(file), survey.files);
  if (!content) return refuse(content.error());
  auto table = decoded_table(content->text(), file);
  if (!table) return refuse(table.error());
  auto sheet = parse(std::move(table->text), file);
  if (!sheet) return refuse(sheet.error());
  std::move(table->remarks.begin(), table->remarks.end(), std::back_inserter(survey.problems));
  return std::move(*sheet);
}

Result<Sheet> Sheet::parse(std::string text, std::string_view file) {
  Sheet sheet;
  sheet.file_ = file;
  sheet.text_ = std::move(text);
  long breaks = 0;  // inside cells: as a spreadsheet counts, they begin no row
  bool is_header = true;
  const auto dialect = tabular::each_row(
      sheet.text_,
      [&](tabular::Row row, std::string_view bytes) {
        const auto begin = static_cast<std::size_t>(bytes.data() - sheet.text_.data());
        if (!is_header) sheet.rows_.push_back({begin, bytes.size(), row.line - breaks});
        for (const std::string& cell : row.cells) breaks += line_breaks(cell);
        if (is_header) sheet.written_header_ = std::move(row.cells);
        is_header = false;
      },
      [&](const Error& error) {
        sheet.damaged_.push_back(in_sheet(error, sheet.written_header_, breaks));
        return true;
      });
  if (!dialect) return fail(dialect.error().in_file(file));
  sheet.dialect_ = *dialect;
  auto header = header_from(sheet.written_header_);
  if (!header) return fail(header.error().in_file(file));
  sheet.header_ = std::move(*header);
  return sheet;
}

std::vector<std::string> Sheet::cells(std::size_t row) const {
  const RowText& its = rows_[row];
  return tabular::cells_of(std::string_view(text_).substr(its.begin, its.size), dialect_.delimiter);
}

std::string Sheet::cell(std::size_t row, std::string_view column) const {
  const auto at = std::find(header_.begin(), header_.end(), column);
  const auto index = static_cast<std::size_t>(at - header_.begin());
  const std::vector<std::string> its = cells(row);
  if (at == header_.end() || index >= its.size()) return {};
  return std::string(trimmed(its[index]));
}

std::vector<std::string> Sheet::column(std::string_view name) const {
  std::vector<std::string> result;
  for (std::size_t i = 0; i < rows(); ++i) {
    if (auto cell = this->cell(i, name); !cell.empty()) result.push_back(std::move(cell));
  }
  return result;
}

bool Sheet::bind(std::span<const ColumnInfo* const> columns, const std::set<std::string>& defaulted,
                 std::vector<std::optional<std::size_t>>& bound, Problems& problems) const {
  for (const Error& error : damaged_) report(problems, error, file_, error.place.row);
  std::unordered_map<std::string_view, std::size_t> known;
  for (std::size_t i = 0; i < columns.size(); ++i) known.emplace(columns[i]->name, i);
  std::unordered_set<std::size_t> present;
  std::vector<std::string_view> unknown;
  bound.assign(header_.size(), std::nullopt);
  for (std::size_t i = 0; i < header_.size(); ++i) {
    if (const auto at = known.find(header_[i]); at != known.end()) {
      bound[i] = at->second;
      present.insert(at->second);
    } else if (!header_[i].empty()) {
      unknown.push_back(header_[i]);
    }
  }
  if (!unknown.empty()) {
    std::vector<std::string_view> absent;
    for (std::size_t i = 0; i < columns.size(); ++i) {
      if (!present.contains(i)) absent.push_back(columns[i]->name);
    }
    report(problems, unknown_columns(unknown, absent), file_, 1);
  }
  std::vector<std::string_view> missing;
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (columns[i]->need == Need::optional || present.contains(i)) continue;
    if (!defaulted.contains(std::string(columns[i]->name))) missing.push_back(columns[i]->name);
  }
  if (missing.empty()) return true;
  report(problems,
         {.kind = ErrorKind::missing,
          .what = "the header row lacks a required column",
          .expected = listed(missing),
          .mend = "add it; the table is left out until then"},
         file_, 1);
  return false;
}

}  // namespace ohmglow::records
