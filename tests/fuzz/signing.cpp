#include "offered/signing/signing.h"

#include "targets.h"

namespace ohmglow::fuzz {
namespace {

// Made by Debian's minisign 0.11 for the tests alone.
constexpr std::string_view kPublicKey =
    "RWRKN41elBRKZ4z7bMAURoRbA0VJHFNLnjMydij4DosqOd3I+LoQhDbm\n";

}  // namespace

void signature(std::string_view input) {
  (void)signing::parse_public_key(input);
  const auto key = signing::parse_public_key(kPublicKey);
  demand(key.has_value());
  const auto comment = signing::verify(*key, "abc", input);
  if (!comment) demand(!sentence(comment.error()).empty());
  // Nobody signed this.
  demand(!signing::verify(*key, "abd", input).has_value());
}

void secret_key(std::string_view input) {
  const auto encrypted = signing::is_encrypted(input);
  const auto key = signing::parse_secret_key(input, std::nullopt);
  if (!key) {
    demand(!sentence(key.error()).empty());
    return;
  }
  demand(encrypted.has_value() && !*encrypted);
  demand(signing::sign(*key, "abc", "a comment").has_value());
}

}  // namespace ohmglow::fuzz
