#include "tiff_predictor.h"

#include "readers.h"

#include <bit>

namespace ohmglow::imaging {
namespace {

/// TIFF 6.0, section 14: each element holds the difference to its left neighbour, modulo its size.
template <class Element>
void accumulate(std::byte* data, std::size_t pixels) {
  Element sum = 0;
  for (std::size_t x = 0; x < pixels; ++x) {
    Element difference;
    std::memcpy(&difference, data + x * sizeof sum, sizeof sum);
    sum = static_cast<Element>(sum + difference);
    std::memcpy(data + x * sizeof sum, &sum, sizeof sum);
  }
}

void accumulate(std::byte* data, std::size_t pixels, std::size_t element_bytes) {
  switch (element_bytes) {
    case 1:
      return accumulate<std::uint8_t>(data, pixels);
    case 2:
      return accumulate<std::uint16_t>(data, pixels);
    case 4:
      return accumulate<std::uint32_t>(data, pixels);
    default:
      return accumulate<std::uint64_t>(data, pixels);
  }
}

/// TIFF Technical Note 3: a row is stored as planes of bytes, the most significant plane first,
/// whatever the byte order of the file, and then differenced byte by byte.
void interleave(std::byte* data, std::size_t pixels, std::size_t element_bytes,
                std::vector<std::byte>& planes) {
  accumulate<std::uint8_t>(data, pixels * element_bytes);
  planes.assign(data, data + pixels * element_bytes);
  for (std::size_t plane = 0; plane < element_bytes; ++plane) {
    const std::size_t to =
        std::endian::native == std::endian::little ? element_bytes - 1 - plane : plane;
    for (std::size_t x = 0; x < pixels; ++x) {
      data[x * element_bytes + to] = planes[plane * pixels + x];
    }
  }
}

}  // namespace

void undo_predictor(std::byte* data, std::size_t rows, std::size_t pixels,
                    std::size_t element_bytes, Predictor predictor, bool swapped) {
  if (predictor != Predictor::floating_point && swapped) {
    swap_bytes(data, rows * pixels, element_bytes);
  }
  if (predictor == Predictor::none) return;
  std::vector<std::byte> planes;
  for (std::size_t y = 0; y < rows; ++y) {
    std::byte* const row = data + y * pixels * element_bytes;
    if (predictor == Predictor::horizontal) {
      accumulate(row, pixels, element_bytes);
    } else {
      interleave(row, pixels, element_bytes, planes);
    }
  }
}

}  // namespace ohmglow::imaging
