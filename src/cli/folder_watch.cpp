#include "cli/folder_watch.h"

#include "cli/ending.h"

#include <array>
#include <cerrno>
#include <cstdint>
#include <cstring>
#include <filesystem>
#include <map>
#include <poll.h>
#include <string_view>
#include <sys/inotify.h>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

/// How long nothing may change before the survey is looked at.
constexpr int kQuietMs = 500;

constexpr std::uint32_t kChanges =
    IN_CLOSE_WRITE | IN_MOVED_TO | IN_MOVED_FROM | IN_DELETE | IN_CREATE | IN_ONLYDIR;

Error cannot_watch(const std::string& folder) {
  return {.kind = ErrorKind::system,
          .what = std::string("the folder cannot be watched: ") + std::strerror(errno),
          .mend = "run without --watch, and repeat the run with --resume",
          .place = {.file = folder}};
}

}  // namespace

class FolderWatch::Inside {
 public:
  Inside(fs::path folder, const std::string& results) : folder_(std::move(folder)) {
    std::error_code error;
    results_ = fs::weakly_canonical(fs::absolute(results, error), error);
  }
  Inside(const Inside&) = delete;
  Inside& operator=(const Inside&) = delete;
  ~Inside() {
    if (changes_ >= 0) ::close(changes_);
  }

  bool begin() {
    changes_ = ::inotify_init1(IN_CLOEXEC | IN_NONBLOCK);
    return ending_.descriptor() >= 0 && changes_ >= 0 && add(folder_);
  }

  bool wait() {
    bool has_changed = false;
    while (true) {
      std::array<pollfd, 2> watched{{{ending_.descriptor(), POLLIN, 0}, {changes_, POLLIN, 0}}};
      const int ready = ::poll(watched.data(), watched.size(), has_changed ? kQuietMs : -1);
      if (ready < 0 && errno != EINTR) return false;
      if (ready == 0) return true;
      if ((watched[0].revents & POLLIN) != 0) return false;
      if ((watched[1].revents & POLLIN) != 0) has_changed = read_changes() || has_changed;
    }
  }

 private:
  /// A folder and those below it.
  bool add(const fs::path& folder) {
    std::error_code error;
    if (fs::weakly_canonical(folder, error) == results_) return true;
    const int number = ::inotify_add_watch(changes_, folder.c_str(), kChanges);
    if (number < 0) return false;
    folders_[number] = folder;
    for (fs::directory_iterator at(folder, error), end; !error && at != end; at.increment(error)) {
      std::error_code unknown;
      if (at->is_directory(unknown) && !at->is_symlink(unknown) &&
          !at->path().filename().string().starts_with('.')) {
        static_cast<void>(add(at->path()));
      }
    }
    return true;
  }

  /// Whether any of them concerns the survey.
  bool read_changes() {
    bool any = false;
    alignas(inotify_event) std::array<char, 1 << 16> buffer{};
    for (ssize_t got = 0; (got = ::read(changes_, buffer.data(), buffer.size())) > 0;) {
      for (const char* at = buffer.data(); at < buffer.data() + got;) {
        inotify_event event{};
        std::memcpy(&event, at, sizeof event);
        const std::string_view name(event.len > 0 ? at + sizeof event : "");
        any = concerns_the_survey(event, name) || any;
        at += sizeof event + event.len;
      }
    }
    return any;
  }

  bool concerns_the_survey(const inotify_event& event, std::string_view name) {
    if ((event.mask & IN_Q_OVERFLOW) != 0) return true;  // too many at once to be told apart
    const auto folder = folders_.find(event.wd);
    if (folder == folders_.end() || name.empty() || name.front() == '.') return false;
    const fs::path path = folder->second / name;
    if ((event.mask & IN_ISDIR) == 0) return (event.mask & IN_CREATE) == 0;
    std::error_code error;
    if (fs::weakly_canonical(path, error) == results_) return false;
    if ((event.mask & (IN_CREATE | IN_MOVED_TO)) != 0) static_cast<void>(add(path));
    return true;
  }

  fs::path folder_;
  fs::path results_;
  int changes_ = -1;
  Ending ending_;
  std::map<int, fs::path> folders_;
};

FolderWatch::FolderWatch(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
FolderWatch::FolderWatch(FolderWatch&&) noexcept = default;
FolderWatch& FolderWatch::operator=(FolderWatch&&) noexcept = default;
FolderWatch::~FolderWatch() = default;

Result<FolderWatch> FolderWatch::begin(const std::string& folder, const std::string& results) {
  auto inside = std::make_unique<Inside>(folder, results);
  if (!inside->begin()) return fail(cannot_watch(folder));
  return FolderWatch(std::move(inside));
}

bool FolderWatch::wait() {
  return inside_->wait();
}

}  // namespace ohmglow::cli
