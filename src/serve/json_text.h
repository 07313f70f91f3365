#pragma once
/// Answers written piece by piece, so that parts which exist as JSON text need no second reading.

#include "offered/files/json_writer.h"

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

namespace ohmglow::serve {

using Json = nlohmann::ordered_json;

/// A value as text: invalid UTF-8 in it is replaced, never thrown at.
[[nodiscard]] inline std::string json_text(const Json& value) {
  return records::line_text(value);
}

/// An object, member by member.
class ObjectText {
 public:
  ObjectText() { json_.open('{'); }
  /// Goes on with an object that is written already.
  [[nodiscard]] static ObjectText from(std::string_view object);

  ObjectText& add(std::string_view key, const Json& value);
  /// `value` is JSON.
  ObjectText& add_text(std::string_view key, std::string_view value);
  [[nodiscard]] std::string finish();

 private:
  records::JsonWriter json_;
  bool is_empty_ = true;
};

/// An array of items that are JSON texts.
class ListText {
 public:
  ListText() { json_.open('['); }
  ListText& add(std::string_view item);
  [[nodiscard]] std::string finish();

 private:
  records::JsonWriter json_;
  bool is_empty_ = true;
};

template <class Items, class ToText>
[[nodiscard]] std::string list_text(const Items& items, ToText to_text) {
  ListText list;
  for (const auto& item : items) list.add(to_text(item));
  return list.finish();
}

[[nodiscard]] inline Json text_or_null(std::string_view text) {
  return text.empty() ? Json() : Json(text);
}
template <class Number>
[[nodiscard]] Json number_or_null(const std::optional<Number>& number) {
  return number ? Json(*number) : Json();
}

}  // namespace ohmglow::serve
