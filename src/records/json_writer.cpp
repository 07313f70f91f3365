#include "records/json_writer.h"

#include "records/json_text.h"

#include <charconv>
#include <cmath>

namespace ohmglow::records {
namespace {

constexpr std::size_t kLongestNumber = 64;

bool is_plain(unsigned char byte) {
  return byte >= 0x20 && byte < 0x80 && byte != '"' && byte != '\\';
}

bool is_between(unsigned char byte, unsigned char low, unsigned char high) {
  return byte >= low && byte <= high;
}

/// How many bytes the character takes that begins here, as Unicode's table 3-7 allows them; 0 for
/// malformed ones.
std::size_t character(std::string_view text) {
  const auto byte = [text](std::size_t i) {
    return i < text.size() ? static_cast<unsigned char>(text[i]) : static_cast<unsigned char>(0);
  };
  const auto follow = [&byte](std::size_t first, std::size_t last) {
    for (std::size_t i = first; i <= last; ++i) {
      if (!is_between(byte(i), 0x80, 0xBF)) return false;
    }
    return true;
  };
  const unsigned char lead = byte(0);
  const unsigned char second = byte(1);
  if (is_between(lead, 0xC2, 0xDF)) return follow(1, 1) ? 2 : 0;
  if (is_between(lead, 0xE0, 0xEF)) {
    const bool is_overlong = lead == 0xE0 && second < 0xA0;
    const bool is_surrogate = lead == 0xED && second > 0x9F;
    return !is_overlong && !is_surrogate && follow(1, 2) ? 3 : 0;
  }
  if (is_between(lead, 0xF0, 0xF4)) {
    const bool is_overlong = lead == 0xF0 && second < 0x90;
    const bool is_beyond = lead == 0xF4 && second > 0x8F;
    return !is_overlong && !is_beyond && follow(1, 3) ? 4 : 0;
  }
  return 0;
}

/// Whether a text stands in JSON as it is.
bool needs_no_escape(std::string_view text) {
  std::size_t i = 0;
  while (i < text.size()) {
    const auto byte = static_cast<unsigned char>(text[i]);
    const std::size_t length = is_plain(byte) ? 1 : byte < 0x80 ? 0 : character(text.substr(i, 4));
    if (length == 0) return false;
    i += length;
  }
  return true;
}

template <class Whole>
void append_whole(std::string& text, Whole value) {
  std::array<char, kLongestNumber> digits;
  const auto end = std::to_chars(digits.data(), digits.data() + digits.size(), value).ptr;
  text.append(digits.data(), end);
}

}  // namespace

void JsonWriter::whole(std::int64_t value) {
  append_whole(text_, value);
}
void JsonWriter::whole(std::uint64_t value) {
  append_whole(text_, value);
}

void JsonWriter::number(double value) {
  if (!std::isfinite(value)) return null();
  std::array<char, kLongestNumber> digits;
  // The tree's own digits: both ways of writing must give the same text.
  const char* const end =
      nlohmann::detail::to_chars(digits.data(), digits.data() + digits.size(), value);
  text_.append(digits.data(), static_cast<std::size_t>(end - digits.data()));
}

void JsonWriter::string(std::string_view value) {
  if (needs_no_escape(value)) {
    text_.append(1, '"').append(value).append(1, '"');
  } else {
    text_ += dumped(OrderedJson(value));
  }
}

void JsonWriter::open(char bracket) {
  text_ += bracket;
  ++depth_;
}

void JsonWriter::next(bool& is_first) {
  if (!is_first) text_ += ',';
  is_first = false;
  if (is_broken_) break_line();
}

void JsonWriter::key(std::string_view name) {
  string(name);
  text_.append(is_broken_ ? ": " : ":");
}

void JsonWriter::members_of(std::string_view object) {
  constexpr std::string_view kBlanks = " \n";
  object = object.substr(1, object.size() - 2);
  object.remove_prefix(object.find_first_not_of(kBlanks));
  text_ += object.substr(0, object.find_last_not_of(kBlanks) + 1);
}

void JsonWriter::close(char bracket, bool is_empty) {
  --depth_;
  if (is_broken_ && !is_empty) break_line();
  text_ += bracket;
}

void JsonWriter::break_line() {
  text_.append(1, '\n').append(depth_, ' ');
}

}  // namespace ohmglow::records
