#include "cli/commands.h"
#include "cli/signatures.h"
#include "cli/talk.h"
#include "offered/files/folder.h"
#include "offered/results/manifest.h"
#include "offered/signing/signing.h"

#include <ctime>
#include <filesystem>
#include <fmt/format.h>

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

struct SignGiven {
  std::string output;
  std::string key;
  std::string password_file;
  std::string comment;
};

/// Nobody should put a name under a folder that is no longer what its manifest says.
Result<void> check_whole(const std::string& output, const records::Manifest& manifest) {
  for (const auto& check : records::check_outputs(output, manifest.outputs, {})) {
    if (check.state != records::FileState::same)
      return fail({.kind = ErrorKind::conflict,
                   .what = "this file is not as the manifest records it",
                   .found = std::string(records::name_of(check.state)),
                   .mend = "assess again, or see ohmglow recheck",
                   .place = {.file = (fs::path(output) / check.path).string()}});
  }
  return {};
}

/// What minisign itself writes where nothing else is asked for.
std::string usual_comment() {
  return fmt::format("timestamp:{}\tfile:{}\thashed", std::time(nullptr), records::kManifestFile);
}

Result<std::string> sign_output(const SignGiven& given) {
  std::string content;
  const auto manifest = records::read_manifest(given.output, &content);
  if (!manifest) return fail(manifest.error());
  if (const auto whole = check_whole(given.output, *manifest); !whole) return fail(whole.error());
  const auto part = open_signing();
  if (!part) return fail(part.error());
  const auto key = read_secret_key(**part, given.key, given.password_file);
  if (!key) return fail(key.error());
  const auto signature =
      (*part)->sign(*key, content, given.comment.empty() ? usual_comment() : given.comment);
  if (!signature) return fail(signature.error());
  const fs::path file = signature_path(given.output);
  if (const auto written = records::write_atomically(file, *signature); !written)
    return fail(written.error());
  tell("wrote {}\n", file.string());
  return (*part)->name_of(key->id);
}

int sign(const SignGiven& given) {
  const auto signer = sign_output(given);
  if (!signer) {
    complain("sign", signer.error());
    return kNothingDone;
  }
  print("signed by key {}\n", *signer);
  return kDone;
}

}  // namespace

void add_sign(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<SignGiven>();
  CLI::App* command = program.add_subcommand(
      "sign",
      "Sign a result's manifest, and with it every input and output that the manifest names");
  command->add_option("OUT", given->output, "Folder that assess -o wrote")->required();
  command->add_option("--key", given->key, "Secret key file, as minisign -G makes it")->required();
  command->add_option("--password-file", given->password_file,
                      "File whose first line is the key's password [asked for on the terminal]");
  command->add_option("--comment", given->comment,
                      "One line that is signed too [the time and the file's name]");
  command->footer(
      "The signature is OUT/manifest.json.minisig; recheck --public-key and minisign -V verify "
      "it.\nExample: ohmglow sign bexley-report --key inspector.key");
  command->callback([given, &exit_code] { exit_code = sign(*given); });
}

}  // namespace ohmglow::cli
