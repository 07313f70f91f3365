#pragma once
/// What a text file may begin with and must be made of.

#include <optional>
#include <string_view>

namespace ohmglow::tabular {

inline std::string_view without_byte_order_mark(std::string_view text) {
  constexpr std::string_view kMark = "\xEF\xBB\xBF";
  if (text.starts_with(kMark)) text.remove_prefix(kMark.size());
  return text;
}

/// The offset of the first byte that is not part of a well-formed UTF-8 sequence (Unicode 15.0,
/// table 3-7), or nothing.
[[nodiscard]] std::optional<std::size_t> first_bad_utf8(std::string_view text);

}  // namespace ohmglow::tabular
