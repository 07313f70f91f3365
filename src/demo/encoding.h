#pragma once
/// How the camera's temperatures are stored in files: the open encodings that the demo shows.

#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <cstdint>
#include <filesystem>
#include <opencv2/core/mat.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::demo {

enum class EncodingId {
  tiff_counts_lzw,         ///< 0.01 K counts, declared in images.csv
  tiff_counts_json,        ///< 0.01 K counts, Deflate, declared by JSON in ImageDescription
  tiff_counts_big_endian,  ///< the same in a tiled big-endian BigTIFF
  tiff_counts_two_pages,   ///< page 1 before the start, page 2 under load
  tiff_counts_undeclared,  ///< nobody says what the counts mean: must be rejected
  tiff_float_kelvin,       ///< Deflate with the floating-point predictor
  png_counts_kelvin,
  png_counts_celsius,  ///< with an offset
  npy_celsius,
  csv_celsius,  ///< semicolon and decimal comma
  fits_celsius,
};

enum class DeclaredBy { table, file, range, nobody };

struct Encoding {
  EncodingId id{};
  std::string_view ending;
  Declaration declaration;  ///< of the stored numbers
  bool integer = false;     ///< uint16 counts, else float32
  DeclaredBy declared_by{};
  int pages = 1;
};
[[nodiscard]] const Encoding& encoding_of(EncodingId id);

/// °C (CV_64F, NaN = no data) as the stored numbers of an encoding: CV_16U or CV_32F.
[[nodiscard]] cv::Mat to_stored(const cv::Mat& celsius, const Encoding& encoding);

/// Writes the pages, each as to_stored gave it, into one file. Errors: system.
[[nodiscard]] Result<void> write_image(const std::filesystem::path& path, const Encoding& encoding,
                                       const std::vector<cv::Mat>& pages);

// --- one function a format; content as bytes, TIFF straight into its file ------------------------

[[nodiscard]] std::string npy_bytes(const cv::Mat& pixels);
[[nodiscard]] std::string csv_text(const cv::Mat& pixels);
[[nodiscard]] std::string fits_bytes(const cv::Mat& pixels);
[[nodiscard]] Result<void> write_tiff(const std::filesystem::path& path, EncodingId id,
                                      const std::vector<cv::Mat>& pages);

}  // namespace ohmglow::demo
