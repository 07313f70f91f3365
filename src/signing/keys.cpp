#include "offered/signing/signing.h"
#include "signing/key_file.h"

#include <algorithm>
#include <fmt/format.h>
#include <sodium.h>

namespace ohmglow::signing {
namespace {

constexpr std::string_view kCommentLine = "untrusted comment: ";
constexpr std::size_t kPublicBytes = 2 + 8 + 32;
constexpr std::size_t kSecretBytes = 2 + 2 + 2 + 32 + 8 + 8 + 8 + 64 + 32;
constexpr std::string_view kScrypt = "Sc";
constexpr std::string_view kBlake2b = "B2";
/// What minisign itself asks for; a file that demands more is not one to be obeyed.
constexpr std::uint64_t kMostOperations = crypto_pwhash_scryptsalsa208sha256_OPSLIMIT_SENSITIVE;
constexpr std::uint64_t kMostMemory = crypto_pwhash_scryptsalsa208sha256_MEMLIMIT_SENSITIVE;

/// The secret half of the file, in the clear or under a stream of bytes from the password.
struct Sealed {
  KeyId id{};
  std::array<std::uint8_t, 64> key{};
  std::array<std::uint8_t, 32> check{};
};
constexpr std::size_t kSealedBytes = 8 + 64 + 32;

struct SecretFile {
  bool is_encrypted = false;
  std::array<std::uint8_t, crypto_pwhash_scryptsalsa208sha256_SALTBYTES> salt{};
  std::uint64_t operations = 0;
  std::uint64_t memory = 0;
  Sealed sealed;
};

Error not_a_key(std::string_view what) {
  return {.kind = ErrorKind::not_this_format,
          .what = fmt::format("this is no {}", what),
          .expected = "a comment line and a line of base64, as minisign -G writes them"};
}

Result<SecretFile> read_secret(std::string_view text) {
  const auto lines = lines_of(text);
  if (lines.size() < 2 || !lines[0].starts_with(kCommentLine))
    return fail(not_a_key("secret key file"));
  auto bytes = decoded(lines[1], kSecretBytes, "secret key");
  if (!bytes) return fail(bytes.error());
  Bytes from(*bytes);
  const std::string signature = from.word(2);
  const std::string derivation = from.word(2);
  const std::string checksum = from.word(2);
  const bool is_plain = derivation == std::string(2, '\0');
  if (signature != kPlain || checksum != kBlake2b || (!is_plain && derivation != kScrypt))
    return fail(not_a_key("secret key of a kind that this program knows"));
  SecretFile file;
  file.is_encrypted = !is_plain;
  from.take(file.salt);
  file.operations = from.number();
  file.memory = from.number();
  from.take(file.sealed.id);
  from.take(file.sealed.key);
  from.take(file.sealed.check);
  sodium_memzero(bytes->data(), bytes->size());
  return file;
}

/// Undoes the password: the same bytes that were laid over the secret half, laid over it again.
Result<void> unseal(SecretFile& file, const std::string& password) {
  if (file.operations > kMostOperations || file.memory > kMostMemory)
    return fail({.kind = ErrorKind::too_large,
                 .what = "the key file demands more work for its password than this program does",
                 .found = fmt::format("{} bytes of memory", file.memory),
                 .expected = fmt::format("at most {}", kMostMemory)});
  std::array<std::uint8_t, kSealedBytes> stream{};
  if (crypto_pwhash_scryptsalsa208sha256(stream.data(), stream.size(), password.data(),
                                         password.size(), file.salt.data(), file.operations,
                                         file.memory) != 0)
    return fail({.kind = ErrorKind::system,
                 .what = "there is not enough memory to try the password",
                 .expected = fmt::format("{} bytes", file.memory)});
  const auto* byte = stream.data();
  for (std::uint8_t& one : file.sealed.id) one ^= *byte++;
  for (std::uint8_t& one : file.sealed.key) one ^= *byte++;
  for (std::uint8_t& one : file.sealed.check) one ^= *byte++;
  sodium_memzero(stream.data(), stream.size());
  return {};
}

/// minisign gives a key without a password no checksum.
bool has_its_checksum(const SecretFile& file) {
  const Sealed& sealed = file.sealed;
  if (!file.is_encrypted && sealed.check == decltype(sealed.check){}) return true;
  std::vector<std::uint8_t> checked(kPlain.begin(), kPlain.end());
  checked.insert(checked.end(), sealed.id.begin(), sealed.id.end());
  checked.insert(checked.end(), sealed.key.begin(), sealed.key.end());
  std::array<std::uint8_t, 32> check{};
  crypto_generichash(check.data(), check.size(), checked.data(), checked.size(), nullptr, 0);
  sodium_memzero(checked.data(), checked.size());
  return check == sealed.check;
}

/// A signature by a seed with another seed's point would give the seed away.
bool is_pair(const Sealed& sealed) {
  std::array<std::uint8_t, 32> point{};
  std::array<std::uint8_t, 64> pair{};
  crypto_sign_seed_keypair(point.data(), pair.data(), sealed.key.data());
  const bool same = pair == sealed.key;
  sodium_memzero(pair.data(), pair.size());
  return same;
}

}  // namespace

std::string name_of(const KeyId& id) {
  // Little-endian, as minisign prints it.
  std::string text;
  for (auto byte = id.rbegin(); byte != id.rend(); ++byte) text += fmt::format("{:02X}", *byte);
  return text;
}

Result<PublicKey> parse_public_key(std::string_view text) {
  auto lines = lines_of(text);
  if (!lines.empty() && lines[0].starts_with(kCommentLine)) lines.erase(lines.begin());
  if (lines.empty()) return fail(not_a_key("public key"));
  const auto bytes = decoded(lines[0], kPublicBytes, "public key");
  if (!bytes) return fail(bytes.error());
  Bytes from(*bytes);
  if (from.word(2) != kPlain)
    return fail(not_a_key("public key of a kind that this program knows"));
  PublicKey key;
  from.take(key.id);
  from.take(key.point);
  return key;
}

Result<bool> is_encrypted(std::string_view text) {
  const auto file = read_secret(text);
  if (!file) return fail(file.error());
  return file->is_encrypted;
}

Result<SecretKey> parse_secret_key(std::string_view text,
                                   const std::optional<std::string>& password) {
  auto file = read_secret(text);
  if (!file) return fail(file.error());
  if (file->is_encrypted) {
    if (!password)
      return fail({.kind = ErrorKind::missing,
                   .what = "the secret key is encrypted and no password is given"});
    if (auto done = unseal(*file, *password); !done) return fail(done.error());
  }
  SecretKey key;
  key.id = file->sealed.id;
  key.seed_and_point = file->sealed.key;
  const bool sound = has_its_checksum(*file) && is_pair(file->sealed);
  sodium_memzero(&file->sealed, sizeof(file->sealed));
  if (sound) return key;
  if (file->is_encrypted)
    return fail({.kind = ErrorKind::invalid_value, .what = "the password is not that of the key"});
  return fail({.kind = ErrorKind::damaged, .what = "the secret key is damaged"});
}

}  // namespace ohmglow::signing
