#pragma once
/// The reader of each format, and what all of them check before they allocate.

#include "ohmglow/imaging.h"

#include <cstring>

namespace ohmglow::imaging {

using Bytes = std::span<const std::byte>;

[[nodiscard]] Result<StoredImage> read_tiff(Bytes file, const ReadOptions& options);
[[nodiscard]] Result<StoredImage> read_png(Bytes file, const ReadOptions& options);
[[nodiscard]] Result<StoredImage> read_npy(Bytes file, const ReadOptions& options);
[[nodiscard]] Result<StoredImage> read_fits(Bytes file, const ReadOptions& options);
[[nodiscard]] Result<StoredImage> read_matrix(std::string_view text, const ReadOptions& options);

/// What a file claims that one page of it is.
struct Claim {
  std::uint64_t width = 0;
  std::uint64_t height = 0;
  int depth = CV_8U;  ///< an OpenCV depth
};

[[nodiscard]] std::size_t bytes_of(int depth);
[[nodiscard]] std::string_view numpy_name(int depth);

/// Whether a claim is within the limits. Errors: damaged, too_large.
[[nodiscard]] Result<void> check_size(const Claim& claim, const ReadLimits& limits);

/// Pixels for a claim that is within the limits, not initialised.
[[nodiscard]] Result<cv::Mat> allocate(const Claim& claim, const ReadOptions& options);

/// Whether `stored` bytes can hold the claim when one of them yields `most_ratio` at most.
[[nodiscard]] Result<void> check_plausible(const Claim& claim, std::uint64_t stored,
                                           std::uint64_t most_ratio);

/// Whether there is such a page.
[[nodiscard]] Result<void> check_page(int page, std::uint64_t pages);

/// Turns the bytes of each element of a buffer around.
void swap_bytes(std::byte* data, std::size_t elements, std::size_t element_bytes);

/// "this is a picture of temperatures, not temperatures", and what to export instead.
[[nodiscard]] Error picture_error(std::string found);
[[nodiscard]] Error damaged(std::string what, std::optional<std::uint64_t> byte_offset = {});
[[nodiscard]] Error unsupported(std::string what, std::string found, std::string expected);

/// Foreign text as it may stand in a message: short, printable ASCII.
[[nodiscard]] std::string excerpt(std::string_view text);

inline constexpr std::string_view kExportAdvice =
    "export the image as a 16-bit TIFF or as a CSV matrix of temperatures";

}  // namespace ohmglow::imaging
