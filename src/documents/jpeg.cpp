#include "jpeg.h"

#include <array>
#include <libexif/exif-data.h>
#include <memory>
#include <turbojpeg.h>

namespace ohmglow::documents {
namespace {

struct Destroy {
  void operator()(void* handle) const { tjDestroy(handle); }
};
using Handle = std::unique_ptr<void, Destroy>;
struct Free {
  void operator()(unsigned char* buffer) const { tjFree(buffer); }
};
using Buffer = std::unique_ptr<unsigned char, Free>;

Error damaged(void* handle) {
  return {ErrorKind::damaged,
          "the JPEG cannot be used",
          tjGetErrorStr2(handle),
          "a sound JPEG file",
          "export the photograph again as JPEG or PNG",
          {}};
}

const unsigned char* data_of(std::span<const std::byte> bytes) {
  return reinterpret_cast<const unsigned char*>(bytes.data());
}

std::vector<std::byte> taken(const Buffer& buffer, unsigned long size) {
  const auto* begin = reinterpret_cast<const std::byte*>(buffer.get());
  return {begin, begin + size};
}

// A warning (a bad marker, a cut end) still gives an image; an error does not.
bool failed(void* handle, int returned) {
  return returned != 0 && tjGetErrorCode(handle) == TJERR_FATAL;
}

// What brings each orientation upright.
constexpr std::array<int, 9> kTurns{TJXOP_NONE,   TJXOP_NONE,       TJXOP_HFLIP,
                                    TJXOP_ROT180, TJXOP_VFLIP,      TJXOP_TRANSPOSE,
                                    TJXOP_ROT90,  TJXOP_TRANSVERSE, TJXOP_ROT270};

}  // namespace

Result<JpegSize> jpeg_size(std::span<const std::byte> bytes) {
  const Handle handle(tjInitDecompress());
  JpegSize size;
  int subsampling = 0;
  int colours = 0;
  if (failed(handle.get(),
             tjDecompressHeader3(handle.get(), data_of(bytes), bytes.size(), &size.width,
                                 &size.height, &subsampling, &colours))) {
    return fail(damaged(handle.get()));
  }
  return size;
}

Result<std::vector<std::byte>> encode_jpeg(const cv::Mat& bgr, int quality) {
  const Handle handle(tjInitCompress());
  unsigned char* out = nullptr;
  unsigned long size = 0;
  const int returned = tjCompress2(handle.get(), bgr.data, bgr.cols, static_cast<int>(bgr.step),
                                   bgr.rows, TJPF_BGR, &out, &size, TJSAMP_444, quality, 0);
  const Buffer buffer(out);
  if (returned != 0) return fail(damaged(handle.get()));
  return taken(buffer, size);
}

Result<std::vector<std::byte>> reduced_jpeg(std::span<const std::byte> bytes, int longest) {
  constexpr int kQuality = 85;
  const auto size = jpeg_size(bytes);
  if (!size) return fail(size.error());
  tjscalingfactor factor{1, 1};
  while (TJSCALED(std::max(size->width, size->height), factor) > longest && factor.denom < 8) {
    factor.denom *= 2;
  }
  if (factor.denom == 1) return std::vector<std::byte>(bytes.begin(), bytes.end());
  cv::Mat smaller(TJSCALED(size->height, factor), TJSCALED(size->width, factor), CV_8UC3);
  const Handle handle(tjInitDecompress());
  if (failed(handle.get(),
             tjDecompress2(handle.get(), data_of(bytes), bytes.size(), smaller.data, smaller.cols,
                           static_cast<int>(smaller.step), smaller.rows, TJPF_BGR, 0))) {
    return fail(damaged(handle.get()));
  }
  return encode_jpeg(smaller, kQuality);
}

Result<std::vector<std::byte>> upright_jpeg(std::span<const std::byte> bytes, int orientation) {
  const Handle handle(tjInitTransform());
  tjtransform turn{};
  turn.op = kTurns.at(static_cast<std::size_t>(orientation));
  // Blocks at the edge that cannot be turned without a loss are dropped: at most 15 pixels.
  turn.options = TJXOPT_COPYNONE | TJXOPT_TRIM;
  unsigned char* out = nullptr;
  unsigned long size = 0;
  const int returned =
      tjTransform(handle.get(), data_of(bytes), bytes.size(), 1, &out, &size, &turn, 0);
  const Buffer buffer(out);
  if (failed(handle.get(), returned) || out == nullptr) return fail(damaged(handle.get()));
  return taken(buffer, size);
}

int exif_orientation(std::span<const std::byte> bytes) {
  struct Unref {
    void operator()(ExifData* data) const { exif_data_unref(data); }
  };
  const std::unique_ptr<ExifData, Unref> data(
      exif_data_new_from_data(data_of(bytes), static_cast<unsigned int>(bytes.size())));
  if (!data) return 1;
  ExifEntry* entry = exif_content_get_entry(data->ifd[EXIF_IFD_0], EXIF_TAG_ORIENTATION);
  if (entry == nullptr || entry->format != EXIF_FORMAT_SHORT || entry->size < 2) return 1;
  const int value = exif_get_short(entry->data, exif_data_get_byte_order(data.get()));
  return value >= 1 && value <= 8 ? value : 1;
}

}  // namespace ohmglow::documents
