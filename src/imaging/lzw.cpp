#include "lzw.h"

#include <array>
#include <cstdint>
#include <cstring>

namespace ohmglow::imaging {
namespace {

constexpr std::uint32_t kClear = 256;
constexpr std::uint32_t kEnd = 257;
constexpr std::uint32_t kFirstFree = 258;
constexpr std::uint32_t kCodes = 4096;
constexpr unsigned kLeastBits = 9;
constexpr unsigned kMostBits = 12;
constexpr std::size_t kMostRoom = 0xFFFF'FFFF - kCodes;  // so that 32 bits tell a place in it

/// Most strings are short: copied as one word, without a loop.
constexpr std::size_t kWord = 8;
constexpr auto kLiterals = [] {
  std::array<std::byte, kClear + kWord> bytes{};
  for (std::size_t i = 0; i < kClear; ++i) bytes[i] = static_cast<std::byte>(i);
  return bytes;
}();

/// Where in the decoded bytes a string of the table lies.
struct String {
  std::uint32_t at = 0;
  std::uint32_t length = 0;
};

/// The codes of a strip, most significant bit first.
class Codes {
 public:
  explicit Codes(std::span<const std::byte> strip) : rest_(strip) {}

  /// Whether `bits` more are there; many bytes at a time, since most calls then have nothing to do.
  bool has(unsigned bits) {
    if (held_ >= bits) return true;
    while (held_ <= 48 && !rest_.empty()) {
      buffer_ = buffer_ << 8 | std::to_integer<std::uint64_t>(rest_.front());
      rest_ = rest_.subspan(1);
      held_ += 8;
    }
    return held_ >= bits;
  }

  std::uint32_t take(unsigned bits) {
    held_ -= bits;
    return static_cast<std::uint32_t>(buffer_ >> held_) & ((1U << bits) - 1);
  }

 private:
  std::span<const std::byte> rest_;
  std::uint64_t buffer_ = 0;
  unsigned held_ = 0;
};

}  // namespace

std::optional<std::size_t> decode_lzw(std::span<const std::byte> strip, std::span<std::byte> room) {
  const bool reversed =
      strip.size() >= 2 && strip[0] == std::byte{0} && (strip[1] & std::byte{1}) != std::byte{0};
  if (reversed || room.size() > kMostRoom) return std::nullopt;
  Codes codes(strip);
  // Each string of the table is the one decoded before its entry was made and the byte after it, so
  // it lies in the room already.
  std::array<String, kCodes> strings;
  for (std::uint32_t code = 0; code < kClear; ++code) strings[code].length = 1;
  String last;  // without length after a clear
  std::uint32_t done = 0;
  std::uint32_t free = kFirstFree;
  unsigned bits = kLeastBits;
  while (codes.has(bits)) {
    const std::uint32_t code = codes.take(bits);
    if (code == kEnd) break;
    if (code == kClear) {
      free = kFirstFree;
      bits = kLeastBits;
      last = {};
      continue;
    }
    if (code > free || (code == free && last.length == 0)) break;
    const bool own_start = code == free;  // the string begins with the one that it continues
    if (last.length > 0 && free < kCodes) strings[free++] = {last.at, last.length + 1};
    last = {done, strings[code].length};
    if (room.size() - done < last.length) return room.size() + 1;
    const std::byte* from = code < kClear ? &kLiterals[code] : room.data() + strings[code].at;
    std::byte* to = room.data() + done;
    done += last.length;
    if (last.length <= kWord && room.size() - last.at >= kWord && !own_start) {
      std::uint64_t word;  // the bytes beyond the string are written over by the next ones
      std::memcpy(&word, from, kWord);
      std::memcpy(to, &word, kWord);
    } else {
      for (std::uint32_t i = 0; i < last.length; ++i) to[i] = from[i];
    }
    // The width grows one code early.
    if (free == (1U << bits) - 1 && bits < kMostBits) ++bits;
  }
  return done;
}

}  // namespace ohmglow::imaging
