#include "encoding.h"

#include <algorithm>
#include <array>
#include <cstdarg>
#include <cstdio>
#include <memory>
#include <opencv2/imgproc.hpp>
#include <tiffio.h>

namespace ohmglow::demo {
namespace {

using enum EncodingId;

struct TiffLayout {
  EncodingId id{};
  const char* mode = "wl";  ///< of TIFFOpen: byte order and BigTIFF
  int compression = COMPRESSION_NONE;
  int predictor = PREDICTOR_NONE;
  int tile_px = 0;  ///< 0 = strips
  const char* description = nullptr;
};

constexpr const char* kCentikelvinJson = R"({"scale": 0.01, "offset": 0, "unit": "k"})";
constexpr std::array kLayouts{
    TiffLayout{tiff_counts_lzw, "wl", COMPRESSION_LZW, PREDICTOR_HORIZONTAL},
    TiffLayout{tiff_counts_json, "wl", COMPRESSION_ADOBE_DEFLATE, PREDICTOR_HORIZONTAL, 0,
               kCentikelvinJson},
    TiffLayout{tiff_counts_big_endian, "wb8", COMPRESSION_ADOBE_DEFLATE, PREDICTOR_NONE, 64,
               kCentikelvinJson},
    TiffLayout{tiff_counts_two_pages, "wl", COMPRESSION_PACKBITS},
    TiffLayout{tiff_counts_undeclared, "wl", COMPRESSION_LZW},
    TiffLayout{tiff_float_kelvin, "wl", COMPRESSION_ADOBE_DEFLATE, PREDICTOR_FLOATINGPOINT},
};

/// libtiff's own complaint, kept instead of printed.
int keep_message(TIFF*, void* into, const char*, const char* format, va_list arguments) {
  std::array<char, 300> text{};
  std::vsnprintf(text.data(), text.size(), format, arguments);
  *static_cast<std::string*>(into) = text.data();
  return 1;
}

using Tiff = std::unique_ptr<TIFF, decltype(&TIFFClose)>;

Tiff open(const std::filesystem::path& path, const char* mode, std::string& message) {
  const std::unique_ptr<TIFFOpenOptions, decltype(&TIFFOpenOptionsFree)> options(
      TIFFOpenOptionsAlloc(), &TIFFOpenOptionsFree);
  TIFFOpenOptionsSetErrorHandlerExtR(options.get(), keep_message, &message);
  TIFFOpenOptionsSetWarningHandlerExtR(options.get(), keep_message, &message);
  return {TIFFOpenExt(path.c_str(), mode, options.get()), &TIFFClose};
}

bool write_strip(TIFF* tiff, const cv::Mat& pixels) {
  cv::Mat copy = pixels.clone();  // libtiff swaps bytes in the caller's buffer
  const auto size = static_cast<tmsize_t>(copy.total() * copy.elemSize());
  return TIFFWriteEncodedStrip(tiff, 0, copy.data, size) == size;
}

bool write_tiles(TIFF* tiff, const cv::Mat& pixels, int side) {
  const auto round_up = [side](int n) { return (n + side - 1) / side * side; };
  cv::Mat whole;
  cv::copyMakeBorder(pixels, whole, 0, round_up(pixels.rows) - pixels.rows, 0,
                     round_up(pixels.cols) - pixels.cols, cv::BORDER_REPLICATE);
  std::uint32_t index = 0;
  for (int y = 0; y < whole.rows; y += side) {
    for (int x = 0; x < whole.cols; x += side, ++index) {
      cv::Mat tile = whole(cv::Rect(x, y, side, side)).clone();
      const auto size = static_cast<tmsize_t>(tile.total() * tile.elemSize());
      if (TIFFWriteEncodedTile(tiff, index, tile.data, size) != size) return false;
    }
  }
  return true;
}

bool write_page(TIFF* tiff, const TiffLayout& layout, const cv::Mat& pixels) {
  const bool floats = pixels.depth() == CV_32F;
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, pixels.cols);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, pixels.rows);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, floats ? 32 : 16);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, 1);
  TIFFSetField(tiff, TIFFTAG_SAMPLEFORMAT, floats ? SAMPLEFORMAT_IEEEFP : SAMPLEFORMAT_UINT);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
  TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  TIFFSetField(tiff, TIFFTAG_COMPRESSION, layout.compression);
  if (layout.predictor != PREDICTOR_NONE) TIFFSetField(tiff, TIFFTAG_PREDICTOR, layout.predictor);
  if (layout.description) TIFFSetField(tiff, TIFFTAG_IMAGEDESCRIPTION, layout.description);
  if (layout.tile_px > 0) {
    TIFFSetField(tiff, TIFFTAG_TILEWIDTH, layout.tile_px);
    TIFFSetField(tiff, TIFFTAG_TILELENGTH, layout.tile_px);
  } else {
    TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, pixels.rows);
  }
  const bool written =
      layout.tile_px > 0 ? write_tiles(tiff, pixels, layout.tile_px) : write_strip(tiff, pixels);
  return written && TIFFWriteDirectory(tiff) == 1;
}

}  // namespace

Result<void> write_tiff(const std::filesystem::path& path, EncodingId id,
                        const std::vector<cv::Mat>& pages) {
  const TiffLayout& layout = *std::find_if(kLayouts.begin(), kLayouts.end(),
                                           [=](const TiffLayout& l) { return l.id == id; });
  std::string message;
  const Tiff tiff = open(path, layout.mode, message);
  bool written = tiff != nullptr;
  for (const cv::Mat& page : pages) written = written && write_page(tiff.get(), layout, page);
  if (written) return {};
  Error error;
  error.kind = ErrorKind::system;
  error.what = "the image could not be written";
  error.found = message;
  error.mend = "check that the folder is writable and the disk has room";
  error.place.file = path.string();
  return fail(error);
}

}  // namespace ohmglow::demo
