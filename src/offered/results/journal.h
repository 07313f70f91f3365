#pragma once
/// What an assessment has got so far, motor by motor, in one file: a killed run is taken up from
/// it, the shards of a survey are joined from it, and no more of a large survey than a page of it
/// need be in memory.

#include "offered/results/manifest.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/result.h"

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

inline constexpr std::string_view kJournalFile = "results.journal";

/// One of several equal parts of a survey's motors, counted from 1.
struct Shard {
  std::size_t number = 1;
  std::size_t count = 1;
  friend bool operator==(const Shard&, const Shard&) = default;
};

/// What decides about every result of a journal. `run` has neither inputs nor outputs.
struct JournalHead {
  Manifest run;
  Shard shard;
};
/// One line of JSON, and back. Errors: another text.
[[nodiscard]] std::string journal_head_text(const JournalHead& head);
[[nodiscard]] Result<JournalHead> parse_journal_head(std::string_view text);

/// The texts of a motor's results as findings.json holds them, and the results themselves.
struct JournalEntry {
  std::string motor;
  std::string rows;    ///< hash of its rows and marks
  std::string stamps;  ///< hash of what its image files looked like, without reading them
  std::vector<std::string> images;
  std::vector<std::string> components;
  std::string result;                 ///< the member of "motors"
  std::vector<std::string> findings;  ///< without their ranks
  std::vector<std::string> warm_even;
  std::vector<std::string> not_judged;
  std::string archive;
};
/// The entry of a motor that was judged alone, hashes apart.
[[nodiscard]] JournalEntry journal_entry(const diagnosis::Assessment& motor);
/// A motor's rows, marks, images, components, findings and problems as they were. Errors: not to be
/// read back.
[[nodiscard]] Result<void> restore(std::string_view archive, diagnosis::Assessment& motor);

/// Of a motor's rows and marks, and of the numbers of its images in the survey where trials draw by
/// them; and of its image files' sizes and times. Hashes for the journal alone.
[[nodiscard]] std::string hash_of_rows(const Survey& motor,
                                       const std::vector<std::size_t>& numbers);
[[nodiscard]] std::string hash_of_stamps(const Survey& motor);

/// append() is safe to call from several threads; the rest once they are done.
class Journal {
 public:
  /// An empty journal in place of whatever is there. An empty path: one that nobody else sees and
  /// that is gone with the object. Errors: the file cannot be written.
  [[nodiscard]] static Result<Journal> create(const std::filesystem::path& path, std::string head);
  /// A journal as a run left it. An entry that is damaged, as the last one of a killed run may be,
  /// ends it. `to_add`: what follows is cut off, and entries may be added. Errors: no such file,
  /// not a journal, and, to add, another run that is writing it; empty: cut off within its head.
  [[nodiscard]] static Result<Journal> open(const std::filesystem::path& path, bool to_add);
  Journal(Journal&&) noexcept;
  Journal& operator=(Journal&&) noexcept;
  ~Journal();

  [[nodiscard]] const std::string& head() const;
  [[nodiscard]] std::size_t size() const;
  [[nodiscard]] const std::string& motor(std::size_t entry) const;
  [[nodiscard]] const std::string& rows(std::size_t entry) const;
  [[nodiscard]] const std::string& stamps(std::size_t entry) const;

  /// The number of the new entry. Errors: the file cannot be written.
  [[nodiscard]] Result<std::size_t> append(const JournalEntry& entry);

  /// The parts of an entry. Errors: the file cannot be read.
  [[nodiscard]] Result<std::string> image(std::size_t entry, std::size_t image) const;
  [[nodiscard]] Result<std::string> component(std::size_t entry, std::size_t component) const;
  [[nodiscard]] Result<std::string> result(std::size_t entry) const;
  [[nodiscard]] Result<std::string> finding(std::size_t entry, std::size_t finding) const;
  [[nodiscard]] std::size_t warm_even_count(std::size_t entry) const;
  [[nodiscard]] Result<std::string> warm_even(std::size_t entry, std::size_t number) const;
  [[nodiscard]] std::size_t not_judged_count(std::size_t entry) const;
  [[nodiscard]] Result<std::string> not_judged(std::size_t entry, std::size_t number) const;
  [[nodiscard]] Result<std::string> archive(std::size_t entry) const;

 private:
  class Inside;
  explicit Journal(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

}  // namespace ohmglow::records
