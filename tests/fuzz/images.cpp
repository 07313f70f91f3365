#include "imaging/tiff_builder.h"
#include "offered/imaging/clipping.h"
#include "offered/imaging/edge_blur.h"
#include "offered/imaging/taken_at.h"
#include "ohmglow/imaging.h"
#include "targets.h"

#include <array>
#include <cstring>
#include <memory>
#include <optional>
#include <tiffio.h>

namespace ohmglow::fuzz {
namespace {

using imaging::StoredImage;

constexpr imaging::ReadLimits kImageLimits{.max_pixels = 1 << 18, .max_bytes = 4 << 20};

std::span<const std::byte> bytes_in(std::string_view text) {
  return std::as_bytes(std::span(text));
}

void read_as(std::string_view input, std::string_view name) {
  const auto file = bytes_in(input);
  (void)imaging::taken_at(file);
  for (const int page : {1, 2}) {
    const auto image = imaging::read_stored(file, name, {.page = page, .limits = kImageLimits});
    if (!image) {
      demand(!sentence(image.error()).empty());
      continue;
    }
    demand(!image->pixels.empty() && image->pixels.total() <= kImageLimits.max_pixels);
    (void)imaging::clipping(image->pixels);
    const auto declared = imaging::resolve_declaration(*image, {});
    if (!declared) continue;
    const cv::Mat celsius = imaging::ThermalImage(*image, *declared).celsius();
    demand(celsius.size() == image->pixels.size());
    const auto seen = imaging::statistics(celsius);
    demand(seen.finite + seen.no_data == static_cast<std::int64_t>(celsius.total()));
    if (celsius.total() > 4096) continue;
    (void)imaging::edge_blur(celsius);
    const cv::Mat picture =
        imaging::render(celsius, Celsius(0), Celsius(100), imaging::Palette::inferno);
    demand(imaging::encode_png(picture).has_value());
  }
}

// --- decoding beside libtiff's

/// A file in memory, as libtiff's callbacks want it.
struct Memory {
  std::string bytes;
  std::uint64_t at = 0;
};

tsize_t read_memory(thandle_t handle, void* to, tsize_t wanted) {
  auto& memory = *static_cast<Memory*>(handle);
  if (memory.at >= memory.bytes.size()) return 0;
  const std::size_t got =
      std::min<std::size_t>(static_cast<std::size_t>(wanted), memory.bytes.size() - memory.at);
  std::memcpy(to, memory.bytes.data() + memory.at, got);
  memory.at += got;
  return static_cast<tsize_t>(got);
}
tsize_t write_memory(thandle_t handle, void* from, tsize_t bytes) {
  auto& memory = *static_cast<Memory*>(handle);
  const auto count = static_cast<std::size_t>(bytes);
  if (memory.bytes.size() < memory.at + count) memory.bytes.resize(memory.at + count);
  std::memcpy(memory.bytes.data() + memory.at, from, count);
  memory.at += count;
  return bytes;
}
toff_t seek_memory(thandle_t handle, toff_t to, int from) {
  auto& memory = *static_cast<Memory*>(handle);
  memory.at = from == SEEK_SET ? to : from == SEEK_CUR ? memory.at + to : memory.bytes.size() + to;
  return memory.at;
}
int close_memory(thandle_t /*handle*/) {
  return 0;
}
toff_t size_of_memory(thandle_t handle) {
  return static_cast<Memory*>(handle)->bytes.size();
}

struct CloseTiff {
  void operator()(TIFF* tiff) const { TIFFClose(tiff); }
};
std::unique_ptr<TIFF, CloseTiff> opened(Memory& memory, const char* mode) {
  TIFFSetErrorHandler(nullptr);
  TIFFSetWarningHandler(nullptr);
  return std::unique_ptr<TIFF, CloseTiff>(TIFFClientOpen("memory", mode, &memory, read_memory,
                                                         write_memory, seek_memory, close_memory,
                                                         size_of_memory, nullptr, nullptr));
}

struct Layout {
  std::uint32_t width = 0;
  std::uint32_t height = 0;
  std::uint16_t bits = 8;
  std::uint16_t format = SAMPLEFORMAT_UINT;
  std::uint16_t compression = COMPRESSION_NONE;
  std::uint16_t predictor = PREDICTOR_NONE;
  bool other_byte_order = false;

  [[nodiscard]] std::size_t bytes() const { return std::size_t{width} * height * bits / 8; }
};

Layout layout_from(std::string_view head) {
  const auto byte = [head](std::size_t at) { return static_cast<unsigned char>(head[at]); };
  Layout layout;
  layout.width = 1 + byte(1) % 64;
  layout.height = 1 + byte(2) % 16;
  const std::array<std::pair<std::uint16_t, std::uint16_t>, 6> kinds{{{8, SAMPLEFORMAT_UINT},
                                                                      {16, SAMPLEFORMAT_UINT},
                                                                      {16, SAMPLEFORMAT_INT},
                                                                      {32, SAMPLEFORMAT_INT},
                                                                      {32, SAMPLEFORMAT_IEEEFP},
                                                                      {64, SAMPLEFORMAT_IEEEFP}}};
  std::tie(layout.bits, layout.format) = kinds.at(byte(3) % kinds.size());
  const std::array<std::uint16_t, 4> compressions{COMPRESSION_LZW, COMPRESSION_ADOBE_DEFLATE,
                                                  COMPRESSION_DEFLATE, COMPRESSION_NONE};
  layout.compression = compressions.at(byte(4) % compressions.size());
  if (layout.compression != COMPRESSION_NONE && byte(5) % 2 == 1) {
    layout.predictor =
        layout.format == SAMPLEFORMAT_IEEEFP ? PREDICTOR_FLOATINGPOINT : PREDICTOR_HORIZONTAL;
  }
  layout.other_byte_order = byte(6) % 2 == 1;
  return layout;
}

/// One strip as libtiff reads it, where it does so without complaint.
std::optional<std::string> pixels_by_libtiff(const std::string& file, const Layout& layout) {
  Memory memory{file};
  const auto tiff = opened(memory, "rm");
  if (!tiff) return std::nullopt;
  std::string pixels(layout.bytes(), '\0');
  const auto wanted = static_cast<tmsize_t>(pixels.size());
  if (TIFFReadEncodedStrip(tiff.get(), 0, pixels.data(), wanted) != wanted) return std::nullopt;
  return pixels;
}

std::optional<std::string> pixels_by_us(const std::string& file) {
  const auto image = imaging::read_stored(bytes_in(file), "a.tif", {.limits = kImageLimits});
  if (!image) return std::nullopt;
  const cv::Mat& pixels = image->pixels;
  std::string bytes;
  for (int y = 0; y < pixels.rows; ++y)
    bytes.append(pixels.ptr<char>(y), static_cast<std::size_t>(pixels.cols) * pixels.elemSize());
  return bytes;
}

/// Pixels that libtiff compresses come back as they were.
void there_and_back(const Layout& layout, std::string_view content) {
  std::string pixels(content.substr(0, layout.bytes()));
  pixels.resize(layout.bytes(), '\x2A');
  const std::string whole = pixels;
  Memory memory;
  {
    const auto tiff = opened(memory, layout.other_byte_order ? "wb" : "wl");
    demand(tiff != nullptr);
    TIFF* const to = tiff.get();
    TIFFSetField(to, TIFFTAG_IMAGEWIDTH, layout.width);
    TIFFSetField(to, TIFFTAG_IMAGELENGTH, layout.height);
    TIFFSetField(to, TIFFTAG_BITSPERSAMPLE, layout.bits);
    TIFFSetField(to, TIFFTAG_SAMPLEFORMAT, layout.format);
    TIFFSetField(to, TIFFTAG_SAMPLESPERPIXEL, 1);
    TIFFSetField(to, TIFFTAG_ROWSPERSTRIP, layout.height);
    TIFFSetField(to, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
    TIFFSetField(to, TIFFTAG_COMPRESSION, layout.compression);
    if (layout.predictor != PREDICTOR_NONE) TIFFSetField(to, TIFFTAG_PREDICTOR, layout.predictor);
    // libtiff turns the buffer's bytes around where it stands.
    const auto size = static_cast<tmsize_t>(pixels.size());
    demand(TIFFWriteEncodedStrip(to, 0, pixels.data(), size) == size);
  }
  const auto ours = pixels_by_us(memory.bytes);
  const auto theirs = pixels_by_libtiff(memory.bytes, layout);
  demand(ours.has_value() && theirs.has_value() && *ours == *theirs);
  // libtiff 4.5 turns the bytes around once too often when it writes these.
  const bool is_mistaken = layout.predictor == PREDICTOR_FLOATINGPOINT && layout.other_byte_order;
  if (!is_mistaken) demand(*ours == whole);
}

/// What we take from a compressed strip is what libtiff takes from it.
void strip_beside_libtiff(const Layout& layout, std::string_view strip) {
  if (strip.empty()) return;
  imaging::TiffBuilder builder;
  const auto at = builder.data(std::string(strip));
  auto tags = imaging::plain_tags(layout.width, layout.height, at, strip.size(),
                                  {{258, 3, 1, layout.bits},
                                   {259, 3, 1, layout.compression},
                                   {317, 3, 1, layout.predictor},
                                   {339, 3, 1, layout.format}});
  builder.directory(tags);
  const auto ours = pixels_by_us(builder.text());
  if (!ours) return;
  const auto theirs = pixels_by_libtiff(builder.text(), layout);
  demand(theirs.has_value() && *theirs == *ours);
}

}  // namespace

void tiff(std::string_view input) {
  read_as(input, "a.tif");
}
void png(std::string_view input) {
  read_as(input, "a.png");
}
void npy(std::string_view input) {
  read_as(input, "a.npy");
}
void fits(std::string_view input) {
  read_as(input, "a.fits");
}
void matrix(std::string_view input) {
  read_as(input, "a.csv");
}

void codecs(std::string_view input) {
  constexpr std::size_t kHead = 7;
  if (input.size() < kHead) return;
  const Layout layout = layout_from(input);
  const std::string_view content = input.substr(kHead);
  if (input[0] % 2 == 0) {
    there_and_back(layout, content);
  } else {
    strip_beside_libtiff(layout, content);
  }
}

}  // namespace ohmglow::fuzz
