#pragma once
#include <string_view>

namespace ohmglow {
inline constexpr std::string_view kVersion = "0.1.0";
}
