// Own: Debian has minisign as a program and for Go, not as a library for C. What is signed, hashed
// and derived is libsodium's; these are lines of text, and nothing was measured.
#include "signing/key_file.h"

#include <fmt/format.h>
#include <sodium.h>

namespace ohmglow::signing {

std::vector<std::string_view> lines_of(std::string_view text) {
  std::vector<std::string_view> lines;
  while (!text.empty()) {
    const auto end = text.find('\n');
    std::string_view line = text.substr(0, end);
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    lines.push_back(line);
    if (end == std::string_view::npos) break;
    text.remove_prefix(end + 1);
  }
  return lines;
}

Result<std::vector<std::uint8_t>> decoded(std::string_view base64, std::size_t size,
                                          std::string_view what) {
  std::vector<std::uint8_t> bytes(size);
  std::size_t length = 0;
  const char* end = nullptr;
  const int failed = sodium_base642bin(bytes.data(), bytes.size(), base64.data(), base64.size(),
                                       nullptr, &length, &end, sodium_base64_VARIANT_ORIGINAL);
  if (failed != 0 || length != size || end != base64.data() + base64.size())
    return fail({.kind = ErrorKind::not_this_format,
                 .what = fmt::format("this is no {}", what),
                 .expected = fmt::format("base64 of {} bytes, as minisign writes it", size)});
  return bytes;
}

std::string encoded(const std::vector<std::uint8_t>& bytes) {
  // With the closing NUL that the library writes.
  std::string text(sodium_base64_ENCODED_LEN(bytes.size(), sodium_base64_VARIANT_ORIGINAL), '\0');
  sodium_bin2base64(text.data(), text.size(), bytes.data(), bytes.size(),
                    sodium_base64_VARIANT_ORIGINAL);
  text.pop_back();
  return text;
}

}  // namespace ohmglow::signing
