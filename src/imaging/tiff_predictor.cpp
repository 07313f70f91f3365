// Own: libtiff undoes predictors within its own decoders alone. A vector at a time, that is 3 % of
// a deflate frame; whole assessments of float frames take two thirds of bare libtiff's decoding
// (docs/performance.md).
#include "tiff_predictor.h"

#include "readers.h"

#include <bit>
#if defined(__SSE2__)
#include <emmintrin.h>
#endif

namespace ohmglow::imaging {
namespace {

#if defined(__SSE2__)

constexpr std::size_t kVector = sizeof(__m128i);

template <class Element>
__m128i sum(__m128i a, __m128i b) {
  if constexpr (sizeof(Element) == 1) return _mm_add_epi8(a, b);
  if constexpr (sizeof(Element) == 2) return _mm_add_epi16(a, b);
  if constexpr (sizeof(Element) == 4) return _mm_add_epi32(a, b);
  if constexpr (sizeof(Element) == 8) return _mm_add_epi64(a, b);
}

/// Each element with those before it in the vector.
template <class Element>
__m128i running_sum(__m128i v) {
  if constexpr (sizeof(Element) <= 1) v = sum<Element>(v, _mm_slli_si128(v, 1));
  if constexpr (sizeof(Element) <= 2) v = sum<Element>(v, _mm_slli_si128(v, 2));
  if constexpr (sizeof(Element) <= 4) v = sum<Element>(v, _mm_slli_si128(v, 4));
  return sum<Element>(v, _mm_slli_si128(v, 8));
}

/// The last element everywhere.
template <class Element>
__m128i last_of(__m128i v) {
  if constexpr (sizeof(Element) == 8) return _mm_unpackhi_epi64(v, v);
  if constexpr (sizeof(Element) == 1) v = _mm_unpackhi_epi8(v, v);
  if constexpr (sizeof(Element) <= 2) v = _mm_shufflehi_epi16(v, 0xFF);
  return _mm_shuffle_epi32(v, 0xFF);
}

__m128i load(const std::byte* from) {
  return _mm_loadu_si128(reinterpret_cast<const __m128i*>(from));
}
void store(std::byte* to, __m128i v) {
  _mm_storeu_si128(reinterpret_cast<__m128i*>(to), v);
}

/// Accumulates as many elements as fill whole vectors; how many, with the sum so far in `carry`.
template <class Element>
std::size_t accumulate_vectors(std::byte* data, std::size_t pixels, Element& carry) {
  constexpr std::size_t kElements = kVector / sizeof(Element);
  __m128i before = _mm_setzero_si128();
  std::size_t done = 0;
  for (; done + kElements <= pixels; done += kElements) {
    std::byte* const at = data + done * sizeof(Element);
    const __m128i sums = sum<Element>(running_sum<Element>(load(at)), before);
    store(at, sums);
    before = last_of<Element>(sums);
  }
  std::memcpy(&carry, &before, sizeof carry);
  return done;
}

/// Four planes of bytes, the most significant first, to little-endian elements of four bytes; how
/// many of them fill whole vectors.
std::size_t interleave_vectors(const std::byte* planes, std::size_t pixels, std::byte* to) {
  std::size_t done = 0;
  for (; done + kVector <= pixels; done += kVector) {
    const __m128i top = load(planes + done);
    const __m128i second = load(planes + pixels + done);
    const __m128i third = load(planes + 2 * pixels + done);
    const __m128i low = load(planes + 3 * pixels + done);
    const __m128i low_a = _mm_unpacklo_epi8(low, third);
    const __m128i low_b = _mm_unpackhi_epi8(low, third);
    const __m128i high_a = _mm_unpacklo_epi8(second, top);
    const __m128i high_b = _mm_unpackhi_epi8(second, top);
    std::byte* const at = to + 4 * done;
    store(at, _mm_unpacklo_epi16(low_a, high_a));
    store(at + kVector, _mm_unpackhi_epi16(low_a, high_a));
    store(at + 2 * kVector, _mm_unpacklo_epi16(low_b, high_b));
    store(at + 3 * kVector, _mm_unpackhi_epi16(low_b, high_b));
  }
  return done;
}

#else

template <class Element>
std::size_t accumulate_vectors(std::byte*, std::size_t, Element&) {
  return 0;
}
std::size_t interleave_vectors(const std::byte*, std::size_t, std::byte*) {
  return 0;
}

#endif

/// TIFF 6.0, section 14: each element holds the difference to its left neighbour, modulo its size.
template <class Element>
void accumulate(std::byte* data, std::size_t pixels) {
  Element sum = 0;
  for (std::size_t x = accumulate_vectors(data, pixels, sum); x < pixels; ++x) {
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
  const std::size_t done = element_bytes == 4 ? interleave_vectors(planes.data(), pixels, data) : 0;
  for (std::size_t plane = 0; plane < element_bytes; ++plane) {
    const std::size_t to =
        std::endian::native == std::endian::little ? element_bytes - 1 - plane : plane;
    for (std::size_t x = done; x < pixels; ++x) {
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
