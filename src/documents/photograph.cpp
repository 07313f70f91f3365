#include "jpeg.h"
#include "offered/documents/documents.h"
#include "offered/files/folder.h"
#include "ohmglow/imaging.h"

#include <algorithm>
#include <array>
#include <cstring>

namespace ohmglow::documents {
namespace {

constexpr std::uint64_t kMostBytes = std::uint64_t{64} << 20;
constexpr std::int64_t kMostPixels = 100'000'000;
constexpr std::int64_t kMostPngPixels = 12'000'000;  // a PNG is shown as it is, not made smaller
constexpr int kLongestSide = 1600;
constexpr std::array<unsigned char, 8> kPngBegins{0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'};

bool begins_with(std::span<const std::byte> bytes, std::span<const unsigned char> wanted) {
  return bytes.size() >= wanted.size() &&
         std::memcmp(bytes.data(), wanted.data(), wanted.size()) == 0;
}

Error too_large(std::int64_t width, std::int64_t height, std::int64_t most) {
  return {ErrorKind::too_large,
          "the photograph has too many pixels for a report",
          std::to_string(width) + " x " + std::to_string(height),
          "at most " + std::to_string(most / 1'000'000) + " million pixels",
          "name a smaller copy in the photo column",
          {}};
}

// Width and height stand in the first chunk (ISO/IEC 15948, 11.2.2).
Result<report::Photograph> png(std::vector<std::byte> bytes) {
  constexpr std::size_t kWidthAt = 16;
  if (bytes.size() < kWidthAt + 8) {
    return fail({ErrorKind::damaged, "the PNG is cut off", "", "", "copy the file again", {}});
  }
  const auto number_at = [&bytes](std::size_t at) {
    std::int64_t value = 0;
    for (std::size_t i = at; i < at + 4; ++i) value = value * 256 + std::to_integer<int>(bytes[i]);
    return value;
  };
  const std::int64_t width = number_at(kWidthAt);
  const std::int64_t height = number_at(kWidthAt + 4);
  if (width < 1 || height < 1 || width > kMostPngPixels || height > kMostPngPixels / width) {
    return fail(too_large(width, height, kMostPngPixels));
  }
  return report::Photograph{std::move(bytes), "image/png", static_cast<int>(width),
                            static_cast<int>(height)};
}

Result<report::Photograph> jpeg(std::span<const std::byte> bytes) {
  const auto size = jpeg_size(bytes);
  if (!size) return fail(size.error());
  if (size->width < 1 || size->height < 1) {
    return fail({ErrorKind::damaged, "the JPEG is cut off", "", "", "copy the file again", {}});
  }
  if (size->height > kMostPixels / size->width) {
    return fail(too_large(size->width, size->height, kMostPixels));
  }
  const int orientation = exif_orientation(bytes);
  const auto small = reduced_jpeg(bytes, kLongestSide);
  if (!small) return fail(small.error());
  auto upright = upright_jpeg(*small, orientation);
  if (!upright) return fail(upright.error());
  const auto shown = jpeg_size(*upright);
  if (!shown) return fail(shown.error());
  return report::Photograph{std::move(*upright), "image/jpeg", shown->width, shown->height};
}

Result<report::Photograph> read(const Survey& survey, const std::string& file) {
  const auto path = records::resolve_inside(survey.folder, file);
  if (!path) return fail(path.error());
  auto bytes = imaging::read_bytes(*path, kMostBytes);
  if (!bytes) return fail(bytes.error());
  if (begins_with(*bytes, kPngBegins)) return png(std::move(*bytes));
  if (begins_with(*bytes, std::array<unsigned char, 2>{0xff, 0xd8})) return jpeg(*bytes);
  return fail({ErrorKind::not_this_format,
               "the photograph is no JPEG and no PNG",
               "",
               "",
               "export it as one of them",
               {}});
}

}  // namespace

Result<report::Photograph> photograph(const Survey& survey, const ImageEntry& entry) {
  auto photo = read(survey, entry.photo);
  if (!photo) return fail(photo.error().in_file(entry.photo));
  return photo;
}

}  // namespace ohmglow::documents
