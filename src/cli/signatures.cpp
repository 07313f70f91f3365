#include "cli/signatures.h"

#include "cli/commands.h"
#include "cli/part.h"
#include "cli/talk.h"
#include "ohmglow/imaging.h"

#include <algorithm>
#include <cstdio>
#include <fmt/format.h>
#include <iostream>
#include <termios.h>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

constexpr std::uint64_t kMostKeyBytes = 64 << 10;

Result<std::string> read_text(const fs::path& file) {
  const auto bytes = imaging::read_bytes(file, kMostKeyBytes);
  if (!bytes) return fail(bytes.error().in_file(file.string()));
  return std::string(reinterpret_cast<const char*>(bytes->data()), bytes->size());
}

/// While it lives, what is typed does not show.
class SilentTerminal {
 public:
  SilentTerminal() : is_silent_(::tcgetattr(STDIN_FILENO, &before_) == 0) {
    termios silent = before_;
    silent.c_lflag &= ~static_cast<tcflag_t>(ECHO);
    if (is_silent_) ::tcsetattr(STDIN_FILENO, TCSAFLUSH, &silent);
  }
  ~SilentTerminal() {
    if (is_silent_) ::tcsetattr(STDIN_FILENO, TCSAFLUSH, &before_);
  }
  SilentTerminal(const SilentTerminal&) = delete;
  SilentTerminal& operator=(const SilentTerminal&) = delete;

 private:
  termios before_{};
  bool is_silent_;
};

Result<std::string> ask_password() {
  if (!is_terminal(STDIN_FILENO))
    return fail({.kind = ErrorKind::missing,
                 .what = "the secret key is encrypted and there is no terminal to ask on",
                 .mend = "give its password with --password-file"});
  tell("Password of the key: ");
  std::string password;
  {
    const SilentTerminal silent;
    std::getline(std::cin, password);
  }
  tell("\n");
  return password;
}

Result<std::string> find_password(const std::string& password_file) {
  if (password_file.empty()) return ask_password();
  auto text = read_text(password_file);
  if (!text) return text;
  text->resize(std::min(text->size(), text->find_first_of("\r\n")));
  return text;
}

records::SignatureCheck not_good(std::string message) {
  return {.is_asked = true, .is_good = false, .message = std::move(message)};
}

}  // namespace

fs::path signature_path(const std::string& output) {
  return fs::path(output) / (std::string(records::kManifestFile) + ".minisig");
}

Result<const signing::Part*> open_signing() {
  return open_part<signing::Part>("signing");
}

Result<signing::SecretKey> read_secret_key(const signing::Part& part, const std::string& file,
                                           const std::string& password_file) {
  const auto text = read_text(file);
  if (!text) return fail(text.error());
  const auto encrypted = part.is_encrypted(*text);
  if (!encrypted) return fail(encrypted.error().in_file(file));
  std::optional<std::string> password;
  if (*encrypted) {
    auto found = find_password(password_file);
    if (!found) return fail(found.error().in_file(file));
    password = std::move(*found);
  }
  auto key = part.parse_secret_key(*text, password);
  if (!key) return fail(key.error().in_file(file));
  return key;
}

Result<records::SignatureCheck> check_signature(const std::string& output,
                                                std::string_view manifest,
                                                const std::string& public_key) {
  const auto part = open_signing();
  if (!part) return fail(part.error());
  std::error_code error;
  const bool is_file = fs::exists(public_key, error);
  const auto text = is_file ? read_text(public_key) : Result<std::string>(public_key);
  if (!text) return fail(text.error());
  const auto key = (*part)->parse_public_key(*text);
  if (!key) return fail(key.error().in_file(public_key));
  const fs::path file = signature_path(output);
  const auto signature = read_text(file);
  if (!signature) {
    return not_good(signature.error().kind == ErrorKind::missing
                        ? "The manifest is not signed: there is no " + file.string() + "."
                        : sentence_with_place(signature.error()) + ".");
  }
  const auto comment = (*part)->verify(*key, manifest, *signature);
  if (!comment) return not_good("Not good: " + sentence(comment.error()) + ".");
  return records::SignatureCheck{
      .is_asked = true,
      .is_good = true,
      .message = fmt::format("Good: the manifest was signed by key {}, \"{}\".",
                             (*part)->name_of(key->id), *comment)};
}

}  // namespace ohmglow::cli
