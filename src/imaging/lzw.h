#pragma once
/// LZW as TIFF uses it.

#include <cstddef>
#include <optional>
#include <span>

namespace ohmglow::imaging {

/// Decodes TIFF 6.0, section 13, until the strip ends, the end-of-information code, a code that
/// cannot be, or a full room. Decoded here because libtiff's decoder stops in silence where the
/// room ends. Returns the bytes decoded, and one more than the room holds where the strip holds
/// more than that; nothing for a strip that does not begin with a clear, as none of the older
/// variant with reversed bits does, and for rooms over 4 GB.
[[nodiscard]] std::optional<std::size_t> decode_lzw(std::span<const std::byte> strip,
                                                    std::span<std::byte> room);

}  // namespace ohmglow::imaging
