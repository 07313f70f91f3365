#pragma once
/// A TIFF that lies in memory, opened with libtiff.

#include "readers.h"

#include <memory>
#include <tiffio.h>

namespace ohmglow::imaging {

/// What the tags of a page say about its pixels.
struct TiffLayout {
  std::uint32_t width = 0;
  std::uint32_t height = 0;
  std::uint16_t bits = 1;
  std::uint16_t sample_format = SAMPLEFORMAT_UINT;
  std::uint16_t samples = 1;
  std::uint16_t photometric = PHOTOMETRIC_MINISBLACK;
  std::uint16_t compression = COMPRESSION_NONE;
  std::uint16_t predictor = PREDICTOR_NONE;
  std::uint16_t fill_order = FILLORDER_MSB2LSB;
  bool tiled = false;
  std::uint32_t part_width = 0;   ///< of a tile, or the image's
  std::uint32_t part_height = 0;  ///< of a tile, or rows in a strip
  friend bool operator==(const TiffLayout&, const TiffLayout&) = default;
};

class TiffFile {
 public:
  /// `most_bytes` caps each single allocation of libtiff.
  TiffFile(Bytes file, std::uint64_t most_bytes);
  TiffFile(const TiffFile&) = delete;
  TiffFile& operator=(const TiffFile&) = delete;

  [[nodiscard]] TIFF* handle() const { return handle_.get(); }
  [[nodiscard]] bool go_to(std::uint64_t directory);
  [[nodiscard]] TiffLayout layout() const;
  [[nodiscard]] std::optional<EmbeddedDeclaration> declaration() const;

  [[nodiscard]] bool is_swapped() const { return TIFFIsByteSwapped(handle()) != 0; }

  /// A `damaged` error with what libtiff said first since the last one.
  [[nodiscard]] Error complaint(std::string what);

  /// The file with a position, as libtiff's callbacks want it.
  struct Memory {
    Bytes bytes;
    std::uint64_t at = 0;
    std::string complaint;
  };

 private:
  struct Close {
    void operator()(TIFF* tiff) const { TIFFClose(tiff); }
  };
  Memory memory_;
  std::unique_ptr<TIFF, Close> handle_;
};

}  // namespace ohmglow::imaging
