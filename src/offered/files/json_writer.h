#pragma once
/// JSON written straight into a text, without a tree before it. Everything that is written as JSON
/// is written here; the text is the one that the JSON library makes of the same values.

#include "ohmglow/phase.h"
#include "ohmglow/quantity.h"
#include "ohmglow/radiometry.h"
#include "ohmglow/sentence.h"
#include "ohmglow/survey.h"

#include <array>
#include <concepts>
#include <cstddef>
#include <cstdint>
#include <exception>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

namespace ohmglow::records {

class JsonWriter {
 public:
  /// On one line.
  JsonWriter() = default;
  /// A member or item a line, for a place that lies `depth` levels deep in the text around it.
  explicit JsonWriter(std::size_t depth) : is_broken_(true), depth_(depth) {}

  void null() { text_ += "null"; }
  void boolean(bool value) { text_ += value ? "true" : "false"; }
  void whole(std::int64_t value);
  void whole(std::uint64_t value);
  /// What is not finite is null.
  void number(double value);
  /// Malformed UTF-8 in it is replaced.
  void string(std::string_view value);

  void open(char bracket);
  /// Before each item of what was opened.
  void next(bool& is_first);
  void key(std::string_view name);
  void close(char bracket, bool is_empty);
  /// A value's text as it is.
  void raw(std::string_view value) { text_ += value; }
  /// What stands between the brackets of an object's text.
  void members_of(std::string_view object);

  [[nodiscard]] std::string take() { return std::move(text_); }

 private:
  void break_line();

  std::string text_;
  bool is_broken_ = false;
  std::size_t depth_ = 0;
};

// put(): a value as JSON has it; what is absent is null. Types of other rooms get theirs beside the
// text that holds them.

inline void put(JsonWriter& json, std::nullptr_t) {
  json.null();
}
inline void put(JsonWriter& json, bool value) {
  json.boolean(value);
}
template <std::floating_point Value>
void put(JsonWriter& json, Value value) {
  json.number(value);
}
template <std::signed_integral Value>
void put(JsonWriter& json, Value value) {
  json.whole(std::int64_t{value});
}
template <std::unsigned_integral Value>
void put(JsonWriter& json, Value value) {
  json.whole(std::uint64_t{value});
}
inline void put(JsonWriter& json, std::string_view value) {
  json.string(value);
}
inline void put(JsonWriter& json, const std::string& value) {
  json.string(value);
}
inline void put(JsonWriter& json, const char* value) {
  json.string(value);
}
inline void put(JsonWriter& json, const Moment& moment) {
  json.string(moment.text);
}
inline void put(JsonWriter& json, const Sentence& sentence) {
  json.string(plainly(sentence));
}
inline void put(JsonWriter& json, const radiometry::Estimate& estimate) {
  json.number(estimate.value());
}
inline void put(JsonWriter& json, Phase phase) {
  json.whole(std::int64_t{number_of(phase)});
}
template <class Unit>
void put(JsonWriter& json, Quantity<Unit> quantity) {
  json.number(quantity.value());
}

/// A tree, its members in their order.
void put(JsonWriter& json, const nlohmann::ordered_json& tree);

/// Whatever writes itself.
template <std::invocable<JsonWriter&> Write>
void put(JsonWriter& json, const Write& write) {
  write(json);
}

template <class Value>
void put(JsonWriter& json, const std::optional<Value>& value);
template <class Value>
void put(JsonWriter& json, const std::vector<Value>& values);
template <class Value, std::size_t N>
void put(JsonWriter& json, const std::array<Value, N>& values);

/// The items of an array, each as `value_of` gives it.
template <class Items, class ValueOf>
auto each(const Items& items, ValueOf value_of) {
  return [&items, value_of](JsonWriter& json) {
    json.open('[');
    bool is_first = true;
    for (const auto& item : items) {
      json.next(is_first);
      put(json, value_of(item));
    }
    json.close(']', is_first);
  };
}

template <class Items>
void put_each(JsonWriter& json, const Items& items) {
  json.open('[');
  bool is_first = true;
  for (const auto& item : items) {
    json.next(is_first);
    put(json, item);
  }
  json.close(']', is_first);
}

template <class Value>
void put(JsonWriter& json, const std::optional<Value>& value) {
  if (value) {
    put(json, *value);
  } else {
    json.null();
  }
}
template <class Value>
void put(JsonWriter& json, const std::vector<Value>& values) {
  put_each(json, values);
}
template <class Value, std::size_t N>
void put(JsonWriter& json, const std::array<Value, N>& values) {
  put_each(json, values);
}

/// What `write` writes of some values, which must outlive it.
template <class Write, class... Values>
auto by(Write write, const Values&... values) {
  return [write, &values...](JsonWriter& json) { write(json, values...); };
}

/// A member of what may be absent.
template <class Whole, class Part>
std::optional<Part> if_known(const std::optional<Whole>& whole, Part Whole::*part) {
  return whole ? std::optional<Part>((*whole).*part) : std::nullopt;
}

/// A value's text on one line.
template <class Value>
std::string line_text(const Value& value) {
  JsonWriter json;
  put(json, value);
  return json.take();
}

/// A member or item a line, for a place `depth` levels deep.
template <class Value>
std::string lines_text(const Value& value, std::size_t depth = 0) {
  JsonWriter json(depth);
  put(json, value);
  return json.take();
}

/// An object, closed at the end of its scope: JsonObject object(json); object("name", lug.name);
class JsonObject {
 public:
  explicit JsonObject(JsonWriter& json) : json_(json), throwing_(std::uncaught_exceptions()) {
    json_.open('{');
  }
  JsonObject(const JsonObject&) = delete;
  JsonObject& operator=(const JsonObject&) = delete;
  /// Where memory ends while it is closed, that is thrown; while something else is thrown, nobody
  /// reads the text any more.
  ~JsonObject() noexcept(false) {
    if (std::uncaught_exceptions() == throwing_) json_.close('}', is_empty_);
  }

  template <class Value>
  void operator()(std::string_view name, const Value& value) {
    json_.next(is_empty_);
    json_.key(name);
    put(json_, value);
  }

  /// Those of an object that was written for the same place, which has one at least.
  void members_of(std::string_view object) {
    json_.next(is_empty_);
    json_.members_of(object);
  }

 private:
  JsonWriter& json_;
  int throwing_;
  bool is_empty_ = true;
};

/// The standard uncertainty of an estimate.
inline std::optional<double> u_of(const std::optional<radiometry::Estimate>& estimate) {
  return estimate ? std::optional(estimate->u()) : std::nullopt;
}

/// An empty text stands for what is not known.
inline std::optional<Sentence> unless_empty(const Sentence& sentence) {
  return sentence.empty() ? std::nullopt : std::optional<Sentence>(sentence);
}
inline std::optional<std::string_view> unless_empty(const std::string& text) {
  return text.empty() ? std::nullopt : std::optional<std::string_view>(text);
}

}  // namespace ohmglow::records
