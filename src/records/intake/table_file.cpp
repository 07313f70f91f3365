#include "records/intake/table_file.h"

#include "offered/intake/survey_tables.h"
#include "offered/tabular/workbook.h"
#include "offered/vocabulary/utf8.h"
#include "records/files/files.h"
#include "records/files/shown.h"
#include "records/intake/tables.h"

#include <algorithm>
#include <array>
#include <system_error>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

constexpr std::array kTableFiles{kMotorsFile,  kImagesFile, kReadingsFile,
                                 kCircuitFile, kSweepsFile, kAirGapFile};
constexpr std::string_view kText = ".csv";
constexpr std::string_view kWorkbook = ".xlsx";
/// What spreadsheets save by other names; said so that nobody wonders why it is not read.
constexpr std::array<std::string_view, 4> kNotRead{".xls", ".xlsm", ".xlsb", ".ods"};

std::string_view without_ending(std::string_view usual_name) {
  return usual_name.substr(0, usual_name.size() - kText.size());
}

bool is_not_read(std::string_view ending) {
  return std::find(kNotRead.begin(), kNotRead.end(), ending) != kNotRead.end();
}

/// What names of the folder say of a table.
struct Candidates {
  std::vector<std::string> read;
  std::vector<std::string> not_read;
};

Candidates candidates_of(const fs::path& folder, std::string_view usual_name) {
  const std::string_view stem = without_ending(usual_name);
  Candidates found;
  std::error_code error;
  fs::directory_iterator entry(folder, error);
  for (; !error && entry != fs::directory_iterator(); entry.increment(error)) {
    // Most names of a large folder are told apart by their length.
    const std::string& path = entry->path().native();
    const std::string_view name = std::string_view(path).substr(path.rfind('/') + 1);
    if (name.size() < stem.size() + 4 || name.size() > stem.size() + 5) continue;
    const std::string written = lower_case(name);
    if (!written.starts_with(stem)) continue;
    const std::string_view ending = std::string_view(written).substr(stem.size());
    if (ending == kText || ending == kWorkbook) found.read.emplace_back(name);
    if (is_not_read(ending)) found.not_read.emplace_back(name);
  }
  std::sort(found.read.begin(), found.read.end());
  return found;
}

Error several(const std::vector<std::string>& names) {
  std::vector<std::string> written;
  for (const std::string& name : names) written.push_back(shown(name));
  return {.kind = ErrorKind::conflict,
          .what = "the folder holds this table more than once",
          .found = listed(written),
          .expected = "one of them",
          .mend =
              "keep the one that is right and move the other out of the folder; none is read "
              "until then",
          .place = {.file = names.front()}};
}

Error not_read(const std::string& name, std::string_view usual_name) {
  return {.kind = ErrorKind::unsupported,
          .what = "a table in this format is not read",
          .found = shown(name),
          .expected = std::string(usual_name) + " or " + std::string(without_ending(usual_name)) +
                      std::string(kWorkbook),
          .mend = "save it as one of these",
          .place = {.file = name}};
}

}  // namespace

bool is_table_name(std::string_view name) {
  const std::string written = lower_case(name);
  return std::any_of(kTableFiles.begin(), kTableFiles.end(), [&written](std::string_view usual) {
    return written == usual ||
           written == std::string(without_ending(usual)) + std::string(kWorkbook);
  });
}

bool is_workbook_name(std::string_view name) {
  return lower_case(name).ends_with(kWorkbook);
}

Result<std::optional<std::string>> find_table(const fs::path& folder, std::string_view usual_name) {
  const Candidates found = candidates_of(folder, usual_name);
  if (found.read.size() > 1) return fail(several(found.read));
  if (found.read.size() == 1) return std::optional(found.read.front());
  if (!found.not_read.empty()) return fail(not_read(found.not_read.front(), usual_name));
  return std::optional<std::string>();
}

std::uint64_t most_bytes_of(std::string_view file) {
  return is_workbook_name(file) ? kMaxWorkbookBytes : kMaxTableBytes;
}

Result<DecodedTable> decoded_table(std::string_view bytes, std::string_view file) {
  DecodedTable table;
  const auto remark = [&](Error error) {
    error.place.file = file;
    Problem problem = problem_from(error);
    problem.is_remark = true;
    table.remarks.push_back(std::move(problem));
  };
  if (is_workbook_name(file)) {
    auto sheet = tabular::first_sheet(bytes);
    if (!sheet) return fail(sheet.error().in_file(file));
    table.text = std::move(sheet->text);
    if (sheet->other_sheets > 0) {
      remark({.what = "of this workbook's " + std::to_string(sheet->other_sheets + 1) +
                      " sheets only the first is read",
              .found = shown(sheet->sheet)});
    }
    return table;
  }
  auto text = tabular::decoded(std::string(bytes));
  if (!text) return fail(text.error().in_file(file));
  table.text = std::move(text->text);
  table.encoding = text->encoding;
  if (table.encoding == tabular::Encoding::windows_1252) {
    remark({.what = "this table is not encoded in UTF-8; it was read as Windows-1252",
            .mend = "look whether its names are right, and save it as CSV in UTF-8 where not"});
  }
  return table;
}

std::string& name_in(TableNames& tables, std::string_view usual_name) {
  if (usual_name == kMotorsFile) return tables.motors;
  if (usual_name == kImagesFile) return tables.images;
  if (usual_name == kReadingsFile) return tables.readings;
  if (usual_name == kSweepsFile) return tables.sweeps;
  if (usual_name == kAirGapFile) return tables.air_gap;
  return tables.circuit;
}

TableNames table_names(const fs::path& folder) {
  TableNames names;
  for (const std::string_view usual : kTableFiles) {
    const auto found = find_table(folder, usual);
    if (!found) {
      name_in(names, usual).clear();
    } else if (*found) {
      name_in(names, usual) = **found;
    }
  }
  return names;
}

}  // namespace ohmglow::records
