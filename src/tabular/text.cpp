#include "text.h"

#include <array>
#include <cstdint>

namespace ohmglow::tabular {
namespace {

/// A row of Unicode 15.0, table 3-7: lead bytes, the range of the second byte, bytes in all.
struct Sequence {
  std::uint8_t first_from, first_to, second_from, second_to;
  std::size_t bytes;
};
constexpr std::array<Sequence, 8> kSequences{{{0xC2, 0xDF, 0x80, 0xBF, 2},
                                              {0xE0, 0xE0, 0xA0, 0xBF, 3},
                                              {0xE1, 0xEC, 0x80, 0xBF, 3},
                                              {0xED, 0xED, 0x80, 0x9F, 3},
                                              {0xEE, 0xEF, 0x80, 0xBF, 3},
                                              {0xF0, 0xF0, 0x90, 0xBF, 4},
                                              {0xF1, 0xF3, 0x80, 0xBF, 4},
                                              {0xF4, 0xF4, 0x80, 0x8F, 4}}};

bool within(char c, std::uint8_t from, std::uint8_t to) {
  const auto byte = static_cast<std::uint8_t>(c);
  return byte >= from && byte <= to;
}

/// Bytes of the well-formed sequence that the text begins with; 0 where there is none.
std::size_t sequence_at(std::string_view text) {
  for (const Sequence& s : kSequences) {
    if (!within(text[0], s.first_from, s.first_to)) continue;
    if (text.size() < s.bytes || !within(text[1], s.second_from, s.second_to)) return 0;
    for (std::size_t i = 2; i < s.bytes; ++i) {
      if (!within(text[i], 0x80, 0xBF)) return 0;
    }
    return s.bytes;
  }
  return 0;
}

}  // namespace

std::optional<std::size_t> first_bad_utf8(std::string_view text) {
  for (std::size_t at = 0; at < text.size();) {
    if (within(text[at], 0x00, 0x7F)) {
      ++at;
      continue;
    }
    const std::size_t bytes = sequence_at(text.substr(at));
    if (bytes == 0) return at;
    at += bytes;
  }
  return std::nullopt;
}

}  // namespace ohmglow::tabular
