#pragma once
/// The lines of key and signature files.

#include "ohmglow/result.h"

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::signing {

/// Keys, and signatures of the content itself, say "Ed"; signatures of its hash say "ED".
inline constexpr std::string_view kPlain = "Ed";
inline constexpr std::string_view kHashed = "ED";

/// The lines of a text, line ends of either kind taken off.
[[nodiscard]] std::vector<std::string_view> lines_of(std::string_view text);

/// Base64 of exactly `size` bytes. Errors: not_this_format, with `what` it should have been.
[[nodiscard]] Result<std::vector<std::uint8_t>> decoded(std::string_view base64, std::size_t size,
                                                        std::string_view what);
[[nodiscard]] std::string encoded(const std::vector<std::uint8_t>& bytes);

/// Bytes of a fixed layout, taken from the front.
class Bytes {
 public:
  explicit Bytes(const std::vector<std::uint8_t>& bytes) : bytes_(bytes) {}
  template <std::size_t N>
  void take(std::array<std::uint8_t, N>& into) {
    for (std::uint8_t& byte : into) byte = bytes_.at(at_++);
  }
  [[nodiscard]] std::string word(std::size_t length) {
    std::string text;
    for (std::size_t i = 0; i < length; ++i) text += static_cast<char>(bytes_.at(at_++));
    return text;
  }
  /// Little-endian.
  [[nodiscard]] std::uint64_t number() {
    std::uint64_t value = 0;
    for (unsigned shift = 0; shift < 64; shift += 8)
      value |= std::uint64_t{bytes_.at(at_++)} << shift;
    return value;
  }

 private:
  const std::vector<std::uint8_t>& bytes_;
  std::size_t at_ = 0;
};

}  // namespace ohmglow::signing
