#pragma once
/// The first sheet of a workbook (Office Open XML, ECMA-376: .xlsx) as a text that parse_table()
/// cuts.

#include "ohmglow/result.h"

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace ohmglow::tabular {

/// What a hostile workbook may not exceed; raise for larger tables.
struct WorkbookLimits {
  std::uint64_t part_bytes = std::uint64_t{256} << 20;  ///< of one inflated part
  std::uint64_t text_bytes = std::uint64_t{256} << 20;  ///< of the text
};

struct SheetText {
  std::string text;   ///< begins with "sep=,"; rows stand in the lines of their numbers
  std::string sheet;  ///< its name
  std::size_t other_sheets = 0;
};

/// The first sheet that is not hidden. A number comes as a spreadsheet shows it without a format,
/// with a full stop; one that is formatted as a date or time comes in ISO 8601, as a percentage
/// with its sign; a formula as the value that was saved with it. Errors: `not_this_format` for what
/// is no such workbook; `damaged`; `too_large`; `unsupported` where libzip or Expat is missing.
[[nodiscard]] Result<SheetText> first_sheet(std::string_view bytes,
                                            const WorkbookLimits& limits = {});

}  // namespace ohmglow::tabular
