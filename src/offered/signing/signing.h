#pragma once
/// Detached signatures in the open format of minisign (Ed25519 over BLAKE2b-512; RFC 8032, RFC
/// 7693): keys and signatures made by either program serve the other. Texts in, texts out.

#include "ohmglow/result.h"

#include <array>
#include <cstdint>
#include <cstring>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

namespace ohmglow::signing {

using KeyId = std::array<std::uint8_t, 8>;

struct PublicKey {
  KeyId id{};
  std::array<std::uint8_t, 32> point{};
};
/// The content of a public key file, or its second line alone. Errors: not_this_format.
[[nodiscard]] Result<PublicKey> parse_public_key(std::string_view text);

/// The hexadecimal number by which people tell keys from each other.
[[nodiscard]] std::string name_of(const KeyId& id);

/// A secret key; its bytes are wiped when it goes.
class SecretKey {
 public:
  SecretKey() = default;
  SecretKey(const SecretKey&) = delete;
  SecretKey& operator=(const SecretKey&) = delete;
  SecretKey(SecretKey&& other) noexcept : id(other.id), seed_and_point(other.seed_and_point) {
    other.wipe();
  }
  SecretKey& operator=(SecretKey&& other) noexcept {
    std::swap(id, other.id);
    std::swap(seed_and_point, other.seed_and_point);
    return *this;
  }
  ~SecretKey() { wipe(); }

  KeyId id{};
  std::array<std::uint8_t, 64> seed_and_point{};

 private:
  void wipe() { ::explicit_bzero(seed_and_point.data(), seed_and_point.size()); }
};

/// Whether a secret key file asks for a password. Errors: as parse_secret_key.
[[nodiscard]] Result<bool> is_encrypted(std::string_view text);
/// The content of a secret key file. Errors: not_this_format; missing where a password is needed
/// and none is given; invalid_value where it is the wrong one; too_large where the file demands
/// more than 1 GiB of memory for it; damaged.
[[nodiscard]] Result<SecretKey> parse_secret_key(std::string_view text,
                                                 const std::optional<std::string>& password);

/// The text of a signature file. `comment` is one line that is signed too. Errors: a comment of
/// several lines, or longer than 8 KiB.
[[nodiscard]] Result<std::string> sign(const SecretKey& key, std::string_view content,
                                       std::string_view comment);

/// The signed comment of a signature that is good. Errors: not_this_format; conflict where it was
/// made by another key; invalid_value where content or comment are not what was signed.
[[nodiscard]] Result<std::string> verify(const PublicKey& key, std::string_view content,
                                         std::string_view signature);

/// The room as a part of the program (cmake/parts.cmake): libsodium is opened with the first key.
struct Part {
  std::string_view version;
  decltype(&signing::parse_public_key) parse_public_key;
  decltype(&signing::name_of) name_of;
  decltype(&signing::is_encrypted) is_encrypted;
  decltype(&signing::parse_secret_key) parse_secret_key;
  decltype(&signing::sign) sign;
  decltype(&signing::verify) verify;
};

}  // namespace ohmglow::signing
