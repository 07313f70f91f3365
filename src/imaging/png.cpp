// Grey PNG of 8 or 16 bits, through libpng's row interface (the simplified one would convert).

#include "readers.h"

#include <algorithm>
#include <bit>
#include <csetjmp>
#include <png.h>

namespace ohmglow::imaging {
namespace {

// DEFLATE cannot expand further (zlib's technical notes: 1032 to 1).
constexpr std::uint64_t kMostRatio = 1040;
// Of one chunk that is not pixels; text of a camera is far below.
constexpr png_alloc_size_t kMostChunkBytes = 8 << 20;
constexpr png_uint_32 kMostCachedChunks = 1000;

/// Trivial on purpose: libpng leaves its functions by longjmp, so nothing that lives across a call
/// of it may have a destructor.
struct Session {
  png_structp png;
  png_infop info;
  const std::byte* data;
  std::size_t size;
  std::size_t at;
  char complaint[96];
};

struct PngHeader {
  png_uint_32 width, height;
  int bits, colour, interlace;
};

void on_read(png_structp png, png_bytep into, std::size_t count) {
  auto& session = *static_cast<Session*>(png_get_io_ptr(png));
  if (count > session.size - session.at) png_error(png, "the file ends too early");
  std::memcpy(into, session.data + session.at, count);
  session.at += count;
}

[[noreturn]] void on_error(png_structp png, png_const_charp text) {
  auto& session = *static_cast<Session*>(png_get_error_ptr(png));
  std::strncpy(session.complaint, text, sizeof session.complaint - 1);
  png_longjmp(png, 1);
}

void on_warning(png_structp, png_const_charp) {}

bool open(Session& session, const ReadLimits& limits) {
  session.png = png_create_read_struct(PNG_LIBPNG_VER_STRING, &session, on_error, on_warning);
  if (session.png == nullptr) return false;
  if (setjmp(png_jmpbuf(session.png)) != 0) return false;
  session.info = png_create_info_struct(session.png);
  if (session.info == nullptr) return false;
  png_set_read_fn(session.png, &session, on_read);
  const auto side =
      static_cast<png_uint_32>(std::min<std::uint64_t>(limits.max_pixels, PNG_UINT_31_MAX));
  png_set_user_limits(session.png, side, side);
  png_set_chunk_malloc_max(session.png, kMostChunkBytes);
  png_set_chunk_cache_max(session.png, kMostCachedChunks);
  return true;
}

bool read_header(Session& session, PngHeader& header) {
  if (setjmp(png_jmpbuf(session.png)) != 0) return false;
  png_read_info(session.png, session.info);
  png_get_IHDR(session.png, session.info, &header.width, &header.height, &header.bits,
               &header.colour, &header.interlace, nullptr, nullptr);
  return true;
}

bool read_rows(Session& session, png_bytepp rows, bool swap) {
  if (setjmp(png_jmpbuf(session.png)) != 0) return false;
  if (swap) png_set_swap(session.png);
  png_set_interlace_handling(session.png);
  png_read_update_info(session.png, session.info);
  png_read_image(session.png, rows);
  png_read_end(session.png, nullptr);
  return true;
}

struct SessionEnd {
  Session& session;
  ~SessionEnd() { png_destroy_read_struct(&session.png, &session.info, nullptr); }
};

Error complaint_of(const Session& session) {
  return damaged("the PNG cannot be decoded (" + excerpt(session.complaint) + ")", session.at);
}

Result<int> depth_of(const PngHeader& header) {
  if (header.colour != PNG_COLOR_TYPE_GRAY) return fail(picture_error("a colour PNG"));
  if (header.bits == 16) return CV_16U;
  if (header.bits == 8) return CV_8U;
  return fail(picture_error(std::to_string(header.bits) + " bits a pixel"));
}

}  // namespace

Result<StoredImage> read_png(Bytes file, const ReadOptions& options) {
  if (const auto there = check_page(options.page, 1); !there) return fail(there.error());
  Session session{nullptr, nullptr, file.data(), file.size(), 0, {}};
  const SessionEnd end{session};
  PngHeader header{};
  if (!open(session, options.limits) || !read_header(session, header)) {
    return fail(complaint_of(session));
  }
  const auto depth = depth_of(header);
  if (!depth) return fail(depth.error());
  const Claim claim{header.width, header.height, *depth};
  if (const auto plausible = check_plausible(claim, file.size(), kMostRatio); !plausible) {
    return fail(plausible.error());
  }
  auto pixels = allocate(claim, options);
  if (!pixels) return fail(pixels.error());
  std::vector<png_bytep> rows;
  for (int y = 0; y < pixels->rows; ++y) rows.push_back(pixels->ptr<png_byte>(y));
  const bool swap = *depth == CV_16U && std::endian::native == std::endian::little;
  if (!read_rows(session, rows.data(), swap)) return fail(complaint_of(session));
  return StoredImage{.pixels = *pixels,
                     .format = "png",
                     .dtype = std::string(numpy_name(*depth)),
                     .pages = 1,
                     .embedded = std::nullopt};
}

Result<std::vector<std::byte>> encode_png(const cv::Mat& image) {
  png_image header{};
  header.version = PNG_IMAGE_VERSION;
  header.width = static_cast<png_uint_32>(image.cols);
  header.height = static_cast<png_uint_32>(image.rows);
  header.flags = PNG_IMAGE_FLAG_FAST;
  switch (image.type()) {
    case CV_8UC3:
      header.format = PNG_FORMAT_BGR;
      break;
    case CV_8UC1:
      header.format = PNG_FORMAT_GRAY;
      break;
    case CV_16UC1:
      header.format = PNG_FORMAT_LINEAR_Y;
      break;
    default:
      header.format = 0;
  }
  if (image.empty() || (header.format == 0 && image.type() != CV_8UC1)) {
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "this matrix cannot be written as a PNG",
                 .expected = "8-bit grey or BGR, or 16-bit grey pixels"});
  }
  try {
    std::vector<std::byte> bytes(PNG_IMAGE_PNG_SIZE_MAX(header));
    png_alloc_size_t size = bytes.size();
    const auto stride = static_cast<png_int_32>(image.step1());
    const int written =
        png_image_write_to_memory(&header, bytes.data(), &size, 0, image.data, stride, nullptr);
    if (written == 0) {
      return fail({.kind = ErrorKind::system,
                   .what = "the PNG could not be written (" + excerpt(header.message) + ")"});
    }
    bytes.resize(size);
    return bytes;
  } catch (const std::bad_alloc&) {
    return fail({.kind = ErrorKind::too_large, .what = "the PNG does not fit into memory"});
  }
}

}  // namespace ohmglow::imaging
