#include "records/intake/columns.h"

#include <algorithm>
#include <fmt/format.h>

namespace ohmglow::records {
namespace {

/// A share from here up may be one in percent; 1.01 is none.
constexpr double kLeastPercentage = 2;

/// A number with the decimal mark that its table does not have. 1,200 may be twelve hundred.
std::optional<double> with_other_mark(std::string_view text, char decimal_mark) {
  const char other = decimal_mark == '.' ? ',' : '.';
  const auto at = text.find(other);
  if (at == std::string_view::npos) return std::nullopt;
  const bool may_group = text.size() - at == 4 &&
                         text.substr(0, at).find_first_of("123456789") != std::string_view::npos;
  if (may_group) return std::nullopt;
  return tabular::parse_number(text, other);
}

}  // namespace

std::string offer_number(std::string_view cell, const Range& range, std::string_view unit,
                         char decimal_mark) {
  const bool is_share = range.low >= 0 && range.high == 1;
  std::string_view text = cell;
  if (text.ends_with('%') && (is_share || unit == "%"))
    text = trimmed(text.substr(0, text.size() - 1));
  auto value = tabular::parse_number(text, decimal_mark);
  if (!value) value = with_other_mark(text, decimal_mark);
  if (value && is_share && *value >= kLeastPercentage) *value /= 100;
  if (!value || !range.contains(*value)) return {};
  std::string meant = fmt::format("{:.10g}", *value);
  std::replace(meant.begin(), meant.end(), '.', decimal_mark);
  return did_you_mean({meant});
}

}  // namespace ohmglow::records
