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

Error empty() {
  return {.kind = ErrorKind::empty, .what = "the file is empty"};
}

Result<void> check(const Descriptor& file, std::uint64_t max_bytes, std::size_t& bytes) {
  struct stat status {};
  if (file.number() < 0) return fail(system_error("the file cannot be opened"));
  if (::fstat(file.number(), &status) != 0) return fail(system_error("the file cannot be read"));
  if (!S_ISREG(status.st_mode)) {
    return fail({.kind = ErrorKind::not_this_format, .what = "this is not a regular file"});
  }
  const auto size = static_cast<std::uint64_t>(status.st_size);
  if (size == 0) return fail(empty());
  if (size > max_bytes) {
    return fail({.kind = ErrorKind::too_large,
                 .what = "the file is larger than this program may read",
                 .found = std::to_string(size) + " bytes",
                 .expected = "at most " + std::to_string(max_bytes) + " bytes",
                 .mend = "check the file, or raise the limit"});
  }
  bytes = size;
  return {};
}

/// Fills `room` as far as the file goes, which may have become shorter. How far.
Result<std::size_t> fill(const Descriptor& file, std::span<std::byte> room) {
  std::size_t done = 0;
  while (done < room.size()) {
    const ssize_t got = ::read(file.number(), room.data() + done, room.size() - done);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return fail(system_error("the file cannot be read"));
    if (got == 0) break;
    done += static_cast<std::size_t>(got);
  }
  if (done == 0) return fail(empty());
  return done;
}

/// The file's bytes in what `room_for` gives for their number.
template <class RoomFor>
Result<std::size_t> read_into(const std::filesystem::path& path, std::uint64_t max_bytes,
                              const RoomFor& room_for) {
  const Descriptor file(path);
  std::size_t bytes = 0;
  if (const auto sound = check(file, max_bytes, bytes); !sound) return fail(sound.error());
  try {
    return fill(file, room_for(bytes));
  } catch (const std::bad_alloc&) {
    return fail({.kind = ErrorKind::too_large, .what = "the file does not fit into memory"});
  }
}

}  // namespace

Result<std::vector<std::byte>> read_bytes(const std::filesystem::path& path,
                                          std::uint64_t max_bytes) {
  std::vector<std::byte> bytes;
  const auto got = read_into(path, max_bytes, [&bytes](std::size_t count) {
    bytes.resize(count);
    return std::span(bytes);
  });
  if (!got) return fail(got.error());
  bytes.resize(*got);
  return bytes;
}

Result<std::span<const std::byte>> read_bytes(const std::filesystem::path& path,
                                              std::uint64_t max_bytes, ReadMemory& memory) {
  std::span<const std::byte> bytes;
  const auto got = read_into(path, max_bytes, [&](std::size_t count) {
    const auto room = memory.bytes(count);
    bytes = room;
    return room;
  });
  if (!got) return fail(got.error());
  return bytes.first(*got);
}

std::span<std::byte> ReadMemory::bytes(std::size_t count) {
  if (capacity_ < count) {
    bytes_.reset();
    capacity_ = 0;
    bytes_ = std::make_unique_for_overwrite<std::byte[]>(count);
    capacity_ = count;
  }
  return {bytes_.get(), count};
}

cv::Mat ReadMemory::pixels(cv::Size size, int type) {
  pixels_.create(size, type);
  return pixels_;
}

}  // namespace ohmglow::imaging
