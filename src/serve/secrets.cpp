#include "serve/secrets.h"

#include <array>
#include <fmt/format.h>
#include <openssl/crypto.h>
#include <openssl/rand.h>
#include <stdexcept>

namespace ohmglow::serve {

std::string random_text() {
  std::array<unsigned char, 32> bytes{};
  if (RAND_bytes(bytes.data(), static_cast<int>(bytes.size())) != 1) {
    throw std::runtime_error("the system gives no random numbers");
  }
  std::string text;
  for (const unsigned char byte : bytes) text += fmt::format("{:02x}", byte);
  return text;
}

bool same_secret(std::string_view a, std::string_view b) {
  return a.size() == b.size() && CRYPTO_memcmp(a.data(), b.data(), a.size()) == 0;
}

}  // namespace ohmglow::serve
