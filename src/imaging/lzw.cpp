// Own: libtiff's decoder stops in silence where the room ends, and Debian has no other LZW for C or
// C++. A frame of 640 × 480 takes 0.96 ms, bare libtiff with its reading 2.1 (docs/performance.md).
#include "lzw.h"

#include <array>
#include <cstdint>
#include <cstring>
#include <endian.h>

namespace ohmglow::imaging {
namespace {

constexpr std::uint32_t kClear = 256;
constexpr std::uint32_t kEnd = 257;
constexpr std::uint32_t kFirstFree = 258;
constexpr std::uint32_t kCodes = 4096;
constexpr unsigned kLeastBits = 9;
constexpr unsigned kMostBits = 12;
constexpr std::size_t kMostRoom = 0xFFFF'FFFF - kCodes;  // so that 32 bits tell a place in it

/// The codes of a strip, most significant bit first.
class Codes {
 public:
  explicit Codes(std::span<const std::byte> strip) : strip_(strip) {}

  [[nodiscard]] bool has(unsigned bits) const { return strip_.size() * 8 - at_ >= bits; }

  std::uint32_t take(unsigned bits) {
    const auto rest = strip_.subspan(at_ / 8);
    std::uint64_t word = 0;
    if (rest.size() >= sizeof word) {
      std::memcpy(&word, rest.data(), sizeof word);
    } else {
      std::memcpy(&word, rest.data(), rest.size());
    }
    word = be64toh(word) << at_ % 8;
    at_ += bits;
    return static_cast<std::uint32_t>(word >> (64 - bits));
  }

 private:
  std::span<const std::byte> strip_;
  std::size_t at_ = 0;  ///< in bits
};

/// A string of the table that is short, as most are, is one number: its length, and above it its
/// bytes from the lowest on. No length means that there is none.
using Short = std::uint64_t;
constexpr std::uint32_t kMostShort = 7;
constexpr Short kLong = 0xFF;  ///< stands for the length of a string that is not

constexpr std::uint32_t length_of(Short string) {
  return static_cast<std::uint32_t>(string & 0xFF);
}

/// Where in the decoded bytes a string lies.
struct Place {
  std::uint32_t at = 0;
  std::uint32_t length = 0;
};

/// Each string of the table is the one decoded before its entry was made and the byte after it.
class Table {
 public:
  Table() {
    for (Short code = 0; code < kClear; ++code) shorts_[code] = code << 8 | 1;
  }
  void add(std::uint32_t code, Short string, Place place, Short next) {
    if (length_of(string) < kMostShort) {
      shorts_[code] = (string + 1) | (next & 0xFF00) << 8 * length_of(string);
    } else {
      shorts_[code] = string | kLong;
      places_[code] = {place.at, place.length + 1};
    }
  }
  [[nodiscard]] Short string(std::uint32_t code) const { return shorts_[code]; }
  /// Of a long one.
  [[nodiscard]] Place place(std::uint32_t code) const { return places_[code]; }

 private:
  // Written before they are read: codes from the first free one on are known only once added.
  std::array<Short, kCodes> shorts_;
  std::array<Place, kCodes> places_;
};

}  // namespace

std::optional<std::size_t> decode_lzw(std::span<const std::byte> strip, std::span<std::byte> room) {
  // A strip begins with a clear (TIFF 6.0, section 13). One that does not, among them those of the
  // old reversed order, is libtiff's to take or to refuse.
  const bool begins_with_clear = strip.size() >= 2 && strip[0] == std::byte{0x80} &&
                                 (strip[1] & std::byte{0x80}) == std::byte{0};
  if (!begins_with_clear || room.size() > kMostRoom) return std::nullopt;
  Codes codes(strip);
  Table table;
  Short last = 0;  // none after a clear
  Place last_place;
  std::uint32_t done = 0;
  std::uint32_t free = kFirstFree;
  unsigned bits = kLeastBits;
  while (codes.has(bits)) {
    const std::uint32_t code = codes.take(bits);
    if (code == kEnd) break;
    if (code == kClear) {
      free = kFirstFree;
      bits = kLeastBits;
      last = 0;
      continue;
    }
    if (code > free || (code == free && last == 0)) break;
    if (last != 0 && free < kCodes) {
      // The string of the entry that is just being made begins with the one that it continues.
      table.add(free, last, last_place, code == free ? last : table.string(code));
      ++free;
    }
    last = table.string(code);
    const bool is_short = length_of(last) <= kMostShort;
    last_place = {done, is_short ? length_of(last) : table.place(code).length};
    const std::size_t left = room.size() - done;
    if (last_place.length > left) return room.size() + 1;
    std::byte* const to = room.data() + done;
    const std::uint64_t bytes = htole64(last >> 8);
    if (is_short && left >= sizeof bytes) {
      std::memcpy(to, &bytes, sizeof bytes);  // the next strings are written over what is too much
    } else if (is_short) {
      std::memcpy(to, &bytes, last_place.length);
    } else {
      const std::byte* const from = room.data() + table.place(code).at;
      for (std::uint32_t i = 0; i < last_place.length; ++i) to[i] = from[i];
    }
    done += last_place.length;
    // The width grows one code early.
    if (free == (1U << bits) - 1 && bits < kMostBits) ++bits;
  }
  return done;
}

}  // namespace ohmglow::imaging
