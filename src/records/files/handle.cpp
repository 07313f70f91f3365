#include "records/files/handle.h"

#include <cerrno>

namespace ohmglow::records {

bool write_at(int handle, std::string_view bytes, std::uint64_t at) {
  while (!bytes.empty()) {
    const ssize_t written = ::pwrite(handle, bytes.data(), bytes.size(), static_cast<off_t>(at));
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(written));
    at += static_cast<std::uint64_t>(written);
  }
  return true;
}

}  // namespace ohmglow::records
