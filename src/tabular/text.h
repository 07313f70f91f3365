#pragma once
/// What a text file may begin with.

#include <string_view>

namespace ohmglow::tabular {

inline std::size_t bytes_of_byte_order_mark(std::string_view text) {
  constexpr std::string_view kMark = "\xEF\xBB\xBF";
  return text.starts_with(kMark) ? kMark.size() : 0;
}

}  // namespace ohmglow::tabular
