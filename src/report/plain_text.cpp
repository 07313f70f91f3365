#include "offered/report/plain_text.h"

#include "offered/vocabulary/utf8.h"

#include <algorithm>
#include <cstddef>

namespace ohmglow::report {
namespace {

constexpr std::string_view kReplacement = "\uFFFD";
constexpr std::string_view kEllipsis = "…";

bool is_noncharacter(char32_t code) {
  return (code & 0xFFFE) == 0xFFFE;
}

// How many bytes of the text fill at most `width` columns, cut where people see one character end.
std::size_t bytes_within(std::string_view text, int width) {
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t bytes = first_grapheme(text.substr(at));
    width -= display_width(text.substr(at, bytes));
    if (width < 0) break;
    at += bytes;
  }
  return at;
}

}  // namespace

std::string printable(std::string_view text) {
  std::string result;
  result.reserve(text.size());
  while (!text.empty()) {
    const Character c = first_character(text);
    if (!c.is_sound || is_noncharacter(c.code)) {
      result += kReplacement;
    } else if (is_control(c)) {
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
    const Character c = first_character(text);
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
      const std::size_t part = std::max(bytes_within(word, width), first_grapheme(word));
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
