#pragma once
/// Texts in UTF-8, character by character. Unicode's rules and tables are utf8proc's.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace ohmglow {

/// What a text begins with: a character, or one byte that begins no well-formed sequence
/// (Unicode 15.0, table 3-7).
struct Character {
  char32_t code = 0;
  std::size_t bytes = 1;
  bool is_sound = false;
};

/// Of a text that is not empty.
[[nodiscard]] Character first_character(std::string_view text);

/// Whether a terminal would obey it: controls, Unicode's line and paragraph separators, and what
/// turns the direction of the text.
[[nodiscard]] bool is_control(const Character& character);

/// The offset of the first byte that is not part of a well-formed sequence, or nothing.
[[nodiscard]] std::optional<std::size_t> first_bad_utf8(std::string_view text);

/// As much of the text as goes into `most_bytes` without cutting a character.
[[nodiscard]] std::string_view whole_characters(std::string_view text, std::size_t most_bytes);

/// Bytes of what people take for one character, its marks and joined parts included (Unicode
/// Standard Annex 29); of a text that is not empty.
[[nodiscard]] std::size_t first_grapheme(std::string_view text);

/// Columns on a terminal: combining marks take none, East Asian wide characters and emoji two
/// (Unicode Standard Annex 11). Controls and bad bytes take one: something else is shown in their
/// place.
[[nodiscard]] int columns_of(const Character& character);

/// The bytes of a character in UTF-8; empty for what is none (a surrogate, say).
[[nodiscard]] std::string utf8_of(char32_t code);

/// Names that people take for the same come out the same: composed (Unicode Standard Annex 15,
/// NFC), without a difference between capital and small letters. Bytes that are no UTF-8 stay.
[[nodiscard]] std::string folded_name(std::string_view name);

}  // namespace ohmglow
