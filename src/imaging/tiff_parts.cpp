// Own: libtiff stops in silence where the room ends and cannot read pixels where they lie. A whole
// assessment of deflate frames takes about as long as bare libtiff's decoding; why libdeflate and
// not ISA-L: docs/performance.md.
#include "tiff_parts.h"

#include "lzw.h"
#include "tiff_pages.h"
#include "tiff_predictor.h"

#include <algorithm>
#include <libdeflate.h>
#include <memory>
#include <new>
#include <opencv2/core.hpp>

namespace ohmglow::imaging {
namespace {

std::string part_name(const TiffLayout& layout, std::size_t index) {
  return (layout.tiled ? "tile " : "strip ") + std::to_string(index + 1);
}

std::size_t row_bytes_of(const TiffLayout& layout) {
  return std::size_t{layout.part_width} * layout.bits / 8;
}

std::uint64_t count_of_parts(const TiffLayout& l) {
  const auto along = [](std::uint64_t side, std::uint64_t part) {
    return (side + part - 1) / part;
  };
  return along(l.width, l.part_width) * along(l.height, l.part_height);
}

/// What the strips of an uncompressed image without byte counts hold.
std::uint64_t plain_bytes(const TiffLayout& layout, std::uint64_t index) {
  const std::uint64_t first = index * layout.part_height;
  const std::uint64_t rows =
      layout.tiled ? layout.part_height
                   : std::min<std::uint64_t>(layout.part_height, layout.height - first);
  return rows * row_bytes_of(layout);
}

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
  PartDecoder(TiffFile& file, const TiffLayout& layout, const std::vector<Bytes>& parts)
      : file_(file), layout_(layout), parts_(parts), row_bytes_(row_bytes_of(layout)) {}

  /// Decodes `rows` rows of part `index` to `into`.
  [[nodiscard]] Result<void> decode(std::uint32_t index, std::size_t rows, std::byte* into) {
    const Bytes part = parts_[index];
    const Room room{rows * row_bytes_, layout_.part_height * row_bytes_};
    std::byte* const target = room.most > room.wanted ? spare(room.most) : into;
    const auto got = decompress(part, {target, room.most});
    if (!got) return decode_with_libtiff(index, part, room, into);
    if (*got > room.most) return fail(too_long(index));
    if (*got < room.wanted) {
      return fail(
          damaged(part_name(layout_, index) + " does not decode to the pixels that it must hold"));
    }
    if (target != into) std::memcpy(into, target, room.wanted);
    undo_predictor(into, rows, layout_.part_width, layout_.bits / 8u, predictor(),
                   file_.is_swapped());
    return {};
  }

 private:
  /// Only the compressions that know a predictor have one.
  [[nodiscard]] Predictor predictor() const {
    return layout_.compression == COMPRESSION_NONE ? Predictor::none
                                                   : static_cast<Predictor>(layout_.predictor);
  }
  [[nodiscard]] Error too_long(std::uint32_t index) const {
    return damaged(part_name(layout_, index) + " holds more pixels than it may");
  }

  /// The bytes decoded (more than the room where there were more, few where the data are bad), or
  /// nothing where only libtiff knows how. Done here for the common compressions because libtiff
  /// stops in silence where the room ends.
  std::optional<std::size_t> decompress(Bytes part, std::span<std::byte> room) {
    switch (layout_.compression) {
      case COMPRESSION_NONE:
        std::memcpy(room.data(), part.data(), std::min(part.size(), room.size()));
        return part.size();
      case COMPRESSION_DEFLATE:
      case COMPRESSION_ADOBE_DEFLATE:
        return inflate(part, room);
      case COMPRESSION_LZW:
        return decode_lzw(part, room);
      default:
        return std::nullopt;
    }
  }

  std::size_t inflate(Bytes part, std::span<std::byte> room) {
    if (!decompressor_) decompressor_.reset(libdeflate_alloc_decompressor());
    if (!decompressor_) throw std::bad_alloc();
    std::size_t got = 0;
    const auto outcome = libdeflate_zlib_decompress(decompressor_.get(), part.data(), part.size(),
                                                    room.data(), room.size(), &got);
    if (outcome == LIBDEFLATE_INSUFFICIENT_SPACE) return room.size() + 1;
    return outcome == LIBDEFLATE_SUCCESS ? got : 0;
  }

  Result<void> decode_with_libtiff(std::uint32_t index, Bytes part, Room room, std::byte* into) {
    if (!decodes(index, part, into, room.wanted)) {
      return fail(file_.complaint(part_name(layout_, index) + " cannot be decompressed"));
    }
    // Asked for one row more than there may be, the codec must fail.
    const std::size_t over = room.most + row_bytes_;
    return decodes(index, part, spare(over), over) ? fail(too_long(index)) : Result<void>{};
  }

  bool decodes(std::uint32_t index, Bytes part, std::byte* into, std::size_t bytes) {
    return TIFFReadFromUserBuffer(file_.handle(), index, const_cast<std::byte*>(part.data()),
                                  static_cast<tmsize_t>(part.size()), into,
                                  static_cast<tmsize_t>(bytes)) != 0;
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
  const std::vector<Bytes>& parts_;
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

Result<std::vector<Bytes>> tiff_parts(Bytes file, std::uint64_t directory,
                                      const TiffLayout& layout) {
  const std::uint64_t wanted = count_of_parts(layout);
  const auto offsets = tiff_values(
      file, directory, layout.tiled ? TIFFTAG_TILEOFFSETS : TIFFTAG_STRIPOFFSETS, wanted);
  const auto counts = tiff_values(
      file, directory, layout.tiled ? TIFFTAG_TILEBYTECOUNTS : TIFFTAG_STRIPBYTECOUNTS, wanted);
  const bool counted = counts || layout.compression == COMPRESSION_NONE;
  if (!offsets || !counted || offsets->size() < wanted || (counts && counts->size() < wanted)) {
    return fail(damaged("the file does not say where all of its " + std::to_string(wanted) +
                        (layout.tiled ? " tiles lie" : " strips lie")));
  }
  std::vector<Bytes> parts;
  for (std::size_t i = 0; i < wanted; ++i) {
    const std::uint64_t offset = (*offsets)[i];
    const std::uint64_t count = counts ? (*counts)[i] : plain_bytes(layout, i);
    if (offset == 0 || count == 0 || offset > file.size() || count > file.size() - offset) {
      return fail(damaged(part_name(layout, i) + " does not lie inside the file", offset));
    }
    parts.push_back(file.subspan(offset, count));
  }
  return parts;
}

Result<void> decode_parts(TiffFile& file, const TiffLayout& layout, const std::vector<Bytes>& parts,
                          cv::Mat& pixels) {
  PartDecoder decoder(file, layout, parts);
  return layout.tiled ? decode_tiles(decoder, layout, pixels)
                      : decode_strips(decoder, layout, pixels);
}

bool lies_in_place(const TiffFile& file, const TiffLayout& layout,
                   const std::vector<Bytes>& parts) {
  const std::size_t pixel_bytes = layout.bits / 8u;
  if (layout.compression != COMPRESSION_NONE || layout.tiled || parts.empty() ||
      (file.is_swapped() && pixel_bytes > 1) ||
      reinterpret_cast<std::uintptr_t>(parts.front().data()) % pixel_bytes != 0) {
    return false;
  }
  const std::byte* next = parts.front().data();
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (parts[i].data() != next || parts[i].size() != plain_bytes(layout, i)) return false;
    next += parts[i].size();
  }
  return true;
}

}  // namespace ohmglow::imaging
