#pragma once
/// What a TIFF's text tags say about its numbers.

#include "readers.h"

namespace ohmglow::imaging {

/// A longer text is not looked through: an image that may declare something in it is refused.
inline constexpr std::size_t kLongestDescription = std::size_t{1} << 20;

/// The members scale, offset and unit of a JSON object; nothing where the text is no object or has
/// none of the three.
[[nodiscard]] std::optional<EmbeddedDeclaration> declaration_in_json(std::string_view text);

/// The items SCALE, OFFSET and UNITTYPE (by name or role, any case) of the XML that GDAL writes
/// into tag 42112; nothing where there are none.
[[nodiscard]] std::optional<EmbeddedDeclaration> declaration_in_gdal_metadata(std::string_view xml);

}  // namespace ohmglow::imaging
