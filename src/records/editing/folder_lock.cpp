#include "records/editing/folder_lock.h"

#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <mutex>
#include <string>
#include <sys/file.h>
#include <unistd.h>

namespace ohmglow::records {
namespace {

/// Saves are short and rare: one lock for all folders of a program will do.
std::mutex& program_lock() {
  static std::mutex mutex;
  return mutex;
}

}  // namespace

Result<FolderLock> FolderLock::take(const std::filesystem::path& folder) {
  const int handle = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (handle < 0) {
    return fail({.kind = ErrorKind::system,
                 .what = std::string("the survey folder cannot be opened: ") + std::strerror(errno),
                 .place = {.file = folder.string()}});
  }
  program_lock().lock();
  // Kept by the open folder: the system gives it back when the program is killed.
  while (::flock(handle, LOCK_EX) != 0 && errno == EINTR) {
  }
  return FolderLock(handle);
}

FolderLock::FolderLock(FolderLock&& other) noexcept : handle_(other.handle_) {
  other.handle_ = -1;
}

FolderLock::~FolderLock() {
  if (handle_ < 0) return;
  ::close(handle_);
  program_lock().unlock();
}

}  // namespace ohmglow::records
