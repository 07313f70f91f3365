#pragma once
/// Writes little-endian TIFF and BigTIFF files tag by tag, true ones and lying ones.

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace ohmglow::imaging {

struct TiffTag {
  std::uint16_t tag;
  std::uint16_t type;  ///< 2 text, 3 short, 4 long, 16 long8
  std::uint64_t count;
  std::uint64_t value;  ///< or the offset of the values
};

class TiffBuilder {
 public:
  explicit TiffBuilder(bool big = false) : big_(big) {
    text_ = big ? std::string("II+\0\x08\0\0\0", 8) : std::string("II*\0", 4);
    append(0, offset_bytes());
  }

  /// Returns where the bytes begin.
  std::uint64_t data(const std::string& bytes) {
    const std::uint64_t at = text_.size();
    text_ += bytes;
    return at;
  }

  /// Appends a directory and links it after the one before. Returns its offset.
  std::uint64_t directory(const std::vector<TiffTag>& tags) {
    const std::uint64_t at = text_.size();
    put(link_, at);
    append(tags.size(), big_ ? 8 : 2);
    for (const TiffTag& t : tags) {
      append(t.tag, 2);
      append(t.type, 2);
      append(t.count, offset_bytes());
      append(t.value, offset_bytes());
    }
    link_ = text_.size();
    append(0, offset_bytes());
    return at;
  }

  /// Makes the last directory point to `at` as its next one.
  void link_to(std::uint64_t at) { put(link_, at); }

  [[nodiscard]] const std::string& text() const { return text_; }

 private:
  [[nodiscard]] std::size_t offset_bytes() const { return big_ ? 8 : 4; }
  void append(std::uint64_t value, std::size_t bytes) {
    for (std::size_t i = 0; i < bytes; ++i) text_ += static_cast<char>(value >> 8 * i & 0xFF);
  }
  void put(std::size_t at, std::uint64_t value) {
    for (std::size_t i = 0; i < offset_bytes(); ++i) {
      text_[at + i] = static_cast<char>(value >> 8 * i & 0xFF);
    }
  }

  bool big_;
  std::string text_;
  std::size_t link_ = big_ ? 8 : 4;
};

/// The tags of a plain uint16 image in one uncompressed strip; single tags may be replaced.
inline std::vector<TiffTag> plain_tags(std::uint64_t width, std::uint64_t height,
                                       std::uint64_t offset, std::uint64_t bytes,
                                       const std::vector<TiffTag>& instead = {}) {
  std::vector<TiffTag> tags = {{256, 4, 1, width}, {257, 4, 1, height}, {258, 3, 1, 16},
                               {259, 3, 1, 1},     {262, 3, 1, 1},      {273, 4, 1, offset},
                               {277, 3, 1, 1},     {278, 4, 1, height}, {279, 4, 1, bytes},
                               {317, 3, 1, 1},     {339, 3, 1, 1}};
  for (const TiffTag& change : instead) {
    std::size_t at = 0;
    while (at < tags.size() && tags[at].tag < change.tag) ++at;
    if (at < tags.size() && tags[at].tag == change.tag) {
      tags[at] = change;
    } else {
      tags.insert(tags.begin() + static_cast<std::ptrdiff_t>(at), change);
    }
  }
  return tags;
}

}  // namespace ohmglow::imaging
