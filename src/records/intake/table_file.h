#pragma once
/// Tables of the survey as people keep them: "Images.CSV", "images.xlsx", in UTF-16.

#include "offered/tabular/tabular.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// Workbooks hold their tables packed.
inline constexpr std::uint64_t kMaxWorkbookBytes = std::uint64_t{128} << 20;

/// Whether a file of the survey folder is one of its tables, by its name.
[[nodiscard]] bool is_table_name(std::string_view name);
[[nodiscard]] bool is_workbook_name(std::string_view name);

/// What a table is called in the folder, from its usual name, "images.csv": in capital letters, or
/// the workbook of that name. Absent where there is none. Errors: conflict for two of them;
/// unsupported for one that only another program reads ("images.ods").
[[nodiscard]] Result<std::optional<std::string>> find_table(const std::filesystem::path& folder,
                                                            std::string_view usual_name);

/// A table's text in UTF-8.
struct DecodedTable {
  std::string text;
  tabular::Encoding encoding = tabular::Encoding::utf_8;  ///< of a file that is a text
  std::vector<Problem> remarks;
};
/// Of the bytes of a file of that name. Errors: those of tabular::decoded and
/// tabular::first_sheet, with the file's name.
[[nodiscard]] Result<DecodedTable> decoded_table(std::string_view bytes, std::string_view file);

/// The most bytes that a table of that name may have.
[[nodiscard]] std::uint64_t most_bytes_of(std::string_view file);

/// What a table is called in this survey, by its usual name.
[[nodiscard]] std::string& name_in(TableNames& tables, std::string_view usual_name);

}  // namespace ohmglow::records
