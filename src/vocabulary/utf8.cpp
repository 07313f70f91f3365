#include "offered/vocabulary/utf8.h"

#include <array>
#include <cstdlib>
#include <memory>
#include <utf8proc.h>

namespace ohmglow {
namespace {

bool is_ascii(char c) {
  return static_cast<unsigned char>(c) < 0x80;
}

utf8proc_int32_t number_of(const Character& character) {
  return static_cast<utf8proc_int32_t>(character.code);
}

/// Embeddings, overrides and isolates (Unicode Standard Annex 9): they make what follows read
/// another way round.
bool turns_direction(char32_t code) {
  return (code >= 0x202A && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069);
}

}  // namespace

Character first_character(std::string_view text) {
  // Most characters of names and tables are ASCII; only the others are worth a call.
  if (is_ascii(text[0])) return {static_cast<char32_t>(text[0]), 1, true};
  utf8proc_int32_t code = 0;
  const auto bytes = utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(text.data()),
                                      static_cast<utf8proc_ssize_t>(text.size()), &code);
  if (bytes <= 0) return {};
  return {static_cast<char32_t>(code), static_cast<std::size_t>(bytes), true};
}

bool is_control(const Character& character) {
  if (turns_direction(character.code)) return true;
  switch (utf8proc_category(number_of(character))) {
    case UTF8PROC_CATEGORY_CC:
    case UTF8PROC_CATEGORY_ZL:
    case UTF8PROC_CATEGORY_ZP:
      return true;
    default:
      return false;
  }
}

std::optional<std::size_t> first_bad_utf8(std::string_view text) {
  for (std::size_t at = 0; at < text.size();) {
    const Character character = first_character(text.substr(at));
    if (!character.is_sound) return at;
    at += character.bytes;
  }
  return std::nullopt;
}

std::string_view whole_characters(std::string_view text, std::size_t most_bytes) {
  if (text.size() <= most_bytes) return text;
  std::size_t end = 0;
  for (;;) {
    const std::size_t bytes = first_character(text.substr(end)).bytes;
    if (end + bytes > most_bytes) return text.substr(0, end);
    end += bytes;
  }
}

std::size_t first_grapheme(std::string_view text) {
  Character last = first_character(text);
  std::size_t end = last.bytes;
  utf8proc_int32_t state = 0;
  while (last.is_sound && end < text.size()) {
    const Character next = first_character(text.substr(end));
    if (!next.is_sound ||
        utf8proc_grapheme_break_stateful(number_of(last), number_of(next), &state)) {
      break;
    }
    end += next.bytes;
    last = next;
  }
  return end;
}

int columns_of(const Character& character) {
  if (!character.is_sound || is_control(character)) return 1;
  return utf8proc_charwidth(number_of(character));
}

std::string utf8_of(char32_t code) {
  if (utf8proc_codepoint_valid(static_cast<utf8proc_int32_t>(code)) == 0) return {};
  std::array<utf8proc_uint8_t, 4> bytes{};
  const auto count = utf8proc_encode_char(static_cast<utf8proc_int32_t>(code), bytes.data());
  return {reinterpret_cast<const char*>(bytes.data()), static_cast<std::size_t>(count)};
}

std::string folded_name(std::string_view name) {
  utf8proc_uint8_t* mapped = nullptr;
  const auto bytes = utf8proc_map(
      reinterpret_cast<const utf8proc_uint8_t*>(name.data()),
      static_cast<utf8proc_ssize_t>(name.size()), &mapped,
      static_cast<utf8proc_option_t>(UTF8PROC_STABLE | UTF8PROC_COMPOSE | UTF8PROC_CASEFOLD));
  const std::unique_ptr<utf8proc_uint8_t, decltype(&std::free)> owner(mapped, &std::free);
  if (bytes < 0) return std::string(name);
  return {reinterpret_cast<const char*>(mapped), static_cast<std::size_t>(bytes)};
}

}  // namespace ohmglow
