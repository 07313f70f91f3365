#include "tiff_parts.h"

#include "tiff_predictor.h"

#include <libdeflate.h>
#include <opencv2/core.hpp>

namespace ohmglow::imaging {
namespace {

struct DecompressorFree {
  void operator()(libdeflate_decompressor* d) const { libdeflate_free_decompressor(d); }
};

/// How many bytes a part must yield, and how many it may: the last strip of an image is often
/// shorter, and some writers fill it up with rows that nobody sees.
struct Room {
  std::size_t wanted = 0;
  std::size_t most = 0;
};

class PartDecoder {
 public:
  PartDecoder(TiffFile& file, const TiffLayout& layout)
      : file_(file),
        layout_(layout),
        element_bytes_(layout.bits / 8u),
        row_bytes_(std::size_t{layout.part_width} * element_bytes_) {}

  [[nodiscard]] std::size_t row_bytes() const { return row_bytes_; }

  /// Decodes `rows` rows of part `index` to `into`.
  [[nodiscard]] Result<void> decode(std::uint32_t index, std::size_t rows, std::byte* into) {
    const auto part = file_.part(index);
    if (!part) return fail(file_.complaint(name(index) + " does not lie inside the file"));
    const Room room{rows * row_bytes_, layout_.part_height * row_bytes_};
    switch (layout_.compression) {
      case COMPRESSION_NONE:
        return copy(index, *part, room, into);
      case COMPRESSION_DEFLATE:
      case COMPRESSION_ADOBE_DEFLATE:
        return inflate(index, *part, room, rows, into);
      default:
        return decode_with_libtiff(index, *part, room, into);
    }
  }

 private:
  [[nodiscard]] std::string name(std::uint32_t index) const {
    return (layout_.tiled ? "tile " : "strip ") + std::to_string(index + 1);
  }
  [[nodiscard]] Error too_long(std::uint32_t index) const {
    return damaged(name(index) + " holds more pixels than it may");
  }
  [[nodiscard]] Error too_short(std::uint32_t index) const {
    return damaged(name(index) + " holds fewer pixels than it must");
  }

  Result<void> copy(std::uint32_t index, Bytes part, Room room, std::byte* into) const {
    if (part.size() < room.wanted) return fail(too_short(index));
    if (part.size() > room.most) return fail(too_long(index));
    std::memcpy(into, part.data(), room.wanted);
    undo_predictor(into, room.wanted / row_bytes_, layout_.part_width, element_bytes_,
                   Predictor::none, file_.is_swapped());
    return {};
  }

  /// Straight through the library that libtiff uses as well: libtiff stops at the end of the room
  /// and cannot tell whether more would have come.
  Result<void> inflate(std::uint32_t index, Bytes part, Room room, std::size_t rows,
                       std::byte* into) {
    if (!decompressor_) decompressor_.reset(libdeflate_alloc_decompressor());
    if (!decompressor_) throw std::bad_alloc();
    std::byte* target = into;
    if (room.most > room.wanted) target = spare(room.most);
    std::size_t got = 0;
    const auto outcome = libdeflate_zlib_decompress(decompressor_.get(), part.data(), part.size(),
                                                    target, room.most, &got);
    if (outcome == LIBDEFLATE_INSUFFICIENT_SPACE) return fail(too_long(index));
    if (outcome != LIBDEFLATE_SUCCESS) {
      return fail(damaged(name(index) + " cannot be decompressed"));
    }
    if (got < room.wanted) return fail(too_short(index));
    if (target != into) std::memcpy(into, target, room.wanted);
    undo_predictor(into, rows, layout_.part_width, element_bytes_,
                   static_cast<Predictor>(layout_.predictor), file_.is_swapped());
    return {};
  }

  Result<void> decode_with_libtiff(std::uint32_t index, Bytes part, Room room, std::byte* into) {
    const auto wanted = static_cast<tmsize_t>(room.wanted);
    const tmsize_t got = layout_.tiled ? TIFFReadEncodedTile(file_.handle(), index, into, wanted)
                                       : TIFFReadEncodedStrip(file_.handle(), index, into, wanted);
    if (got != wanted) return fail(file_.complaint(name(index) + " cannot be decompressed"));
    // Asked for one row more than there may be, the codec must fail.
    const std::size_t over = room.most + row_bytes_;
    const int more = TIFFReadFromUserBuffer(
        file_.handle(), index, const_cast<std::byte*>(part.data()),
        static_cast<tmsize_t>(part.size()), spare(over), static_cast<tmsize_t>(over));
    if (more != 0) return fail(too_long(index));
    return {};
  }

  std::byte* spare(std::size_t bytes) {
    if (spare_bytes_ < bytes) {
      spare_ = std::make_unique_for_overwrite<std::byte[]>(bytes);
      spare_bytes_ = bytes;
    }
    return spare_.get();
  }

  TiffFile& file_;
  const TiffLayout& layout_;
  std::size_t element_bytes_;
  std::size_t row_bytes_;
  std::unique_ptr<libdeflate_decompressor, DecompressorFree> decompressor_;
  std::unique_ptr<std::byte[]> spare_;
  std::size_t spare_bytes_ = 0;
};

Result<void> decode_strips(PartDecoder& decoder, const TiffLayout& layout, cv::Mat& pixels) {
  std::uint32_t index = 0;
  for (std::uint32_t y = 0; y < layout.height; y += layout.part_height, ++index) {
    const std::uint32_t rows = std::min(layout.part_height, layout.height - y);
    auto done = decoder.decode(index, rows, pixels.ptr<std::byte>(static_cast<int>(y)));
    if (!done) return done;
  }
  return {};
}

Result<void> decode_tiles(PartDecoder& decoder, const TiffLayout& layout, cv::Mat& pixels) {
  cv::Mat tile(static_cast<int>(layout.part_height), static_cast<int>(layout.part_width),
               pixels.type());
  const cv::Rect image(0, 0, pixels.cols, pixels.rows);
  std::uint32_t index = 0;
  for (std::uint64_t y = 0; y < layout.height; y += layout.part_height) {
    for (std::uint64_t x = 0; x < layout.width; x += layout.part_width, ++index) {
      auto done = decoder.decode(index, layout.part_height, tile.ptr<std::byte>());
      if (!done) return done;
      const cv::Rect there =
          cv::Rect(static_cast<int>(x), static_cast<int>(y), tile.cols, tile.rows) & image;
      tile(cv::Rect(0, 0, there.width, there.height)).copyTo(pixels(there));
    }
  }
  return {};
}

}  // namespace

Result<void> decode_parts(TiffFile& file, const TiffLayout& layout, cv::Mat& pixels) {
  PartDecoder decoder(file, layout);
  return layout.tiled ? decode_tiles(decoder, layout, pixels)
                      : decode_strips(decoder, layout, pixels);
}

}  // namespace ohmglow::imaging
