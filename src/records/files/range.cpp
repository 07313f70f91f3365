#include "records/files/range.h"

#include <cmath>
#include <fmt/format.h>

namespace ohmglow::records {

bool Range::contains(double value) const {
  if (!std::isfinite(value) || value > high || (low_open ? value <= low : value < low))
    return false;
  return !whole || (std::trunc(value) == value && std::fmod(value, multiple_of) == 0);
}

std::string Range::describe(std::string_view unit) const {
  std::string text = whole ? "a whole number" : "a number";
  if (multiple_of != 1) text = fmt::format("a multiple of {}", multiple_of);
  const bool bounded_below = std::isfinite(low);
  // The largest int stands for "no upper end" of whole numbers.
  const bool bounded_above = std::isfinite(high) && high < std::numeric_limits<int>::max();
  if (bounded_below) text += fmt::format(" {} {}", low_open ? "above" : "from", low);
  if (bounded_above)
    text += fmt::format(" {} {}", low_open || !bounded_below ? "and at most" : "to", high);
  if (bounded_below && !bounded_above && !low_open) text += " up";
  if (!unit.empty()) text += fmt::format(" ({})", unit);
  return text;
}

}  // namespace ohmglow::records
