#include "ohmglow/plain_text.h"

#include <algorithm>
#include <array>
#include <cstddef>

namespace ohmglow::report {
namespace {

constexpr std::string_view kReplacement = "\uFFFD";
constexpr std::string_view kEllipsis = "…";

struct Character {
  char32_t code = 0;
  std::size_t bytes = 1;
  bool sound = false;
};

bool is_continuation(char c) {
  return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

// One character of UTF-8 (RFC 3629): overlong forms, surrogates and codes over U+10FFFF are
// unsound.
Character next(std::string_view text) {
  struct Form {
    unsigned char mask, lead;
    std::size_t bytes;
    char32_t smallest;
  };
  static constexpr std::array<Form, 4> kForms{{{0x80, 0x00, 1, 0},
                                               {0xE0, 0xC0, 2, 0x80},
                                               {0xF0, 0xE0, 3, 0x800},
                                               {0xF8, 0xF0, 4, 0x10000}}};
  const auto lead = static_cast<unsigned char>(text[0]);
  for (const Form& form : kForms) {
    if ((lead & form.mask) != form.lead) continue;
    if (text.size() < form.bytes) return {};
    char32_t code = lead & static_cast<unsigned char>(~form.mask);
    for (std::size_t i = 1; i < form.bytes; ++i) {
      if (!is_continuation(text[i])) return {};
      code = (code << 6U) | (static_cast<unsigned char>(text[i]) & 0x3FU);
    }
    const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
    if (code < form.smallest || code > 0x10FFFF || surrogate) return {};
    return {code, form.bytes, true};
  }
  return {};
}

bool is_control(char32_t code) {
  return code < 0x20 || (code >= 0x7F && code < 0xA0) || code == 0x2028 || code == 0x2029;
}

bool is_noncharacter(char32_t code) {
  return (code & 0xFFFE) == 0xFFFE;
}

struct Range {
  char32_t from, to;
};

bool lies_in(char32_t code, const auto& ranges) {
  return std::any_of(ranges.begin(), ranges.end(),
                     [code](const Range& r) { return code >= r.from && code <= r.to; });
}

// The large blocks of Unicode's "Mn", "Me" and "Cf" characters; enough for the scripts people name
// equipment in.
constexpr std::array<Range, 9> kZeroWidth{{{0x0300, 0x036F},
                                           {0x0483, 0x0489},
                                           {0x0591, 0x05BD},
                                           {0x0610, 0x061A},
                                           {0x064B, 0x065F},
                                           {0x200B, 0x200F},
                                           {0x202A, 0x202E},
                                           {0x20D0, 0x20F0},
                                           {0xFE00, 0xFE0F}}};
// Unicode Standard Annex 11, the blocks of class W and F.
constexpr std::array<Range, 10> kWide{{{0x1100, 0x115F},
                                       {0x2E80, 0x303E},
                                       {0x3041, 0xA4CF},
                                       {0xA960, 0xA97F},
                                       {0xAC00, 0xD7A3},
                                       {0xF900, 0xFAFF},
                                       {0xFE30, 0xFE6F},
                                       {0xFF00, 0xFF60},
                                       {0x1F300, 0x1FAFF},
                                       {0x20000, 0x3FFFD}}};

int columns_of(const Character& c) {
  if (!c.sound) return 1;
  if (lies_in(c.code, kZeroWidth)) return 0;
  return lies_in(c.code, kWide) ? 2 : 1;
}

// How many bytes of the text fill at most `width` columns; at least one character.
std::size_t bytes_within(std::string_view text, int width) {
  std::size_t at = 0;
  int used = 0;
  while (at < text.size()) {
    const Character c = next(text.substr(at));
    used += columns_of(c);
    if (used > width && at > 0) break;
    at += c.bytes;
  }
  return at;
}

}  // namespace

std::string printable(std::string_view text) {
  std::string result;
  result.reserve(text.size());
  while (!text.empty()) {
    const Character c = next(text);
    if (!c.sound || is_noncharacter(c.code)) {
      result += kReplacement;
    } else if (is_control(c.code)) {
      result += ' ';
    } else {
      result += text.substr(0, c.bytes);
    }
    text.remove_prefix(c.bytes);
  }
  return result;
}

int display_width(std::string_view text) {
  int width = 0;
  while (!text.empty()) {
    const Character c = next(text);
    width += columns_of(c);
    text.remove_prefix(c.bytes);
  }
  return width;
}

std::string shorten(std::string_view text, int width) {
  if (display_width(text) <= width) return std::string(text);
  if (width <= 1) return std::string(kEllipsis);
  std::string cut(text.substr(0, bytes_within(text, width - 1)));
  while (!cut.empty() && cut.back() == ' ') cut.pop_back();
  return cut.append(kEllipsis);
}

std::vector<std::string> wrap(std::string_view text, int width) {
  std::vector<std::string> lines(1);
  int used = 0;
  const auto start_line = [&] {
    lines.emplace_back();
    used = 0;
  };
  while (!text.empty()) {
    const std::size_t word_begin = text.find_first_not_of(' ');
    if (word_begin == std::string_view::npos) break;
    text.remove_prefix(word_begin);
    std::string_view word = text.substr(0, text.find(' '));
    text.remove_prefix(word.size());
    if (used > 0 && used + 1 + display_width(word) > width) start_line();
    if (used > 0) {
      lines.back() += ' ';
      ++used;
    }
    while (display_width(word) > width) {
      const std::size_t part = bytes_within(word, width);
      if (part >= word.size()) break;
      lines.back() += word.substr(0, part);
      word.remove_prefix(part);
      start_line();
    }
    lines.back() += word;
    used += display_width(word);
  }
  return lines;
}

std::string padded(std::string text, int width) {
  const int missing = width - display_width(text);
  if (missing > 0) text.append(static_cast<std::size_t>(missing), ' ');
  return text;
}

std::string escape(std::string_view text) {
  const std::string safe = printable(text);
  std::string result;
  result.reserve(safe.size());
  for (const char c : safe) {
    switch (c) {
      case '&':
        result += "&amp;";
        break;
      case '<':
        result += "&lt;";
        break;
      case '>':
        result += "&gt;";
        break;
      case '"':
        result += "&quot;";
        break;
      case '\'':
        result += "&#39;";
        break;
      default:
        result += c;
    }
  }
  return result;
}

}  // namespace ohmglow::report
