#include "records/files/shown.h"

#include "offered/vocabulary/utf8.h"

#include <algorithm>

namespace ohmglow::records {
namespace {

constexpr std::size_t kLongestShown = 60;

bool is_control(char c) {
  return static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
}

}  // namespace

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view kBlanks = " \t\r\n";
  const auto from = text.find_first_not_of(kBlanks);
  if (from == std::string_view::npos) return {};
  return text.substr(from, text.find_last_not_of(kBlanks) - from + 1);
}

std::string lower_case(std::string_view text) {
  std::string lower(text);
  std::transform(lower.begin(), lower.end(), lower.begin(), [](char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  });
  return lower;
}

std::string shown(std::string_view value) {
  std::string text(whole_characters(value, kLongestShown));
  if (text.size() < value.size()) text += "…";
  std::replace_if(text.begin(), text.end(), is_control, ' ');
  return text;
}

bool has_control_characters(std::string_view text) {
  return std::any_of(text.begin(), text.end(),
                     [](char c) { return is_control(c) && c != '\t' && c != '\n' && c != '\r'; });
}

}  // namespace ohmglow::records
