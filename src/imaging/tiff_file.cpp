#include "tiff_file.h"

#include "tiff_declaration.h"

#include <algorithm>
#include <array>
#include <cstdarg>
#include <cstdio>
#include <limits>

namespace ohmglow::imaging {
namespace {

constexpr std::uint32_t kGdalMetadataTag = 42112;

TiffFile::Memory& memory_of(thandle_t handle) {
  return *static_cast<TiffFile::Memory*>(handle);
}

tmsize_t on_read(thandle_t handle, void* into, tmsize_t wanted) {
  auto& memory = memory_of(handle);
  const std::uint64_t left =
      memory.bytes.size() - std::min<std::uint64_t>(memory.at, memory.bytes.size());
  const auto count =
      std::min<std::uint64_t>(left, static_cast<std::uint64_t>(std::max<tmsize_t>(wanted, 0)));
  if (count > 0) std::memcpy(into, memory.bytes.data() + memory.at, count);
  memory.at += count;
  return static_cast<tmsize_t>(count);
}

tmsize_t on_write(thandle_t, void*, tmsize_t) {
  return -1;
}

toff_t on_seek(thandle_t handle, toff_t offset, int whence) {
  auto& memory = memory_of(handle);
  if (whence == SEEK_SET) memory.at = offset;
  if (whence == SEEK_CUR) memory.at += offset;
  if (whence == SEEK_END) memory.at = memory.bytes.size() + offset;
  return memory.at;
}

int on_close(thandle_t) {
  return 0;
}

toff_t on_size(thandle_t handle) {
  return memory_of(handle).bytes.size();
}

int on_map(thandle_t handle, void** base, toff_t* size) {
  const Bytes bytes = memory_of(handle).bytes;
  *base = const_cast<std::byte*>(bytes.data());  // libtiff reads a file that is open for reading
  *size = bytes.size();
  return 1;
}

void on_unmap(thandle_t, void*, toff_t) {}

__attribute__((format(printf, 4, 0))) int on_error(TIFF*, void* user, const char*,
                                                   const char* format, va_list arguments) {
  auto& complaint = *static_cast<std::string*>(user);
  if (!complaint.empty()) return 1;
  std::array<char, 160> text{};
  std::vsnprintf(text.data(), text.size(), format, arguments);
  complaint = text.data();
  return 1;
}

int on_warning(TIFF*, void*, const char*, const char*, va_list) {
  return 1;
}

struct OptionsFree {
  void operator()(TIFFOpenOptions* options) const { TIFFOpenOptionsFree(options); }
};

}  // namespace

TiffFile::TiffFile(Bytes file, std::uint64_t most_bytes) : memory_{file, 0, {}} {
  const std::unique_ptr<TIFFOpenOptions, OptionsFree> options(TIFFOpenOptionsAlloc());
  if (options == nullptr) return;
  TIFFOpenOptionsSetErrorHandlerExtR(options.get(), on_error, &memory_.complaint);
  TIFFOpenOptionsSetWarningHandlerExtR(options.get(), on_warning, nullptr);
  const auto cap = std::min<std::uint64_t>(most_bytes, std::numeric_limits<tmsize_t>::max());
  TIFFOpenOptionsSetMaxSingleMemAlloc(options.get(), static_cast<tmsize_t>(cap));
  // r: read, h: no directory yet, c: long strips stay in one piece.
  handle_.reset(TIFFClientOpenExt("image", "rhc", &memory_, on_read, on_write, on_seek, on_close,
                                  on_size, on_map, on_unmap, options.get()));
}

bool TiffFile::go_to(std::uint64_t directory) {
  return handle() != nullptr && TIFFSetSubDirectory(handle(), directory) != 0;
}

TiffLayout TiffFile::layout() const {
  TIFF* const t = handle();
  TiffLayout l;
  TIFFGetField(t, TIFFTAG_IMAGEWIDTH, &l.width);
  TIFFGetField(t, TIFFTAG_IMAGELENGTH, &l.height);
  TIFFGetFieldDefaulted(t, TIFFTAG_BITSPERSAMPLE, &l.bits);
  TIFFGetFieldDefaulted(t, TIFFTAG_SAMPLEFORMAT, &l.sample_format);
  TIFFGetFieldDefaulted(t, TIFFTAG_SAMPLESPERPIXEL, &l.samples);
  TIFFGetFieldDefaulted(t, TIFFTAG_COMPRESSION, &l.compression);
  TIFFGetFieldDefaulted(t, TIFFTAG_FILLORDER, &l.fill_order);
  TIFFGetField(t, TIFFTAG_PHOTOMETRIC, &l.photometric);  // absent in files of some cameras
  // Only the codecs that know a predictor answer for its tag.
  TIFFGetField(t, TIFFTAG_PREDICTOR, &l.predictor);
  l.tiled = TIFFIsTiled(t) != 0;
  if (l.tiled) {
    TIFFGetField(t, TIFFTAG_TILEWIDTH, &l.part_width);
    TIFFGetField(t, TIFFTAG_TILELENGTH, &l.part_height);
  } else {
    l.part_width = l.width;
    TIFFGetFieldDefaulted(t, TIFFTAG_ROWSPERSTRIP, &l.part_height);
    l.part_height = std::min(l.part_height, l.height);
  }
  return l;
}

std::optional<EmbeddedDeclaration> TiffFile::declaration() const {
  const char* description = nullptr;
  if (TIFFGetField(handle(), TIFFTAG_IMAGEDESCRIPTION, &description) != 0 &&
      description != nullptr) {
    if (auto found = declaration_in_json(description)) return found;
  }
  // libtiff does not know the tag and hands it out as a count and a pointer, if it is text.
  const TIFFField* const field = TIFFFindField(handle(), kGdalMetadataTag, TIFF_ASCII);
  if (field == nullptr || TIFFFieldPassCount(field) == 0) return std::nullopt;
  std::uint32_t count = 0;
  const char* xml = nullptr;
  if (TIFFGetField(handle(), kGdalMetadataTag, &count, &xml) == 0 || xml == nullptr)
    return std::nullopt;
  return declaration_in_gdal_metadata({xml, strnlen(xml, count)});
}

Error TiffFile::complaint(std::string what) {
  if (!memory_.complaint.empty()) what += " (" + excerpt(memory_.complaint) + ")";
  memory_.complaint.clear();
  return damaged(std::move(what));
}

}  // namespace ohmglow::imaging
