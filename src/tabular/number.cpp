#include "offered/tabular/tabular.h"

#include <cmath>
#include <fast_float/fast_float.h>

namespace ohmglow::tabular {
namespace {

bool is_blank(char c) {
  return c == ' ' || c == '\t';
}

// Loops and not the library's searches: a temperature matrix holds a million cells.
std::string_view without_blanks(std::string_view cell) {
  while (!cell.empty() && is_blank(cell.front())) cell.remove_prefix(1);
  while (!cell.empty() && is_blank(cell.back())) cell.remove_suffix(1);
  return cell;
}

}  // namespace

std::optional<double> parse_number(std::string_view cell, char decimal_mark) {
  std::string_view text = without_blanks(cell);
  // The library takes a minus sign only, and the words for infinity and NaN, which are not numbers
  // here: what follows the sign must be a digit or the decimal mark.
  const bool plus = text.starts_with('+');
  if (plus) text.remove_prefix(1);
  const std::size_t start = !plus && text.starts_with('-') ? 1 : 0;
  if (start >= text.size()) return std::nullopt;
  const char lead = text[start];
  if ((lead < '0' || lead > '9') && lead != decimal_mark) return std::nullopt;

  double value = 0;
  const char* const end = text.data() + text.size();
  const auto [stopped, trouble] = fast_float::from_chars_advanced(
      text.data(), end, value,
      fast_float::parse_options{fast_float::chars_format::general, decimal_mark});
  // Older releases of the library report a number over the range of doubles as infinity.
  if (trouble != std::errc{} || stopped != end || !std::isfinite(value)) return std::nullopt;
  return value;
}

}  // namespace ohmglow::tabular
