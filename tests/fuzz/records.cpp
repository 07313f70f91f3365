#include "offered/files/json_reader.h"
#include "offered/intake/mark_files.h"
#include "offered/intake/policy_text.h"
#include "offered/results/journal.h"
#include "ohmglow/survey_folder.h"
#include "targets.h"

#include <bit>
#include <cstring>
#include <nlohmann/json.hpp>
#include <stdexcept>

namespace ohmglow::fuzz {
namespace {

/// As a journal has it before an entry (src/records/results/journal.cpp).
struct EntryHead {
  std::uint32_t mark = 0x656a676f;
  std::uint32_t index_bytes = 0;
  std::uint64_t body_bytes = 0;
  std::array<char, 64> sha256{};
};

/// The same journal with the right hash before each entry, so that what stands behind it is read.
std::string with_right_hashes(std::string bytes) {
  std::size_t at = bytes.find('\n');
  if (at != std::string::npos) at = bytes.find('\n', at + 1);
  if (at == std::string::npos) return bytes;
  for (++at; at + sizeof(EntryHead) <= bytes.size();) {
    EntryHead head;
    std::memcpy(&head, bytes.data() + at, sizeof head);
    const std::size_t left = bytes.size() - at - sizeof head;
    if (head.index_bytes > left || head.body_bytes > left - head.index_bytes) break;
    const std::size_t length = head.index_bytes + head.body_bytes;
    const std::string hash =
        records::sha256(std::as_bytes(std::span(bytes).subspan(at + sizeof head, length)));
    std::copy(hash.begin(), hash.end(), bytes.begin() + static_cast<std::ptrdiff_t>(at + 16));
    at += sizeof head + length;
  }
  return bytes;
}

}  // namespace

void marks(std::string_view input) {
  const auto read = records::parse_marks(input, "route/a.tif", {});
  if (!read) {
    demand(!sentence(read.error()).empty());
    return;
  }
  for (const Problem& problem : read->problems) demand(!problem.message.empty());
}

void policy(std::string_view input) {
  const auto read = records::parse_policy(input, "policy.json");
  const auto due = records::due_rules(input, "policy.json");
  if (!read) {
    demand(!due && !sentence(read.error()).empty());
    return;
  }
  demand(!read->bands.empty());
}

void limits(std::string_view input) {
  const auto read = records::parse_limits({"limits.json", std::string(input)});
  if (!read) demand(!sentence(read.error()).empty());
}

void manifest(std::string_view input) {
  const auto folder = scratch() / "manifest";
  std::filesystem::create_directories(folder);
  write_file(folder / records::kManifestFile, input);
  const auto read = records::read_manifest(folder);
  (void)records::parse_journal_head(input);
  if (!read) {
    demand(!sentence(read.error()).empty());
    return;
  }
  // What was read is written and read again the same.
  const std::string text = records::manifest_json(*read);
  write_file(folder / records::kManifestFile, text);
  const auto again = records::read_manifest(folder);
  demand(again.has_value() && records::manifest_json(*again) == text);
}

void recheck(std::string_view input) {
  const auto pieces = cut_at(input, "\n=== recomputed\n");
  const std::string_view recorded = pieces.front();
  const std::string_view recomputed = pieces.size() > 1 ? pieces[1] : recorded;
  // The recomputed one is ours and therefore sound.
  if (!records::parse_json_as<nlohmann::json>(recomputed)) return;
  const auto check = records::compare_findings(recorded, recomputed, 1e-9);
  if (!check) {
    demand(!sentence(check.error()).empty());
    return;
  }
  demand(check->different == 0 || !check->differences.empty());
  if (recorded == recomputed) demand(check->different == 0);
}

void journal(std::string_view input) {
  const auto path = scratch() / "results.journal";
  write_file(path, with_right_hashes(std::string(input)));
  const auto journal = records::Journal::open(path, false);
  if (!journal) {
    demand(!sentence(journal.error()).empty());
    return;
  }
  (void)records::parse_journal_head(journal->head());
  static const severity::Policy policy = records::read_policy({}, {}).value();
  for (std::size_t entry = 0; entry < journal->size(); ++entry) {
    (void)journal->motor(entry);
    (void)journal->result(entry);
    const auto archive = journal->archive(entry);
    if (!archive) continue;
    diagnosis::Assessment motor;
    // It stands in the journal's head.
    motor.policy = policy;
    if (!records::restore(*archive, motor)) continue;
    (void)records::journal_entry(motor);
  }
}

}  // namespace ohmglow::fuzz
