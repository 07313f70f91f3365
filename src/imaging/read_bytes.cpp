#include "ohmglow/imaging.h"

#include <cerrno>
#include <fcntl.h>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>

namespace ohmglow::imaging {
namespace {

class Descriptor {
 public:
  // Non-blocking, so that a pipe in a survey folder cannot hold the batch.
  explicit Descriptor(const std::filesystem::path& path)
      : number_(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK)) {}
  ~Descriptor() {
    if (number_ >= 0) ::close(number_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  [[nodiscard]] int number() const { return number_; }

 private:
  int number_;
};

Error system_error(std::string what) {
  const int code = errno;
  if (code == ENOENT || code == ENOTDIR) {
    return {.kind = ErrorKind::missing, .what = "there is no such file"};
  }
  return {.kind = ErrorKind::system,
          .what = std::move(what) + " (" + std::generic_category().message(code) + ")"};
}

}  // namespace

Result<std::vector<std::byte>> read_bytes(const std::filesystem::path& path,
                                          std::uint64_t max_bytes) {
  const Descriptor file(path);
  struct stat status {};
  if (file.number() < 0) return fail(system_error("the file cannot be opened"));
  if (::fstat(file.number(), &status) != 0) return fail(system_error("the file cannot be read"));
  if (!S_ISREG(status.st_mode)) {
    return fail({.kind = ErrorKind::not_this_format, .what = "this is not a regular file"});
  }
  const auto size = static_cast<std::uint64_t>(status.st_size);
  if (size == 0) return fail({.kind = ErrorKind::empty, .what = "the file is empty"});
  if (size > max_bytes) {
    return fail({.kind = ErrorKind::too_large,
                 .what = "the file is larger than this program may read",
                 .found = std::to_string(size) + " bytes",
                 .expected = "at most " + std::to_string(max_bytes) + " bytes",
                 .mend = "check the file, or raise the limit"});
  }
  try {
    std::vector<std::byte> bytes(size);
    std::size_t done = 0;
    while (done < bytes.size()) {
      const ssize_t got = ::read(file.number(), bytes.data() + done, bytes.size() - done);
      if (got < 0 && errno == EINTR) continue;
      if (got < 0) return fail(system_error("the file cannot be read"));
      if (got == 0) break;  // it became shorter while it was read
      done += static_cast<std::size_t>(got);
    }
    bytes.resize(done);
    if (bytes.empty()) return fail({.kind = ErrorKind::empty, .what = "the file is empty"});
    return bytes;
  } catch (const std::bad_alloc&) {
    return fail({.kind = ErrorKind::too_large, .what = "the file does not fit into memory"});
  }
}

}  // namespace ohmglow::imaging
