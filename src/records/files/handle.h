#pragma once
/// A file's handle, for what must be written where it is and not renamed.

#include <cstdint>
#include <string_view>
#include <unistd.h>

namespace ohmglow::records {

/// Closes what it holds.
class Handle {
 public:
  explicit Handle(int number) : number_(number) {}
  Handle(const Handle&) = delete;
  Handle& operator=(const Handle&) = delete;
  ~Handle() {
    if (number_ >= 0) ::close(number_);
  }
  [[nodiscard]] int number() const { return number_; }

 private:
  int number_;
};

/// All of the bytes from there on; false, with errno set, where they cannot be written.
[[nodiscard]] bool write_at(int handle, std::string_view bytes, std::uint64_t at);

}  // namespace ohmglow::records
