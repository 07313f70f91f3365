#pragma once
/// What a text file may begin with.

#include <optional>
#include <string_view>

namespace ohmglow::tabular {

inline std::size_t bytes_of_byte_order_mark(std::string_view text) {
  constexpr std::string_view kMark = "\xEF\xBB\xBF";
  return text.starts_with(kMark) ? kMark.size() : 0;
}

/// What a text declares of itself before its rows begin.
struct Opening {
  std::optional<char> delimiter;
  std::size_t bytes = 0;
};
/// A byte order mark, and a first line "sep=;", by which spreadsheets are told the delimiter.
[[nodiscard]] Opening opening_of(std::string_view text);

}  // namespace ohmglow::tabular
