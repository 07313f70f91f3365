// Own: motors are appended and read back whole, for which a file with a hash an entry is enough; a
// database would add pages and a log. 6 % of a raw frame (docs/performance.md); none was compared.
#include "offered/results/journal.h"

#include "offered/files/folder.h"
#include "records/files/handle.h"
#include "records/files/json_document.h"
#include "records/files/range.h"
#include "records/files/shown.h"
#include "records/results/bounded_archive.h"
#include "records/results/findings_parts.h"
#include "records/results/manifest_run.h"
#include "records/results/motor_archive.h"

#include <algorithm>
#include <array>
#include <cereal/types/string.hpp>
#include <cereal/types/vector.hpp>
#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <mutex>
#include <numeric>
#include <span>
#include <sstream>
#include <sys/file.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>
#include <utility>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

constexpr std::string_view kFirstLine = "ohmglow journal 2\n";
/// No head is longer: options, and the text of a policy.
constexpr std::size_t kLongestHead = std::size_t{16} << 20;
/// No motor has more; a larger number is a damaged one.
constexpr std::uint64_t kLargestEntry = std::uint64_t{4} << 30;
constexpr std::uint32_t kEntryMark = 0x656a676f;

/// Stands before each entry. `sha256` is that of what follows.
struct Frame {
  std::uint32_t mark = kEntryMark;
  std::uint32_t index_bytes = 0;
  std::uint64_t body_bytes = 0;
  std::array<char, 64> sha256{};
};
static_assert(std::is_trivially_copyable_v<Frame> && sizeof(Frame) == 80);

/// An entry's parts follow one another in the body, in this order.
struct Index {
  std::string motor;
  std::string rows;
  std::string stamps;
  std::uint32_t images = 0;
  std::uint32_t components = 0;
  std::uint32_t findings = 0;
  std::uint32_t warm_even = 0;
  std::uint32_t not_judged = 0;
  std::vector<std::uint32_t> sizes;

  template <class Archive>
  void serialize(Archive& archive) {
    archive(motor, rows, stamps, images, components, findings, warm_even, not_judged, sizes);
  }

  /// Where a kind of part begins.
  [[nodiscard]] std::size_t result_at() const { return std::size_t{images} + components; }
  [[nodiscard]] std::size_t findings_at() const { return result_at() + 1; }
  [[nodiscard]] std::size_t warm_even_at() const { return findings_at() + findings; }
  [[nodiscard]] std::size_t not_judged_at() const { return warm_even_at() + warm_even; }
  [[nodiscard]] std::size_t archive_at() const { return not_judged_at() + not_judged; }
};

struct Kept {
  Index index;
  std::uint64_t body_at = 0;
};

Error system_error(const fs::path& path, std::string what) {
  return {.kind = ErrorKind::system,
          .what = std::move(what) + ": " + std::strerror(errno),
          .place = {.file = path.string()}};
}

Error not_a_journal(const fs::path& path) {
  return {.kind = ErrorKind::not_this_format,
          .what = "this is not a journal of ohmglow",
          .mend = "remove it, or run without --resume",
          .place = {.file = path.string()}};
}

Error in_use(const fs::path& path) {
  return {.kind = ErrorKind::conflict,
          .what = "another run is writing this journal",
          .mend = "wait for it, or choose another -o",
          .place = {.file = path.string()}};
}

Error not_begun(const fs::path& path) {
  return {.kind = ErrorKind::empty,
          .what = "the run was killed before its journal held anything",
          .mend = "run it again",
          .place = {.file = path.string()}};
}

OrderedJson journal_head_json(const JournalHead& head) {
  OrderedJson json = run_json(head.run);
  json["shard"] = {{"number", head.shard.number}, {"count", head.shard.count}};
  return json;
}

ReadJson shard_count_into(std::size_t& slot) {
  return [&slot](const Json& value) -> Result<void> {
    const auto number = number_from(value, whole_numbers(1, 1'000'000));
    if (!number) return fail(number.error());
    slot = static_cast<std::size_t>(*number);
    return {};
  };
}

std::string index_bytes(const Index& index) {
  std::ostringstream out;
  cereal::BinaryOutputArchive archive(out);
  archive(index);
  return std::move(out).str();
}

bool index_from(std::string_view bytes, Index& index) {
  try {
    BoundedArchive archive(bytes);
    archive(index);
  } catch (const std::exception&) {
    return false;
  }
  return index.sizes.size() == index.archive_at() + 1;
}

std::uint64_t bytes_of_parts(const Index& index) {
  return std::accumulate(index.sizes.begin(), index.sizes.end(), std::uint64_t{0});
}

std::string entry_bytes(const JournalEntry& entry, Index& index) {
  index = {entry.motor,
           entry.rows,
           entry.stamps,
           static_cast<std::uint32_t>(entry.images.size()),
           static_cast<std::uint32_t>(entry.components.size()),
           static_cast<std::uint32_t>(entry.findings.size()),
           static_cast<std::uint32_t>(entry.warm_even.size()),
           static_cast<std::uint32_t>(entry.not_judged.size()),
           {}};
  std::string body;
  const auto add = [&](const std::string& part) {
    index.sizes.push_back(static_cast<std::uint32_t>(part.size()));
    body += part;
  };
  for (const std::string& image : entry.images) add(image);
  for (const std::string& component : entry.components) add(component);
  add(entry.result);
  for (const std::string& finding : entry.findings) add(finding);
  for (const std::string& aside : entry.warm_even) add(aside);
  for (const std::string& aside : entry.not_judged) add(aside);
  add(entry.archive);
  std::string content = index_bytes(index);
  Frame frame;
  frame.index_bytes = static_cast<std::uint32_t>(content.size());
  frame.body_bytes = body.size();
  content += body;
  const std::string hash = sha256(std::as_bytes(std::span(content)));
  std::copy(hash.begin(), hash.end(), frame.sha256.begin());
  std::string bytes(sizeof frame, '\0');
  std::memcpy(bytes.data(), &frame, sizeof frame);
  return bytes += content;
}

/// What there is of `bytes` from there on.
std::string read_at(int handle, std::uint64_t at, std::uint64_t bytes) {
  std::string content(bytes, '\0');
  std::size_t got = 0;
  while (got < content.size()) {
    const ssize_t read =
        ::pread(handle, content.data() + got, content.size() - got, static_cast<off_t>(at + got));
    if (read < 0 && errno == EINTR) continue;
    if (read <= 0) break;
    got += static_cast<std::size_t>(read);
  }
  content.resize(got);
  return content;
}

int in_memory() {
  return ::memfd_create("ohmglow-journal", MFD_CLOEXEC);
}

/// Of a folder where results are kept, which somebody else may have filled: a link is not followed.
int open_named(const fs::path& path, int flags) {
  return ::open(path.c_str(), flags | O_CLOEXEC | O_NOFOLLOW, 0666);
}

Error not_opened(const fs::path& path, std::string what) {
  Error error = system_error(path, std::move(what));
  if (errno == ENOENT) error.kind = ErrorKind::missing;
  if (errno == ELOOP) {
    error.what = "the journal is a link to another file, which is not written to";
    error.mend = "remove the link, or choose another -o";
  }
  return error;
}

}  // namespace

class Journal::Inside {
 public:
  /// `is_hidden`: a file without a name, which may as well lie in memory.
  Inside(fs::path path, int handle, bool is_hidden = false)
      : path_(std::move(path)), handle_(handle), is_hidden_(is_hidden) {}

  Result<void> begin(std::string head) {
    head_ = std::move(head);
    const std::string bytes = std::string(kFirstLine) + head_ + '\n';
    if (!write(bytes, 0)) {
      return fail(system_error(path_, "the journal cannot be written"));
    }
    end_ = bytes.size();
    return {};
  }

  Result<void> read() {
    const std::string start = read_at(handle_.number(), 0, kFirstLine.size() + kLongestHead);
    const auto line_end = start.find('\n', kFirstLine.size());
    const bool is_cut = line_end == std::string::npos && start.size() < kLongestHead;
    if (is_cut && (start.starts_with(kFirstLine) || kFirstLine.starts_with(start))) {
      return fail(not_begun(path_));
    }
    if (!start.starts_with(kFirstLine) || line_end == std::string::npos) {
      return fail(not_a_journal(path_));
    }
    head_ = start.substr(kFirstLine.size(), line_end - kFirstLine.size());
    end_ = line_end + 1;
    while (read_entry()) {
    }
    return {};
  }

  Result<void> cut() {
    if (::ftruncate(handle_.number(), static_cast<off_t>(end_)) == 0) return {};
    return fail(system_error(path_, "the journal cannot be written"));
  }

  Result<std::size_t> append(const JournalEntry& entry) {
    Kept kept;
    const std::string bytes = entry_bytes(entry, kept.index);
    const std::lock_guard lock(mutex_);
    if (!write(bytes, end_)) {
      return fail(system_error(path_, "the journal cannot be written"));
    }
    end_ += bytes.size();
    kept.body_at = end_ - bytes_of_parts(kept.index);
    entries_.push_back(std::move(kept));
    return entries_.size() - 1;
  }

  /// Entries are only ever added, so what is known of one stays; the list itself may move.
  [[nodiscard]] const Index& index(std::size_t entry) const { return entries_.at(entry).index; }

  Result<std::string> part(std::size_t entry, std::size_t number) const {
    const Kept& kept = entries_.at(entry);
    const auto& sizes = kept.index.sizes;
    const auto before =
        std::accumulate(sizes.begin(), sizes.begin() + static_cast<long>(number), std::uint64_t{0});
    std::string text = read_at(handle_.number(), kept.body_at + before, sizes.at(number));
    if (text.size() == sizes[number]) return text;
    return fail({.kind = ErrorKind::system,
                 .what = "the journal cannot be read",
                 .place = {.file = path_.string()}});
  }

  [[nodiscard]] const std::string& head() const { return head_; }
  [[nodiscard]] std::size_t size() const {
    const std::lock_guard lock(mutex_);
    return entries_.size();
  }

 private:
  bool write(std::string_view bytes, std::uint64_t at) {
    if (write_at(handle_.number(), bytes, at)) return true;
    const bool is_full = errno == ENOSPC || errno == EDQUOT;
    return is_hidden_ && is_full && move_to_memory() && write_at(handle_.number(), bytes, at);
  }

  /// What is kept stays under the same descriptor, so that whoever reads goes on.
  bool move_to_memory() {
    constexpr std::uint64_t kPiece = std::uint64_t{1} << 20;
    const Handle memory(in_memory());
    for (std::uint64_t at = 0; at < end_; at += kPiece) {
      const auto piece = read_at(handle_.number(), at, std::min(kPiece, end_ - at));
      if (!write_at(memory.number(), piece, at)) return false;
    }
    return ::dup3(memory.number(), handle_.number(), O_CLOEXEC) >= 0;
  }

  bool read_entry() {
    const std::string head = read_at(handle_.number(), end_, sizeof(Frame));
    if (head.size() != sizeof(Frame)) return false;
    Frame frame;
    std::memcpy(&frame, head.data(), sizeof frame);
    struct stat file {};
    if (frame.mark != kEntryMark || frame.body_bytes > kLargestEntry ||
        ::fstat(handle_.number(), &file) != 0) {
      return false;
    }
    const std::uint64_t bytes = frame.index_bytes + frame.body_bytes;
    const std::uint64_t at = end_ + sizeof frame;
    if (at + bytes > static_cast<std::uint64_t>(file.st_size)) return false;
    const std::string content = read_at(handle_.number(), at, bytes);
    const std::string hash = sha256(std::as_bytes(std::span(content)));
    if (content.size() != bytes ||
        std::string_view(frame.sha256.data(), frame.sha256.size()) != hash) {
      return false;
    }
    Kept kept{{}, at + frame.index_bytes};
    if (!index_from(std::string_view(content).substr(0, frame.index_bytes), kept.index) ||
        bytes_of_parts(kept.index) != frame.body_bytes) {
      return false;
    }
    entries_.push_back(std::move(kept));
    end_ = at + bytes;
    return true;
  }

  fs::path path_;
  Handle handle_;
  bool is_hidden_ = false;
  std::string head_;
  mutable std::mutex mutex_;
  std::uint64_t end_ = 0;
  std::vector<Kept> entries_;
};

std::string journal_head_text(const JournalHead& head) {
  return dumped(journal_head_json(head));
}

Result<JournalHead> parse_journal_head(std::string_view text) {
  const auto json = parse_json(text);
  if (!json) return fail(json.error());
  JournalHead head;
  std::vector<Member> members = run_members(head.run);
  members.push_back({"shard", Need::required, [&head](const Json& value) {
                       return read_object(
                           value, {{"number", Need::required, shard_count_into(head.shard.number)},
                                   {"count", Need::required, shard_count_into(head.shard.count)}});
                     }});
  if (const auto read = read_object(*json, members); !read) return fail(read.error());
  if (const auto checked = check_run(head.run); !checked) return fail(checked.error());
  return head;
}

JournalEntry journal_entry(const diagnosis::Assessment& motor) {
  JournalEntry entry;
  entry.motor = motor.motors.front().motor;
  for (std::size_t i = 0; i < motor.images.size(); ++i) {
    entry.images.push_back(item_text(by(put_image, motor, i)));
  }
  for (const auto& component : motor.components) {
    entry.components.push_back(item_text(by(put_component, motor, component)));
  }
  entry.result = item_text(by(put_motor, motor, motor.motors.front()));
  for (const diagnosis::Finding& finding : motor.findings) {
    entry.findings.push_back(item_text(by(put_unranked_finding, motor, finding)));
  }
  for (const diagnosis::Aside& aside : motor.warm_even) {
    entry.warm_even.push_back(item_text(by(put_aside, motor, aside)));
  }
  for (const diagnosis::Aside& aside : motor.not_judged) {
    entry.not_judged.push_back(item_text(by(put_aside, motor, aside)));
  }
  entry.archive = archived(motor);
  return entry;
}

Journal::Journal(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
Journal::Journal(Journal&&) noexcept = default;
Journal& Journal::operator=(Journal&&) noexcept = default;
Journal::~Journal() = default;

Result<Journal> Journal::create(const fs::path& path, std::string head) {
  const bool is_hidden = path.empty();
  std::error_code error;
  const fs::path folder = is_hidden ? fs::temp_directory_path(error) : path.parent_path();
  const fs::path shown_as = is_hidden ? folder : path;
  int handle = is_hidden ? ::open(folder.c_str(), O_RDWR | O_TMPFILE | O_CLOEXEC, 0600)
                         : open_named(path, O_RDWR | O_CREAT);
  if (is_hidden && handle < 0) handle = in_memory();
  auto inside = std::make_unique<Inside>(shown_as, handle, is_hidden);
  if (handle < 0) return fail(not_opened(shown_as, "the journal cannot be written"));
  if (::flock(handle, LOCK_EX | LOCK_NB) != 0) return fail(in_use(path));
  if (::ftruncate(handle, 0) != 0) {
    return fail(system_error(shown_as, "the journal cannot be written"));
  }
  if (const auto begun = inside->begin(std::move(head)); !begun) return fail(begun.error());
  return Journal(std::move(inside));
}

Result<Journal> Journal::open(const fs::path& path, bool to_add) {
  const int handle = open_named(path, to_add ? O_RDWR : O_RDONLY);
  auto inside = std::make_unique<Inside>(path, handle);
  if (handle < 0) return fail(not_opened(path, "the journal cannot be opened"));
  if (to_add && ::flock(handle, LOCK_EX | LOCK_NB) != 0) return fail(in_use(path));
  if (const auto read = inside->read(); !read) return fail(read.error());
  if (to_add) {
    if (const auto cut = inside->cut(); !cut) return fail(cut.error());
  }
  return Journal(std::move(inside));
}

const std::string& Journal::head() const {
  return inside_->head();
}
std::size_t Journal::size() const {
  return inside_->size();
}
const std::string& Journal::motor(std::size_t entry) const {
  return inside_->index(entry).motor;
}
const std::string& Journal::rows(std::size_t entry) const {
  return inside_->index(entry).rows;
}
const std::string& Journal::stamps(std::size_t entry) const {
  return inside_->index(entry).stamps;
}
Result<std::size_t> Journal::append(const JournalEntry& entry) {
  return inside_->append(entry);
}
Result<std::string> Journal::image(std::size_t entry, std::size_t image) const {
  return inside_->part(entry, image);
}
Result<std::string> Journal::component(std::size_t entry, std::size_t component) const {
  return inside_->part(entry, inside_->index(entry).images + component);
}
Result<std::string> Journal::result(std::size_t entry) const {
  return inside_->part(entry, inside_->index(entry).result_at());
}
Result<std::string> Journal::finding(std::size_t entry, std::size_t finding) const {
  return inside_->part(entry, inside_->index(entry).findings_at() + finding);
}
std::size_t Journal::warm_even_count(std::size_t entry) const {
  return inside_->index(entry).warm_even;
}
Result<std::string> Journal::warm_even(std::size_t entry, std::size_t number) const {
  return inside_->part(entry, inside_->index(entry).warm_even_at() + number);
}
std::size_t Journal::not_judged_count(std::size_t entry) const {
  return inside_->index(entry).not_judged;
}
Result<std::string> Journal::not_judged(std::size_t entry, std::size_t number) const {
  return inside_->part(entry, inside_->index(entry).not_judged_at() + number);
}
Result<std::string> Journal::archive(std::size_t entry) const {
  return inside_->part(entry, inside_->index(entry).archive_at());
}

}  // namespace ohmglow::records
