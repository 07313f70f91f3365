#include "offered/tabular/tabular.h"
#include "offered/vocabulary/utf8.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <iterator>

namespace ohmglow::tabular {
namespace {

/// Windows-1252 from 0x80 to 0x9F as the Unicode Consortium maps it (CP1252.TXT); 0 = not used.
constexpr std::array<char32_t, 32> kUpperControls{
    0x20AC, 0,      0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, 0,      0x017D, 0,      0,      0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0,      0x017E, 0x0178};

/// The places of high and low surrogates (Unicode 15.0, section 3.9).
constexpr char32_t kHigh = 0xD800;
constexpr char32_t kLow = 0xDC00;
constexpr char32_t kAfterLow = 0xE000;
constexpr char32_t kAboveUnits = 0x10000;

bool is_high(char32_t unit) {
  return unit >= kHigh && unit < kLow;
}
bool is_low(char32_t unit) {
  return unit >= kLow && unit < kAfterLow;
}

/// The 16-bit unit at a byte; above all units where the text ends.
char32_t unit_at(std::string_view bytes, std::size_t at, Encoding encoding) {
  if (at + 1 >= bytes.size()) return kAboveUnits;
  const auto first = static_cast<unsigned char>(bytes[at]);
  const auto second = static_cast<unsigned char>(bytes[at + 1]);
  return encoding == Encoding::utf_16_le ? first | second << 8 : first << 8 | second;
}

void put_unit(std::string& bytes, char32_t unit, Encoding encoding) {
  const char low = static_cast<char>(unit & 0xFF);
  const char high = static_cast<char>(unit >> 8);
  const bool little = encoding == Encoding::utf_16_le;
  bytes += little ? low : high;
  bytes += little ? high : low;
}

Result<Decoded> from_utf_16(std::string_view bytes, Encoding encoding) {
  Decoded result{.text = {}, .encoding = encoding};
  result.text.reserve(bytes.size());
  for (std::size_t at = 0; at < bytes.size();) {
    const char32_t unit = unit_at(bytes, at, encoding);
    char32_t code = unit;
    std::size_t taken = 2;
    if (is_high(unit)) {
      const char32_t low = unit_at(bytes, at + 2, encoding);
      code = is_low(low) ? kAboveUnits + ((unit - kHigh) << 10) + (low - kLow) : kHigh;
      taken = 4;
    }
    if (unit == kAboveUnits || is_low(code) || is_high(code)) {
      return fail({.kind = ErrorKind::damaged,
                   .what = "this text begins as UTF-16 and breaks off inside a character",
                   .mend = "save it again, as CSV in UTF-8",
                   .place = {.byte_offset = at}});
    }
    result.text += utf8_of(code);
    at += taken;
  }
  return result;
}

Result<Decoded> from_windows_1252(std::string_view bytes) {
  Decoded result{.text = {}, .encoding = Encoding::windows_1252};
  result.text.reserve(bytes.size() + bytes.size() / 8);
  for (std::size_t at = 0; at < bytes.size(); ++at) {
    const auto byte = static_cast<unsigned char>(bytes[at]);
    const char32_t code =
        byte >= 0x80 && byte < 0xA0 ? kUpperControls[byte - 0x80U] : char32_t{byte};
    if (code == 0 && byte != 0) {
      return fail({.kind = ErrorKind::not_this_format,
                   .what = "this text is encoded neither in UTF-8 nor in Windows-1252",
                   .mend = "save it as CSV in UTF-8",
                   .place = {.byte_offset = at}});
    }
    result.text += utf8_of(code);
  }
  return result;
}

/// The byte of a character in Windows-1252.
std::optional<char> windows_1252_of(char32_t code) {
  if (code < 0x80 || (code >= 0xA0 && code <= 0xFF)) return static_cast<char>(code);
  const auto at = std::find(kUpperControls.begin(), kUpperControls.end(), code);
  if (at == kUpperControls.end()) return std::nullopt;
  return static_cast<char>(0x80 + std::distance(kUpperControls.begin(), at));
}

}  // namespace

Result<Decoded> decoded(std::string bytes) {
  if (bytes.starts_with("\xFF\xFE")) return from_utf_16(bytes, Encoding::utf_16_le);
  if (bytes.starts_with("\xFE\xFF")) return from_utf_16(bytes, Encoding::utf_16_be);
  if (!first_bad_utf8(bytes)) return Decoded{std::move(bytes), Encoding::utf_8};
  return from_windows_1252(bytes);
}

Result<std::string> encoded(std::string_view text, Encoding encoding) {
  if (encoding == Encoding::utf_8) return std::string(text);
  std::string bytes;
  while (!text.empty()) {
    const Character character = first_character(text);
    if (encoding == Encoding::windows_1252) {
      const auto byte = windows_1252_of(character.code);
      if (!byte) {
        return fail({.kind = ErrorKind::invalid_value,
                     .what = "the table is encoded in Windows-1252, which lacks this character",
                     .found = std::string(text.substr(0, character.bytes)),
                     .mend = "save the table as CSV in UTF-8 first"});
      }
      bytes += *byte;
    } else if (character.code < kAboveUnits) {
      put_unit(bytes, character.code, encoding);
    } else {
      const char32_t above = character.code - kAboveUnits;
      put_unit(bytes, kHigh + (above >> 10), encoding);
      put_unit(bytes, kLow + (above & 0x3FF), encoding);
    }
    text.remove_prefix(character.bytes);
  }
  return bytes;
}

}  // namespace ohmglow::tabular
