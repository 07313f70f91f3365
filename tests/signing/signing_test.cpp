// Signatures against RFC 8032 itself and against minisign's own key of its manual. That the other
// program takes our signatures and we take its is tests/program/sign_test.cpp.
#include "offered/signing/signing.h"

#include <catch2/catch.hpp>

using namespace ohmglow;
using namespace ohmglow::signing;

namespace {

// A key pair made by Debian's minisign 0.11 without a password (minisign -G -W), for this test
// alone.
const std::string kSecret =
    "untrusted comment: minisign encrypted secret key\n"
    "RWQAAEIyAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAASjeNXpQUSmew"
    "sl4/EkKlmUQzF6XRcNv+wkqdZwAmEUd1cENwmPqKoYz7bMAURoRbA0VJHFNLnjMydij4DosqOd3I+LoQhDbm"
    "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\n";
const std::string kPublic =
    "untrusted comment: minisign public key 674A14945E8D374A\n"
    "RWRKN41elBRKZ4z7bMAURoRbA0VJHFNLnjMydij4DosqOd3I+LoQhDbm\n";
// minisign -S of the three bytes "abc" with that key, trusted comment "by hand".
const std::string kSignature =
    "untrusted comment: signature from minisign secret key\n"
    "RURKN41elBRKZwZ1VDeNFj3x4xv1uF+Izk0vy88dV4hqHkom6nWTrR2LBbX0z+YgyoKxrrl8s4+VavthxmEz"
    "K371EFTwivhZ3gg=\n"
    "trusted comment: by hand\n"
    "fhFkd/K0B60rOXwoFQFA1QFBkW1EgOVILW8Fw4TUhTZ1KNILWU/clZuLzfX0XvpkBZ4RZoLvMecWPXMJ15Cp"
    "AQ==\n";

ErrorKind kind_of(const Result<std::string>& result) {
  REQUIRE_FALSE(result);
  return result.error().kind;
}

SecretKey secret() {
  auto key = parse_secret_key(kSecret, std::nullopt);
  if (!key) FAIL(sentence(key.error()));
  return std::move(*key);
}
PublicKey public_key() {
  auto key = parse_public_key(kPublic);
  if (!key) FAIL(sentence(key.error()));
  return *key;
}

}  // namespace

TEST_CASE("a signature that minisign made is good, and its comment comes back") {
  const auto comment = verify(public_key(), "abc", kSignature);
  if (!comment) FAIL(sentence(comment.error()));
  CHECK(*comment == "by hand");
}

TEST_CASE("what we sign is what minisign signs, byte for byte but for the first line") {
  // Ed25519 is deterministic (RFC 8032, 5.1.6).
  const auto ours = sign(secret(), "abc", "by hand");
  REQUIRE(ours);
  CHECK(ours->substr(ours->find('\n')) == kSignature.substr(kSignature.find('\n')));
}

TEST_CASE("any changed character of content, signature or comment makes it no good") {
  for (const char* other : {"abd", "ab", "abc ", ""})
    CHECK(kind_of(verify(public_key(), other, kSignature)) == ErrorKind::invalid_value);
  const auto start = kSignature.find('\n');
  int tried = 0;
  for (std::size_t i = start; i < kSignature.size(); ++i) {
    std::string bad = kSignature;
    bad[i] = bad[i] == 'A' ? 'B' : 'A';
    CHECK_FALSE(verify(public_key(), "abc", bad));
    ++tried;
  }
  CHECK(tried > 200);
}

TEST_CASE("a signature cut short or empty is none") {
  for (std::size_t length = 0; length + 1 < kSignature.size(); ++length)
    CHECK_FALSE(verify(public_key(), "abc", kSignature.substr(0, length)));
}

TEST_CASE("a signature by another key is told apart from a changed content") {
  PublicKey other = public_key();
  other.id[0] ^= 1;
  CHECK(kind_of(verify(other, "abc", kSignature)) == ErrorKind::conflict);
  other = public_key();
  other.point[3] ^= 1;
  CHECK(kind_of(verify(other, "abc", kSignature)) == ErrorKind::invalid_value);
}

TEST_CASE("a public key is read from its file or its line, with either line end") {
  const std::string line = kPublic.substr(kPublic.find('\n') + 1);
  for (const std::string& text : {kPublic, line, line.substr(0, line.size() - 1)})
    CHECK(parse_public_key(text));
  std::string dos;
  for (const char c : kPublic) dos += c == '\n' ? std::string("\r\n") : std::string(1, c);
  CHECK(parse_public_key(dos));
  for (const char* text : {"", "\n", "untrusted comment: x", "untrusted comment: x\n", "RWQ",
                           "====", "not base64 at all"})
    CHECK_FALSE(parse_public_key(text));
  CHECK_FALSE(parse_public_key(kSecret));
}

TEST_CASE("a damaged secret key is refused, and one without a password asks for none") {
  CHECK_FALSE(*is_encrypted(kSecret));
  int tried = 0;
  for (std::size_t i = kSecret.find('\n') + 1; i + 1 < kSecret.size(); ++i) {
    std::string bad = kSecret;
    bad[i] = bad[i] == 'A' ? 'B' : 'A';
    if (const auto key = parse_secret_key(bad, std::string("x"))) {
      // Salt and limits of a password that is not there mean nothing.
      CHECK(key->seed_and_point == secret().seed_and_point);
    }
    ++tried;
  }
  CHECK(tried > 200);
}

TEST_CASE("a comment of several lines is not signed") {
  CHECK_FALSE(sign(secret(), "abc", "one\ntwo"));
  CHECK_FALSE(sign(secret(), "abc", std::string(9000, 'x')));
  CHECK(sign(secret(), "", ""));
}
