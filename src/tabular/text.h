#pragma once
/// What a text file may begin with.

#include <optional>
#include <string_view>

namespace ohmglow::tabular {

/// Of every mark before the first character: files that were put together may have several.
inline std::size_t bytes_of_byte_order_mark(std::string_view text) {
  constexpr std::string_view kMark = "\xEF\xBB\xBF";
  std::size_t bytes = 0;
  while (text.substr(bytes).starts_with(kMark)) bytes += kMark.size();
  return bytes;
}

/// What a text declares of itself before its rows begin.
struct Opening {
  std::optional<char> delimiter;
  std::size_t bytes = 0;
};
/// A byte order mark, and a first line "sep=;", by which spreadsheets are told the delimiter.
[[nodiscard]] Opening opening_of(std::string_view text);

}  // namespace ohmglow::tabular
