#include "offered/imaging/taken_at.h"

#include "tiff_file.h"

#include <string>
#include <string_view>

namespace ohmglow::imaging {
namespace {

constexpr std::uint64_t kMostTagBytes = std::uint64_t{1} << 20;

std::string_view text_of(Bytes file) {
  return {reinterpret_cast<const char*>(file.data()), file.size()};
}

/// "2026:03:04 09:15:00" as TIFF and Exif write it.
std::optional<Moment> from_tag(const char* written) {
  std::string text(written);
  if (text.size() < 19 || text[4] != ':' || text[7] != ':') return std::nullopt;
  text.resize(19);
  text[4] = text[7] = '-';
  text[10] = 'T';
  return Moment::parse(text);
}

std::optional<Moment> of_tiff(Bytes file) {
  TiffFile tiff(file, kMostTagBytes);
  if (tiff.handle() == nullptr || TIFFSetDirectory(tiff.handle(), 0) == 0) return std::nullopt;
  std::optional<Moment> saved;
  const char* written = nullptr;
  if (TIFFGetField(tiff.handle(), TIFFTAG_DATETIME, &written) == 1) saved = from_tag(written);
  std::uint64_t exif = 0;
  if (TIFFGetField(tiff.handle(), TIFFTAG_EXIFIFD, &exif) != 1 ||
      TIFFReadEXIFDirectory(tiff.handle(), exif) != 1 ||
      TIFFGetField(tiff.handle(), EXIFTAG_DATETIMEORIGINAL, &written) != 1) {
    return saved;
  }
  const auto original = from_tag(written);
  return original ? original : saved;
}

/// Tags of Exif by hand: libtiff opens no directory that describes no image.
class ExifTags {
 public:
  explicit ExifTags(Bytes block) : block_(block), little_(text_of(block).starts_with("II")) {}

  /// The four bytes of a tag's value or place, in the directory there.
  [[nodiscard]] std::size_t find(std::size_t directory, std::size_t tag) const {
    const std::size_t count = number(directory, 2);
    for (std::size_t i = 0; i < count; ++i) {
      const std::size_t entry = directory + 2 + 12 * i;
      if (number(entry, 2) == tag) return number(entry + 8, 4);
    }
    return 0;
  }
  [[nodiscard]] std::optional<Moment> moment(std::size_t directory, std::size_t tag) const {
    const std::size_t at = directory == 0 ? 0 : find(directory, tag);
    if (at == 0 || at >= block_.size()) return std::nullopt;
    return from_tag(std::string(text_of(block_).substr(at, 19)).c_str());
  }
  [[nodiscard]] std::size_t first() const { return number(4, 4); }

 private:
  /// 0 past the end.
  [[nodiscard]] std::size_t number(std::size_t at, std::size_t bytes) const {
    if (at > block_.size() || block_.size() - at < bytes) return 0;
    std::size_t value = 0;
    for (std::size_t i = 0; i < bytes; ++i) {
      const std::size_t place = little_ ? at + bytes - 1 - i : at + i;
      value = value << 8 | std::to_integer<std::size_t>(block_[place]);
    }
    return value;
  }

  Bytes block_;
  bool little_;
};

std::optional<Moment> of_exif(Bytes block) {
  constexpr std::size_t kExifPart = 0x8769;
  constexpr std::size_t kOriginal = 0x9003;
  constexpr std::size_t kSaved = 0x0132;
  const ExifTags tags(block);
  const auto original = tags.moment(tags.find(tags.first(), kExifPart), kOriginal);
  return original ? original : tags.moment(tags.first(), kSaved);
}

/// The segment of a JPEG that holds a TIFF of tags (Exif 2.32, 4.7.2).
Bytes exif_of(Bytes file) {
  const auto byte = [file](std::size_t at) { return std::to_integer<std::size_t>(file[at]); };
  constexpr std::string_view kExif("Exif\0\0", 6);
  for (std::size_t at = 2; at + 4 <= file.size() && byte(at) == 0xFF;) {
    const std::size_t marker = byte(at + 1);
    const std::size_t size = byte(at + 2) << 8 | byte(at + 3);
    if (marker == 0xDA || size < 2 || at + 2 + size > file.size()) break;
    const Bytes segment = file.subspan(at + 4, size - 2);
    if (marker == 0xE1 && text_of(segment).starts_with(kExif)) return segment.subspan(kExif.size());
    at += 2 + size;
  }
  return {};
}

/// FITS Standard 4.0, 4.1 and 4.4.2.2: cards of 80 characters, the observation's time in ISO 8601.
/// It stands in the first header, or in the next where that one has no data.
std::optional<Moment> of_fits(std::string_view file) {
  constexpr std::size_t kCard = 80;
  constexpr std::size_t kMostCards = 4096;
  for (std::size_t card = 0; card < kMostCards && (card + 1) * kCard <= file.size(); ++card) {
    const std::string_view text = file.substr(card * kCard, kCard);
    if (!text.starts_with("DATE-OBS=")) continue;
    const auto begin = text.find('\'');
    const auto end = begin == std::string_view::npos ? begin : text.find('\'', begin + 1);
    if (end == std::string_view::npos) return std::nullopt;
    std::string_view written = text.substr(begin + 1, end - begin - 1);
    written = written.substr(0, written.find(' '));
    return Moment::parse(written.substr(0, written.find('.')));
  }
  return std::nullopt;
}

}  // namespace

std::optional<Moment> taken_at(std::span<const std::byte> file) {
  const std::string_view text = text_of(file);
  if (text.starts_with("II") || text.starts_with("MM")) return of_tiff(file);
  if (text.starts_with("SIMPLE  =")) return of_fits(text);
  if (text.starts_with("\xFF\xD8\xFF")) {
    const Bytes exif = exif_of(file);
    return exif.empty() ? std::nullopt : of_exif(exif);
  }
  return std::nullopt;
}

}  // namespace ohmglow::imaging
