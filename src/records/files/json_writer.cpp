// Own: the JSON library writes from a tree of values alone, which findings.json goes without;
// digits and escapes are the library's. The gain was not measured apart.
#include "offered/files/json_writer.h"

#include "offered/vocabulary/utf8.h"
#include "records/files/json_text.h"

#include <charconv>
#include <cmath>

namespace ohmglow::records {
namespace {

constexpr std::size_t kLongestNumber = 64;

bool is_plain(unsigned char byte) {
  return byte >= 0x20 && byte < 0x80 && byte != '"' && byte != '\\';
}

/// Whether a text stands in JSON as it is.
bool needs_no_escape(std::string_view text) {
  std::size_t i = 0;
  while (i < text.size()) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if (is_plain(byte)) {
      ++i;
      continue;
    }
    const Character character = first_character(text.substr(i));
    if (character.bytes == 1) return false;  // to be escaped, or malformed
    i += character.bytes;
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
    text_ += OrderedJson(value).dump(-1, ' ', false, OrderedJson::error_handler_t::replace);
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

void put(JsonWriter& json, const OrderedJson& tree) {
  using Kind = OrderedJson::value_t;
  switch (tree.type()) {
    case Kind::object: {
      JsonObject object(json);
      for (const auto& [name, member] : tree.items()) object(name, member);
      return;
    }
    case Kind::array:
      return put_each(json, tree);
    case Kind::string:
      return json.string(tree.get_ref<const std::string&>());
    case Kind::boolean:
      return json.boolean(tree.get<bool>());
    case Kind::number_integer:
      return json.whole(tree.get<std::int64_t>());
    case Kind::number_unsigned:
      return json.whole(tree.get<std::uint64_t>());
    case Kind::number_float:
      return json.number(tree.get<double>());
    case Kind::null:
    case Kind::binary:
    case Kind::discarded:
      return json.null();
  }
}

std::string dumped(const OrderedJson& value) {
  return line_text(value);
}
std::string dumped_lines(const OrderedJson& value) {
  return lines_text(value) + '\n';
}

}  // namespace ohmglow::records
