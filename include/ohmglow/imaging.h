#pragma once
/// Radiometric images from open encodings: reading, declaring what stored numbers mean, rendering.
/// Files are untrusted: sizes are checked against ReadLimits before anything is allocated.

#include "ohmglow/quantity.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <array>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <opencv2/core/mat.hpp>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::imaging {

/// What a hostile or mistaken file may cost at most. Raise for larger scanners.
struct ReadLimits {
  std::uint64_t max_pixels = 200'000'000;
  std::uint64_t max_bytes = std::uint64_t{2} << 30;  ///< of the file, and of its decoded pixels
};

/// Memory that is kept from one image to the next: blocks of this size the system hands out, and
/// clears, anew each time.
class ReadMemory {
 public:
  /// For a file's bytes, not initialised. What it held before is gone.
  [[nodiscard]] std::span<std::byte> bytes(std::size_t count);
  /// For pixels; the same that it gave before where they have the same size.
  [[nodiscard]] cv::Mat pixels(cv::Size size, int type);

 private:
  std::unique_ptr<std::byte[]> bytes_;
  std::size_t capacity_ = 0;
  cv::Mat pixels_;
};

struct ReadOptions {
  int page = 1;  ///< page or frame, counted from 1
  ReadLimits limits = {};
  /// Where given, the pixels may lie in it or in the file's bytes: they are good as long as these,
  /// and until it is given again.
  ReadMemory* memory = nullptr;
};

/// A declaration found inside a file; any of the three may be absent there.
struct EmbeddedDeclaration {
  std::optional<double> scale = {};
  std::optional<double> offset = {};
  std::optional<TemperatureUnit> unit = {};
  std::string from = {};
  /// A scale, offset or unit that is there but means nothing to this program ("unit F"). Such a
  /// file needs all three in images.csv; its range is not guessed from.
  std::string not_understood = {};
};

/// Pixels as stored: one channel, top row first, of type CV_8U, CV_16U, CV_16S, CV_32S, CV_32F or
/// CV_64F. (FITS BZERO/BSCALE, which are the format's own definition of the stored value, have been
/// applied.)
struct StoredImage {
  cv::Mat pixels;
  std::string format;  ///< "tiff", "png", "csv", "npy", "fits"
  std::string dtype;   ///< in numpy's words: "uint16"; "text" for a text matrix
  int pages = 1;
  std::optional<EmbeddedDeclaration> embedded;

  [[nodiscard]] bool is_integer() const;
};

/// Bytes of a whole file. Errors: missing, empty, too_large, system.
[[nodiscard]] Result<std::vector<std::byte>> read_bytes(const std::filesystem::path& path,
                                                        std::uint64_t max_bytes);
/// The same, in memory that is used again.
[[nodiscard]] Result<std::span<const std::byte>> read_bytes(const std::filesystem::path& path,
                                                            std::uint64_t max_bytes,
                                                            ReadMemory& memory);

/// Reads one page of an image from the bytes of its file; the format is told from the bytes, and
/// from the name's ending only for text. Errors carry the kind and, where known, the byte offset;
/// the caller adds the file's name.
[[nodiscard]] Result<StoredImage> read_stored(std::span<const std::byte> file,
                                              std::string_view name,
                                              const ReadOptions& options = {});

/// The endings that a folder scan takes for images, lower case, with the dot.
[[nodiscard]] std::span<const std::string_view> image_endings();

/// What the stored numbers mean, by the order of precedence of the survey folder's rules:
/// `given` (images.csv), the file's embedded JSON, its GDAL_METADATA items, the range of floats.
/// Integers without a declaration are an `undeclared` error, never a guess.
[[nodiscard]] Result<Declaration> resolve_declaration(const StoredImage& image,
                                                      const ImageParameters& given);

/// Stored pixels together with what they mean.
class ThermalImage {
 public:
  ThermalImage(StoredImage stored, Declaration declaration);

  [[nodiscard]] const StoredImage& stored() const { return stored_; }
  [[nodiscard]] const Declaration& declaration() const { return declaration_; }
  [[nodiscard]] int width() const { return stored_.pixels.cols; }
  [[nodiscard]] int height() const { return stored_.pixels.rows; }

  /// Stored temperatures in °C of a part of the image, as CV_32F of that size; NaN = no data.
  [[nodiscard]] cv::Mat celsius(const cv::Rect& part) const;
  [[nodiscard]] cv::Mat celsius() const;

 private:
  StoredImage stored_;
  Declaration declaration_;
};

/// The °C that a stored number means under a declaration.
[[nodiscard]] Celsius stored_to_celsius(double stored, const Declaration& declaration);

/// Smallest, largest and mean of the finite pixels, and how many are not finite.
struct Statistics {
  double min = 0;
  double max = 0;
  double mean = 0;
  std::int64_t finite = 0;
  std::int64_t no_data = 0;
};
[[nodiscard]] Statistics statistics(const cv::Mat& pixels);

enum class Palette { inferno, cividis, grey };

/// A temperature image (CV_32F °C) as 8-bit BGR over [low, high]; no-data pixels are mid-grey.
[[nodiscard]] cv::Mat render(const cv::Mat& celsius, Celsius low, Celsius high, Palette palette);

/// An 8-bit BGR or grey, or 16-bit grey, matrix as the bytes of a PNG file.
[[nodiscard]] Result<std::vector<std::byte>> encode_png(const cv::Mat& image);

}  // namespace ohmglow::imaging
