#pragma once
/// Where a survey is served when nobody names a port.

#include <filesystem>

namespace ohmglow::serve {

/// A port that follows from where the folder lies, below those that systems hand out by themselves.
[[nodiscard]] int steady_port(const std::filesystem::path& folder);

}  // namespace ohmglow::serve
