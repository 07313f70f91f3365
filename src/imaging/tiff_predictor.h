#pragma once
/// Undoing what a TIFF writer did to rows before compressing them.

#include <cstddef>

namespace ohmglow::imaging {

enum class Predictor { none = 1, horizontal = 2, floating_point = 3 };

/// `rows` rows of `pixels` elements each, as they came out of the decompressor, become elements in
/// the byte order of this machine. `swapped`: the file has the other byte order.
void undo_predictor(std::byte* data, std::size_t rows, std::size_t pixels,
                    std::size_t element_bytes, Predictor predictor, bool swapped);

}  // namespace ohmglow::imaging
