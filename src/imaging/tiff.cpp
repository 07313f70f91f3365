// TIFF 6.0 and BigTIFF pages that hold one number a pixel.

#include "tiff_file.h"
#include "tiff_pages.h"
#include "tiff_parts.h"

#include <algorithm>
#include <array>

namespace ohmglow::imaging {
namespace {

struct SampleKind {
  std::uint16_t bits;
  std::uint16_t format;
  int depth;
};
constexpr std::array<SampleKind, 6> kSampleKinds{{{8, SAMPLEFORMAT_UINT, CV_8U},
                                                  {16, SAMPLEFORMAT_UINT, CV_16U},
                                                  {16, SAMPLEFORMAT_INT, CV_16S},
                                                  {32, SAMPLEFORMAT_INT, CV_32S},
                                                  {32, SAMPLEFORMAT_IEEEFP, CV_32F},
                                                  {64, SAMPLEFORMAT_IEEEFP, CV_64F}}};

/// The compressions that are read, and how many bytes one stored byte can yield at most: PackBits
/// repeats by 128 for two bytes, LZW's longest string is 3837 bytes for 12 bits, DEFLATE is bounded
/// by 1032, a Zstandard block of 128 KiB takes four bytes.
struct Compression {
  std::uint16_t tag;
  std::uint64_t most_ratio;
};
constexpr std::array<Compression, 6> kCompressions{{{COMPRESSION_NONE, 1},
                                                    {COMPRESSION_PACKBITS, 64},
                                                    {COMPRESSION_LZW, 2560},
                                                    {COMPRESSION_DEFLATE, 1040},
                                                    {COMPRESSION_ADOBE_DEFLATE, 1040},
                                                    {COMPRESSION_ZSTD, 32768}}};

bool is_picture(const TiffLayout& l) {
  return l.photometric == PHOTOMETRIC_RGB || l.photometric == PHOTOMETRIC_PALETTE ||
         l.photometric == PHOTOMETRIC_SEPARATED || l.photometric == PHOTOMETRIC_YCBCR ||
         l.photometric == PHOTOMETRIC_CIELAB || l.compression == COMPRESSION_JPEG ||
         l.compression == COMPRESSION_OJPEG || (l.bits == 8 && l.samples >= 3) || l.bits < 8;
}

std::string picture_text(const TiffLayout& l) {
  return std::to_string(l.samples) + " x " + std::to_string(l.bits) + " bits, colour model " +
         std::to_string(l.photometric);
}

Result<int> depth_of(const TiffLayout& l) {
  if (is_picture(l)) return fail(picture_error(picture_text(l)));
  if (l.samples != 1) {
    return fail(unsupported("each pixel holds several numbers", std::to_string(l.samples),
                            "one number a pixel"));
  }
  const auto kind =
      std::find_if(kSampleKinds.begin(), kSampleKinds.end(), [&l](const SampleKind& k) {
        const bool untyped = l.sample_format == SAMPLEFORMAT_VOID && k.format == SAMPLEFORMAT_UINT;
        return k.bits == l.bits && (k.format == l.sample_format || untyped);
      });
  if (kind == kSampleKinds.end()) {
    return fail(unsupported(
        "numbers of this type are not read",
        std::to_string(l.bits) + " bits, sample format " + std::to_string(l.sample_format),
        "uint8, uint16, int16, int32, float32 or float64"));
  }
  return kind->depth;
}

Result<void> check_storage(const TiffLayout& l) {
  if (l.fill_order != FILLORDER_MSB2LSB) {
    return fail(
        unsupported("the bits of each byte are stored in reverse", "FillOrder 2", "FillOrder 1"));
  }
  const bool is_float = l.sample_format == SAMPLEFORMAT_IEEEFP;
  if (l.predictor < PREDICTOR_NONE || l.predictor > PREDICTOR_FLOATINGPOINT ||
      (l.predictor == PREDICTOR_FLOATINGPOINT && !is_float)) {
    return fail(unsupported("this predictor is not read", std::to_string(l.predictor),
                            is_float ? "1, 2 or 3" : "1 or 2"));
  }
  return {};
}

Result<const Compression*> compression_of(const TiffLayout& l) {
  const auto found = std::find_if(kCompressions.begin(), kCompressions.end(),
                                  [&l](const Compression& c) { return c.tag == l.compression; });
  if (found == kCompressions.end()) {
    return fail(unsupported("this compression is not read",
                            "TIFF compression " + std::to_string(l.compression),
                            "none, LZW, Deflate, PackBits or Zstandard"));
  }
  return found;
}

/// Checks the declared sizes of the image and its tiles, and that the file can hold them.
Result<void> check_sizes(const TiffLayout& l, int depth, std::uint64_t file_bytes,
                         const ReadLimits& limits) {
  const auto compression = compression_of(l);
  if (!compression) return fail(compression.error());
  const Claim image{l.width, l.height, depth};
  // A tile must be able to fill itself, also where the image needs a corner of it.
  for (const Claim& claim : {image, Claim{l.part_width, l.part_height, depth}}) {
    if (auto sound = check_size(claim, limits); !sound) return sound;
    if (auto sound = check_plausible(claim, file_bytes, (*compression)->most_ratio); !sound) {
      return sound;
    }
  }
  return {};
}

/// The same for the bytes that the strips or tiles do hold, which may share bytes of the file.
Result<void> check_parts(const TiffLayout& l, int depth, const std::vector<Bytes>& parts) {
  const std::uint64_t ratio = (*compression_of(l))->most_ratio;
  std::uint64_t stored = 0;
  for (const Bytes part : parts) {
    stored += part.size();
    if (!l.tiled) continue;
    if (auto sound = check_plausible({l.part_width, l.part_height, depth}, part.size(), ratio);
        !sound) {
      return sound;
    }
  }
  return check_plausible({l.width, l.height, depth}, stored, ratio);
}

Result<cv::Mat> decode(TiffFile& file, Bytes bytes, std::uint64_t directory,
                       const TiffLayout& layout, int depth, const ReadOptions& options) {
  if (const auto sound = check_sizes(layout, depth, bytes.size(), options.limits); !sound) {
    return fail(sound.error());
  }
  const auto parts = tiff_parts(bytes, directory, layout);
  if (!parts) return fail(parts.error());
  if (const auto sound = check_parts(layout, depth, *parts); !sound) return fail(sound.error());
  if (options.memory != nullptr && lies_in_place(file, layout, *parts)) {
    // Nobody writes to the pixels of an image.
    auto* const first = const_cast<std::byte*>(parts->front().data());
    return cv::Mat(static_cast<int>(layout.height), static_cast<int>(layout.width),
                   CV_MAKETYPE(depth, 1), first);
  }
  auto pixels = allocate({layout.width, layout.height, depth}, options);
  if (!pixels) return pixels;
  if (const auto done = decode_parts(file, layout, *parts, *pixels); !done)
    return fail(done.error());
  return pixels;
}

/// A stack often carries its description on the first page only.
std::optional<EmbeddedDeclaration> declaration_of(TiffFile& file, const TiffLayout& layout,
                                                  const std::vector<std::uint64_t>& pages,
                                                  int page) {
  auto declaration = file.declaration();
  if (declaration || page == 1) return declaration;
  if (!file.go_to(pages.front()) || file.layout() != layout) return std::nullopt;
  return file.declaration();
}

}  // namespace

Result<StoredImage> read_tiff(Bytes bytes, const ReadOptions& options) {
  const auto pages = tiff_pages(bytes);
  if (!pages) return fail(pages.error());
  if (const auto there = check_page(options.page, pages->size()); !there)
    return fail(there.error());
  TiffFile file(bytes, options.limits.max_bytes);
  const std::uint64_t directory = pages->at(static_cast<std::size_t>(options.page - 1));
  if (!file.go_to(directory)) {
    return fail(file.complaint("the TIFF's directory cannot be read"));
  }
  const TiffLayout layout = file.layout();
  const auto depth = depth_of(layout);
  if (!depth) return fail(depth.error());
  if (const auto sound = check_storage(layout); !sound) return fail(sound.error());
  const auto pixels = decode(file, bytes, directory, layout, *depth, options);
  if (!pixels) return fail(pixels.error());
  return StoredImage{.pixels = *pixels,
                     .format = "tiff",
                     .dtype = std::string(numpy_name(*depth)),
                     .pages = static_cast<int>(pages->size()),
                     .embedded = declaration_of(file, layout, *pages, options.page)};
}

}  // namespace ohmglow::imaging
