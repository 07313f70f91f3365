#pragma once
/// Text as users write it: cut, compared and quoted back at them.

#include <string>
#include <string_view>

namespace ohmglow::records {

[[nodiscard]] std::string_view trimmed(std::string_view text);
[[nodiscard]] std::string lower_case(std::string_view text);

/// A value as a complaint shows it: one line, at most some sixty bytes, so that a hostile cell
/// cannot flood the list of problems.
[[nodiscard]] std::string shown(std::string_view value);

/// Whether a terminal or a report could take it for more than text: C0 controls but tab and line
/// ends.
[[nodiscard]] bool has_control_characters(std::string_view text);

/// The longest list that a complaint holds: all columns of images.csv go into it.
inline constexpr std::size_t kMostListed = 50;

/// "a", "b", "c"; at most `most` of them.
template <class Names>
[[nodiscard]] std::string listed(const Names& names, std::size_t most = kMostListed) {
  std::string text;
  std::size_t count = 0;
  for (const auto& name : names) {
    if (!text.empty()) text += ", ";
    if (count++ == most) return text + "…";
    text += name;
  }
  return text;
}

/// The longest text that a cell or member may hold, in bytes.
inline constexpr std::size_t kLongestText = 10'000;

}  // namespace ohmglow::records
