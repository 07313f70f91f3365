#include "serve/port.h"

#include "offered/files/folder.h"

#include <charconv>
#include <span>
#include <string>
#include <system_error>

namespace ohmglow::serve {

int steady_port(const std::filesystem::path& folder) {
  constexpr unsigned kLowest = 20'000;
  constexpr unsigned kCount = 12'000;
  constexpr std::size_t kDigits = 8;
  std::error_code error;
  const std::string place = std::filesystem::canonical(folder, error).string();
  const std::string digits = records::sha256(std::as_bytes(std::span(place))).substr(0, kDigits);
  unsigned number = 0;
  std::from_chars(digits.data(), digits.data() + digits.size(), number, 16);
  return static_cast<int>(kLowest + number % kCount);
}

}  // namespace ohmglow::serve
