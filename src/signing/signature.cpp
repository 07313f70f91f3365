#include "offered/signing/signing.h"
#include "signing/key_file.h"

#include <algorithm>
#include <fmt/format.h>
#include <sodium.h>

namespace ohmglow::signing {
namespace {

constexpr std::string_view kUntrusted = "untrusted comment: ";
constexpr std::string_view kTrusted = "trusted comment: ";
constexpr std::size_t kLongestComment = 8192;
constexpr std::size_t kSignatureBytes = 2 + 8 + 64;
using Signature = std::array<std::uint8_t, 64>;
using Hash = std::array<std::uint8_t, 64>;

const std::uint8_t* bytes_of(std::string_view text) {
  return reinterpret_cast<const std::uint8_t*>(text.data());
}

Hash hash_of(std::string_view content) {
  Hash hash{};
  crypto_generichash(hash.data(), hash.size(), bytes_of(content), content.size(), nullptr, 0);
  return hash;
}

/// The second signature is over the first and the comment that is to be trusted.
std::vector<std::uint8_t> with_comment(const Signature& signature, std::string_view comment) {
  std::vector<std::uint8_t> bytes(signature.begin(), signature.end());
  bytes.insert(bytes.end(), comment.begin(), comment.end());
  return bytes;
}

struct SignatureFile {
  bool is_hashed = true;
  KeyId id{};
  Signature content{};
  std::string comment;
  Signature whole{};
};

Error not_a_signature() {
  return {.kind = ErrorKind::not_this_format,
          .what = "this is no signature",
          .expected = "four lines as minisign -S writes them"};
}

Result<SignatureFile> read_signature(std::string_view text) {
  const auto lines = lines_of(text);
  if (lines.size() < 4 || !lines[0].starts_with(kUntrusted) || !lines[2].starts_with(kTrusted))
    return fail(not_a_signature());
  const auto content = decoded(lines[1], kSignatureBytes, "signature");
  if (!content) return fail(content.error());
  const auto whole = decoded(lines[3], Signature{}.size(), "signature");
  if (!whole) return fail(whole.error());
  SignatureFile file;
  Bytes from(*content);
  const std::string kind = from.word(2);
  if (kind != kHashed && kind != kPlain) return fail(not_a_signature());
  file.is_hashed = kind == kHashed;
  from.take(file.id);
  from.take(file.content);
  Bytes(*whole).take(file.whole);
  file.comment = lines[2].substr(kTrusted.size());
  return file;
}

bool is_one_line(std::string_view comment) {
  return std::none_of(comment.begin(), comment.end(), [](char c) {
    return (static_cast<unsigned char>(c) < 0x20 && c != '\t') || c == 0x7f;
  });
}

}  // namespace

Result<std::string> sign(const SecretKey& key, std::string_view content, std::string_view comment) {
  if (!is_one_line(comment) || comment.size() > kLongestComment)
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "this comment cannot be signed",
                 .expected = fmt::format("one line of at most {} bytes", kLongestComment)});
  const Hash hash = hash_of(content);
  Signature signature{};
  crypto_sign_detached(signature.data(), nullptr, hash.data(), hash.size(),
                       key.seed_and_point.data());
  const auto signed_whole = with_comment(signature, comment);
  Signature whole{};
  crypto_sign_detached(whole.data(), nullptr, signed_whole.data(), signed_whole.size(),
                       key.seed_and_point.data());
  std::vector<std::uint8_t> bytes(kHashed.begin(), kHashed.end());
  bytes.insert(bytes.end(), key.id.begin(), key.id.end());
  bytes.insert(bytes.end(), signature.begin(), signature.end());
  return fmt::format("{}signature by ohmglow, key {}\n{}\n{}{}\n{}\n", kUntrusted, name_of(key.id),
                     encoded(bytes), kTrusted, comment, encoded({whole.begin(), whole.end()}));
}

Result<std::string> verify(const PublicKey& key, std::string_view content,
                           std::string_view signature) {
  const auto file = read_signature(signature);
  if (!file) return fail(file.error());
  if (file->id != key.id)
    return fail({.kind = ErrorKind::conflict,
                 .what = "the signature was made by another key",
                 .found = name_of(file->id),
                 .expected = name_of(key.id)});
  const Hash hash = hash_of(content);
  const bool is_content_good =
      file->is_hashed ? crypto_sign_verify_detached(file->content.data(), hash.data(), hash.size(),
                                                    key.point.data()) == 0
                      : crypto_sign_verify_detached(file->content.data(), bytes_of(content),
                                                    content.size(), key.point.data()) == 0;
  if (!is_content_good)
    return fail({.kind = ErrorKind::invalid_value, .what = "the content is not what was signed"});
  const auto whole = with_comment(file->content, file->comment);
  if (crypto_sign_verify_detached(file->whole.data(), whole.data(), whole.size(),
                                  key.point.data()) != 0)
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "the signature's comment is not what was signed"});
  return file->comment;
}

}  // namespace ohmglow::signing
