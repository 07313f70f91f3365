#pragma once
/// Keys and signatures as files, and passwords from people.

#include "offered/results/manifest.h"
#include "offered/signing/signing.h"
#include "ohmglow/result.h"

#include <filesystem>
#include <string>
#include <string_view>

namespace ohmglow::cli {

/// OUT/manifest.json.minisig, where minisign looks for it too.
[[nodiscard]] std::filesystem::path signature_path(const std::string& output);

/// The part that signs. Errors: it is not installed.
[[nodiscard]] Result<const signing::Part*> open_signing();

/// The password of an encrypted key is the first line of `password_file`, or asked for on the
/// terminal. Errors: those of signing::parse_secret_key; no terminal to ask on.
[[nodiscard]] Result<signing::SecretKey> read_secret_key(const signing::Part& part,
                                                         const std::string& file,
                                                         const std::string& password_file);

/// Holds the signature of a manifest against a public key: its file, or the key itself as minisign
/// prints it. Errors: no such key, no such part. A bad signature is no error but the result.
[[nodiscard]] Result<records::SignatureCheck> check_signature(const std::string& output,
                                                              std::string_view manifest,
                                                              const std::string& public_key);

}  // namespace ohmglow::cli
