#include "records/files/files.h"

#include "offered/files/file_stamp.h"
#include "offered/files/folder.h"
#include "offered/files/leftovers.h"
#include "offered/files/output_file.h"
#include "offered/vocabulary/near_names.h"
#include "ohmglow/imaging.h"
#include "records/files/shown.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cerrno>
#include <climits>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fcntl.h>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <fstream>
#include <linux/openat2.h>
#include <memory>
#include <mutex>
#include <nettle/sha2.h>
#include <set>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <system_error>
#include <unistd.h>
#include <utility>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

Error outside(std::string_view relative, std::string what) {
  return {.kind = ErrorKind::outside_survey,
          .what = std::move(what),
          .found = shown(relative),
          .expected = "a path inside the survey folder, relative to it",
          .mend = "move the file into the survey folder"};
}

/// Whether `path` is `folder` or lies below it; both canonical.
bool lies_in(std::string_view folder, std::string_view path) {
  if (!path.starts_with(folder)) return false;
  return path.size() == folder.size() || folder.ends_with('/') || path[folder.size()] == '/';
}

/// With every link followed. The C library's way costs a tenth of the standard one's, which is left
/// for what is not there yet.
fs::path followed(const fs::path& path, std::error_code& error) {
  std::array<char, PATH_MAX> found;
  if (::realpath(path.c_str(), found.data()) != nullptr) return found.data();
  return fs::weakly_canonical(path, error);
}

/// Whether something stands under that path and none of its steps is a link. One question to the
/// system in place of one for each step; where it does not know the question, the answer is no.
bool is_there_without_links(const fs::path& path) {
  open_how how{};
  how.flags = O_PATH | O_CLOEXEC;
  how.resolve = RESOLVE_NO_SYMLINKS;
  const long handle = ::syscall(SYS_openat2, AT_FDCWD, path.c_str(), &how, sizeof how);
  if (handle < 0) return false;
  ::close(static_cast<int>(handle));
  return true;
}

/// Whether a relative path has no step that means the folder itself, or the one above.
bool is_plain(std::string_view path) {
  return !path.starts_with('.') && path.find("/.") == std::string_view::npos &&
         path.find("//") == std::string_view::npos;
}

bool has_step_up(std::string_view path) {
  while (true) {
    const std::size_t end = std::min(path.find('/'), path.size());
    if (path.substr(0, end) == "..") return true;
    if (end == path.size()) return false;
    path.remove_prefix(end + 1);
  }
}

Error system_error(std::string what, int number) {
  return {.kind = ErrorKind::system, .what = std::move(what) + ": " + std::strerror(number)};
}

std::string temporary_name(::pid_t process, unsigned number) {
  return fmt::format(".ohmglow-{}-{}.tmp", process, number);
}

/// Whether a file is one of temporary_name() whose process is no more, on this machine or another.
bool is_left_over(const fs::path& path) {
  int process = 0;
  unsigned number = 0;
  const std::string name = path.filename().string();
  if (std::sscanf(name.c_str(), ".ohmglow-%d-%u.tmp", &process, &number) != 2 ||
      name != temporary_name(process, number) || ::kill(process, 0) == 0 || errno != ESRCH) {
    return false;
  }
  const int handle = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
  const bool is_free = handle >= 0 && ::flock(handle, LOCK_EX | LOCK_NB) == 0;
  if (handle >= 0) ::close(handle);
  return is_free;
}

}  // namespace

void remove_leftovers(const fs::path& folder) {
  static std::mutex mutex;
  static std::set<fs::path> seen;
  const std::lock_guard lock(mutex);
  if (!seen.insert(folder).second) return;
  std::error_code error;
  fs::directory_iterator entries(folder, error);
  for (; !error && entries != fs::directory_iterator{}; entries.increment(error)) {
    if (is_left_over(entries->path())) ::unlink(entries->path().c_str());
  }
}

void remove_leftovers_below(const fs::path& folder) {
  remove_leftovers(folder);
  std::error_code error;
  fs::recursive_directory_iterator entries(folder, error);
  for (; !error && entries != fs::recursive_directory_iterator{}; entries.increment(error)) {
    std::error_code unknown;
    if (entries->is_symlink(unknown) || !entries->is_directory(unknown)) continue;
    remove_leftovers(entries->path());
  }
}

namespace {

/// A file that is gone with this object unless it was renamed to its target. Each step returns 0 or
/// an errno.
class TemporaryFile {
 public:
  TemporaryFile() = default;
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;
  ~TemporaryFile() {
    if (handle_ >= 0) ::close(handle_);
    if (!path_.empty()) ::unlink(path_.c_str());
  }

  [[nodiscard]] int open(const fs::path& folder) {
    static std::atomic<unsigned> count{0};
    remove_leftovers(folder);
    do {
      path_ = folder / temporary_name(::getpid(), count++);
      handle_ = ::open(path_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    } while (handle_ < 0 && errno == EEXIST);
    if (handle_ >= 0) {
      ::flock(handle_, LOCK_EX | LOCK_NB);  // so that a machine that shares the folder sees it used
      return 0;
    }
    path_.clear();
    return errno;
  }
  [[nodiscard]] int write(std::string_view content) const {
    while (!content.empty()) {
      const ssize_t written = ::write(handle_, content.data(), content.size());
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) return errno;
      content.remove_prefix(static_cast<std::size_t>(written));
    }
    return 0;
  }
  /// All of it, durably; only its name is missing.
  [[nodiscard]] int seal(const fs::path& target) {
    struct stat old {};
    // A file that is replaced keeps its permissions.
    if (::lstat(target.c_str(), &old) == 0 && S_ISREG(old.st_mode) &&
        ::fchmod(handle_, old.st_mode & 07777) != 0) {
      return errno;
    }
    if (::fsync(handle_) != 0) return errno;
    return ::close(std::exchange(handle_, -1)) == 0 ? 0 : errno;
  }
  [[nodiscard]] int rename_to(const fs::path& target) {
    if (::rename(path_.c_str(), target.c_str()) != 0) return errno;
    path_.clear();
    return 0;
  }

 private:
  fs::path path_;  ///< empty where there is none to remove
  int handle_ = -1;
};

/// Makes the new name itself durable; a file system that cannot is no reason to fail.
void sync_folder(const fs::path& folder) {
  const int handle = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (handle < 0) return;
  ::fsync(handle);
  ::close(handle);
}

/// One folder of a walk; its subfolders join those that wait.
void visit_folder(const fs::path& root, const fs::path& folder, const Walk& what,
                  std::vector<fs::path>& waiting) {
  std::error_code error;
  fs::directory_iterator entries(root / folder, error);
  for (; !error && entries != fs::directory_iterator{}; entries.increment(error)) {
    const fs::path name = entries->path().filename();
    if (name.string().starts_with('.')) continue;
    std::error_code
        unknown;  // an entry that cannot be examined is visited, and fails when it is read
    if (!entries->is_directory(unknown)) {
      what.visit(folder / name);
    } else if (!entries->is_symlink(unknown) && what.enters(folder / name)) {
      waiting.push_back(folder / name);
    }
  }
  if (!error) return;
  what.complain(folder, {.kind = ErrorKind::system,
                         .what = "the folder cannot be listed (" + error.message() + ")"});
}

}  // namespace

void walk(const fs::path& root, const Walk& what) {
  std::vector<fs::path> waiting{fs::path{}};
  while (!waiting.empty()) {
    const fs::path folder = std::move(waiting.back());
    waiting.pop_back();
    visit_folder(root, folder, what, waiting);
  }
}

Result<TextFile> TextFile::read(const fs::path& path, std::uint64_t max_bytes) {
  std::error_code error;
  const fs::file_status status = fs::status(path, error);
  if (fs::exists(status) && !fs::is_regular_file(status)) {
    return fail({.kind = ErrorKind::not_this_format, .what = "this is not a regular file"});
  }
  auto bytes = imaging::read_bytes(path, max_bytes);
  if (!bytes) return fail(bytes.error());
  return TextFile(std::move(*bytes));
}

std::string_view TextFile::text() const {
  return {reinterpret_cast<const char*>(bytes_.data()), bytes_.size()};
}

FileRecord TextFile::record(std::string_view name) const {
  return {std::string(name), bytes_.size(), sha256(bytes_)};
}

Result<TextFile> take_in(const fs::path& path, std::string_view name, std::uint64_t max_bytes,
                         std::vector<FileRecord>& files) {
  auto content = TextFile::read(path, max_bytes);
  files.push_back(content ? content->record(name) : FileRecord{std::string(name), 0, {}});
  if (!content) return fail(content.error().in_file(name));
  return content;
}

std::optional<FileStamp> stamp_of(const fs::path& path) {
  std::error_code error;
  FileStamp stamp;
  stamp.written = fs::last_write_time(path, error);
  if (!error) stamp.size = fs::file_size(path, error);
  return error ? std::nullopt : std::optional(stamp);
}

bool is_present(const fs::path& path) {
  std::error_code error;
  return fs::exists(fs::symlink_status(path, error));
}

std::string forward_slashes(std::string_view path) {
  std::string normal(path);
  std::replace(normal.begin(), normal.end(), '\\', '/');
  return normal;
}

std::string normal_path(std::string_view path) {
  return fs::path(forward_slashes(path)).lexically_normal().generic_string();
}

Result<fs::path> resolve_inside(const fs::path& folder, std::string_view relative) {
  const std::string written = forward_slashes(relative);
  if (written.empty()) return fail({.kind = ErrorKind::missing, .what = "the path is empty"});
  if (relative.find('\0') != std::string_view::npos) {
    return fail({.kind = ErrorKind::invalid_value, .what = "the path holds a NUL byte"});
  }
  constexpr std::string_view kDrives = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz";
  const bool has_drive = relative.size() > 1 && relative[1] == ':' &&
                         kDrives.find(relative[0]) != std::string_view::npos;
  if (written.front() == '/') return fail(outside(relative, "an absolute path"));
  // Elsewhere this is a drive: a survey must not mean another file on another machine.
  if (has_drive) return fail(outside(relative, "a path that begins with the name of a drive"));
  if (has_step_up(written)) return fail(outside(relative, "a path with \"..\""));
  if (is_plain(written) && is_there_without_links(folder / written)) return folder / written;
  std::error_code error;
  const fs::path root = followed(folder, error);
  fs::path path = error ? fs::path{} : followed(root / written, error);
  if (error) {
    return fail({.kind = ErrorKind::system,
                 .what = "the path cannot be followed (" + error.message() + ")",
                 .found = shown(relative)});
  }
  if (!lies_in(root.native(), path.native()))
    return fail(outside(relative, "a link that leads out of the survey folder"));
  return path;
}

std::string offer_files(const fs::path& folder, std::string_view relative) {
  // A wrong column of a long table asks this of every row: a folder is looked through so far.
  constexpr std::size_t kMostLookedAt = 4096;
  const auto path = resolve_inside(folder, relative);
  if (!path) return {};
  std::vector<std::string> there;
  std::error_code error;
  fs::directory_iterator entry(path->parent_path(), error);
  for (; !error && entry != fs::directory_iterator() && there.size() < kMostLookedAt;
       entry.increment(error)) {
    if (entry->is_regular_file(error)) there.push_back(entry->path().filename().string());
  }
  std::sort(there.begin(), there.end());
  const fs::path written(normal_path(relative));
  std::vector<std::string> offers;
  for (const auto name : near_names(written.filename().string(), {there.begin(), there.end()})) {
    offers.push_back(shown((written.parent_path() / name).generic_string()));
  }
  return did_you_mean({offers.begin(), offers.end()});
}

namespace {

class Sha256 {
 public:
  Sha256() { sha256_init(&context_); }
  void add(const void* bytes, std::size_t count) {
    sha256_update(&context_, count, static_cast<const std::uint8_t*>(bytes));
  }
  [[nodiscard]] std::string text() {
    std::array<std::uint8_t, SHA256_DIGEST_SIZE> digest{};
    sha256_digest(&context_, digest.size(), digest.data());
    return fmt::format("{:02x}", fmt::join(digest, ""));
  }

 private:
  sha256_ctx context_{};
};

}  // namespace

class OutputFile::Inside {
 public:
  explicit Inside(fs::path path) : path_(std::move(path)) {}

  [[nodiscard]] Result<void> create() { return done("created", temporary_.open(folder())); }

  [[nodiscard]] Result<void> write(std::string_view text) {
    hash_.add(text.data(), text.size());
    bytes_ += text.size();
    if (kept_.size() + text.size() < kPiece) {
      kept_ += text;
      return {};
    }
    auto written = flush();
    return written ? done("written", temporary_.write(text)) : written;
  }

  [[nodiscard]] Result<FileRecord> seal() {
    if (const auto written = flush(); !written) return fail(written.error());
    kept_.shrink_to_fit();  // many files may wait for their place
    const auto sealed = done("written", temporary_.seal(path_));
    if (!sealed) return fail(sealed.error());
    return FileRecord{path_.filename().string(), bytes_, hash_.text()};
  }
  [[nodiscard]] Result<void> put_in_place() {
    auto renamed = done("put in place", temporary_.rename_to(path_));
    if (renamed) sync_folder(folder());
    return renamed;
  }

 private:
  static constexpr std::size_t kPiece = std::size_t{1} << 18;

  [[nodiscard]] fs::path folder() const {
    return path_.has_parent_path() ? path_.parent_path() : fs::path{"."};
  }
  [[nodiscard]] Result<void> flush() {
    auto written = done("written", temporary_.write(kept_));
    kept_.clear();
    return written;
  }
  [[nodiscard]] Result<void> done(std::string_view step, int error) const {
    if (error == 0) return {};
    return fail(
        system_error(fmt::format("the file cannot be {}", step), error).in_file(path_.string()));
  }

  fs::path path_;
  TemporaryFile temporary_;
  std::string kept_;
  Sha256 hash_;
  std::uint64_t bytes_ = 0;
};

OutputFile::OutputFile(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
OutputFile::OutputFile(OutputFile&&) noexcept = default;
OutputFile& OutputFile::operator=(OutputFile&&) noexcept = default;
OutputFile::~OutputFile() = default;

Result<OutputFile> OutputFile::create(const fs::path& path) {
  auto inside = std::make_unique<Inside>(path);
  if (const auto created = inside->create(); !created) return fail(created.error());
  return OutputFile(std::move(inside));
}
Result<void> OutputFile::write(std::string_view text) {
  return inside_->write(text);
}
Result<FileRecord> OutputFile::seal() {
  return inside_->seal();
}
Result<void> OutputFile::put_in_place() {
  return inside_->put_in_place();
}

Result<void> write_atomically(const fs::path& path, std::string_view content) {
  auto file = OutputFile::create(path);
  if (!file) return fail(file.error());
  if (const auto written = file->write(content); !written) return written;
  if (const auto sealed = file->seal(); !sealed) return fail(sealed.error());
  return file->put_in_place();
}

class Hasher::Inside {
 public:
  Sha256 hash;
  std::uint64_t bytes = 0;
};
Hasher::Hasher() : inside_(std::make_unique<Inside>()) {}
Hasher::~Hasher() = default;
void Hasher::add(std::string_view text) {
  inside_->hash.add(text.data(), text.size());
  inside_->bytes += text.size();
}
FileRecord Hasher::record(std::string_view name) {
  return {std::string(name), inside_->bytes, inside_->hash.text()};
}

std::string sha256(std::span<const std::byte> bytes) {
  Sha256 hash;
  hash.add(bytes.data(), bytes.size());
  return hash.text();
}

Result<Digest> digest_of(const fs::path& path) {
  constexpr std::size_t kPiece = std::size_t{1} << 16;
  std::ifstream file(path, std::ios::binary);
  const auto piece = std::make_unique_for_overwrite<char[]>(kPiece);
  Sha256 hash;
  Digest digest;
  while (file) {
    file.read(piece.get(), kPiece);
    const auto got = static_cast<std::size_t>(file.gcount());
    hash.add(piece.get(), got);
    digest.bytes += got;
  }
  if (!file.eof()) return fail({.kind = ErrorKind::system, .what = "the file cannot be read"});
  digest.sha256 = hash.text();
  return digest;
}

bool is_result_folder(const fs::path& folder) {
  return is_present(folder / kFindingsFile) || is_present(folder / kManifestFile);
}

}  // namespace ohmglow::records
