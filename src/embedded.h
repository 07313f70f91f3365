#pragma once
/// Data files that travel inside the binary; written by cmake/embed.cmake.

#include <span>
#include <string_view>

namespace ohmglow::embedded {

struct File {
  std::string_view name;
  std::string_view content;
};

[[nodiscard]] std::span<const File> networks();
[[nodiscard]] std::span<const File> policies();
[[nodiscard]] std::span<const File> limits();
[[nodiscard]] std::span<const File> templates();
[[nodiscard]] std::span<const File> page();
[[nodiscard]] std::span<const File> languages();

}  // namespace ohmglow::embedded
