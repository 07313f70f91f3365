#pragma once
/// JSON written piece by piece, so that parts which exist as text need no second reading.

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

namespace ohmglow::serve {

using Json = nlohmann::ordered_json;

/// A value as text: invalid UTF-8 in it is replaced, never thrown at.
[[nodiscard]] std::string json_text(const Json& value);

/// An object, member by member.
class JsonObject {
 public:
  JsonObject() = default;
  /// Goes on with an object that is written already.
  [[nodiscard]] static JsonObject from(std::string object);

  JsonObject& add(std::string_view key, const Json& value) {
    return add_text(key, json_text(value));
  }
  /// `value` is JSON.
  JsonObject& add_text(std::string_view key, std::string_view value);
  [[nodiscard]] std::string finish();

 private:
  std::string text_ = "{";
};

/// An array of items that are JSON texts.
class JsonList {
 public:
  JsonList& add(std::string_view item);
  [[nodiscard]] std::string finish();

 private:
  std::string text_ = "[";
};

template <class Items, class ToText>
[[nodiscard]] std::string list_text(const Items& items, ToText to_text) {
  JsonList list;
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
