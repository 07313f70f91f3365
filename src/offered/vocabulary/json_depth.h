#pragma once
/// How deep a JSON text nests, asked before anything that calls itself level by level walks it.

#include <cstddef>
#include <string_view>

namespace ohmglow {

/// No JSON of ours nests deeper than ten.
inline constexpr std::size_t kDeepestJson = 32;

/// Whether brackets outside of strings nest deeper than kDeepestJson; the text need not be sound.
[[nodiscard]] bool nests_too_deep(std::string_view json);

}  // namespace ohmglow
