#include "readers.h"

#include <algorithm>
#include <array>
#include <limits>

namespace ohmglow::imaging {
namespace {

struct Depth {
  int depth;
  std::size_t bytes;
  std::string_view numpy;
};
constexpr std::array<Depth, 6> kDepths{{{CV_8U, 1, "uint8"},
                                        {CV_16U, 2, "uint16"},
                                        {CV_16S, 2, "int16"},
                                        {CV_32S, 4, "int32"},
                                        {CV_32F, 4, "float32"},
                                        {CV_64F, 8, "float64"}}};

const Depth& row_of(int depth) {
  return *std::find_if(kDepths.begin(), kDepths.end() - 1,
                       [depth](const Depth& d) { return d.depth == depth; });
}

std::string size_text(const Claim& claim) {
  return std::to_string(claim.width) + " x " + std::to_string(claim.height) + " pixels of " +
         std::string(numpy_name(claim.depth));
}

Error over_limit(const Claim& claim, std::uint64_t limit, std::string_view unit) {
  return {.kind = ErrorKind::too_large,
          .what = "the image is larger than this program may read",
          .found = size_text(claim),
          .expected = "at most " + std::to_string(limit) + " " + std::string(unit),
          .mend = "check the file, or raise the limit"};
}

/// Width times height; both are at most 2^31 by then.
std::uint64_t pixels_of(const Claim& claim) {
  return claim.width * claim.height;
}

template <class Element, Element (*Swap)(Element)>
void swap_each(std::byte* data, std::size_t elements) {
  for (std::size_t i = 0; i < elements; ++i) {
    Element value;
    std::memcpy(&value, data + i * sizeof value, sizeof value);
    value = Swap(value);
    std::memcpy(data + i * sizeof value, &value, sizeof value);
  }
}

std::uint16_t swap16(std::uint16_t v) {
  return __builtin_bswap16(v);
}
std::uint32_t swap32(std::uint32_t v) {
  return __builtin_bswap32(v);
}
std::uint64_t swap64(std::uint64_t v) {
  return __builtin_bswap64(v);
}

}  // namespace

std::size_t bytes_of(int depth) {
  return row_of(depth).bytes;
}

std::string_view numpy_name(int depth) {
  return row_of(depth).numpy;
}

Result<void> check_size(const Claim& claim, const ReadLimits& limits) {
  if (claim.width == 0 || claim.height == 0) {
    return fail(damaged("the image declares no pixels (" + size_text(claim) + ")"));
  }
  constexpr std::uint64_t kMostSide = std::numeric_limits<int>::max();
  if (claim.width > kMostSide || claim.height > kMostSide || pixels_of(claim) > limits.max_pixels) {
    return fail(over_limit(claim, limits.max_pixels, "pixels"));
  }
  if (pixels_of(claim) > limits.max_bytes / bytes_of(claim.depth)) {
    return fail(over_limit(claim, limits.max_bytes, "bytes"));
  }
  return {};
}

Result<cv::Mat> allocate(const Claim& claim, const ReadOptions& options) {
  if (const auto sound = check_size(claim, options.limits); !sound) return fail(sound.error());
  const cv::Size size(static_cast<int>(claim.width), static_cast<int>(claim.height));
  const int type = CV_MAKETYPE(claim.depth, 1);
  return options.memory != nullptr ? options.memory->pixels(size, type) : cv::Mat(size, type);
}

Result<void> check_plausible(const Claim& claim, std::uint64_t stored, std::uint64_t most_ratio) {
  // In floating point because each factor may be near 2^64.
  const double decoded = static_cast<double>(claim.width) * static_cast<double>(claim.height) *
                         static_cast<double>(bytes_of(claim.depth));
  if (decoded <= static_cast<double>(stored) * static_cast<double>(most_ratio)) return {};
  return fail(damaged("the file is too short for the " + size_text(claim) + " that it declares (" +
                      std::to_string(stored) + " bytes of data)"));
}

Result<void> check_page(int page, std::uint64_t pages) {
  if (page >= 1 && static_cast<std::uint64_t>(page) <= pages) return {};
  return fail(
      {.kind = ErrorKind::invalid_value,
       .what = "there is no such page",
       .found = std::to_string(page),
       .expected = pages == 1 ? "1 (the file has one page)" : "1 to " + std::to_string(pages),
       .mend = "correct the page",
       .place = {.column = "page"}});
}

void swap_bytes(std::byte* data, std::size_t elements, std::size_t element_bytes) {
  if (element_bytes == 2) swap_each<std::uint16_t, swap16>(data, elements);
  if (element_bytes == 4) swap_each<std::uint32_t, swap32>(data, elements);
  if (element_bytes == 8) swap_each<std::uint64_t, swap64>(data, elements);
}

Error picture_error(std::string found) {
  return {.kind = ErrorKind::not_this_format,
          .what = "this is a picture of temperatures, not temperatures",
          .found = std::move(found),
          .expected = "one number a pixel",
          .mend = std::string(kExportAdvice)};
}

Error damaged(std::string what, std::optional<std::uint64_t> byte_offset) {
  return {.kind = ErrorKind::damaged,
          .what = std::move(what),
          .mend = "copy or export the file again",
          .place = {.byte_offset = byte_offset}};
}

Error unsupported(std::string what, std::string found, std::string expected) {
  return {.kind = ErrorKind::unsupported,
          .what = std::move(what),
          .found = std::move(found),
          .expected = std::move(expected),
          .mend = std::string(kExportAdvice)};
}

std::string excerpt(std::string_view text) {
  constexpr std::size_t kMost = 60;
  std::string shown(text.substr(0, kMost));
  for (char& c : shown) {
    if (c < ' ' || c > '~') c = '?';
  }
  if (text.size() > kMost) shown += "...";
  return shown;
}

}  // namespace ohmglow::imaging
