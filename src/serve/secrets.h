#pragma once
/// What must not be guessed.

#include <string>
#include <string_view>

namespace ohmglow::serve {

/// 256 random bits as hexadecimal digits.
[[nodiscard]] std::string random_text();

/// Whether two texts are equal, in a time that does not tell where they differ.
[[nodiscard]] bool same_secret(std::string_view a, std::string_view b);

}  // namespace ohmglow::serve
