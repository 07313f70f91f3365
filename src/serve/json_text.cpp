#include "serve/json_text.h"

#include <utility>

namespace ohmglow::serve {

std::string json_text(const Json& value) {
  return value.dump(-1, ' ', false, Json::error_handler_t::replace);
}

JsonObject JsonObject::from(std::string object) {
  JsonObject result;
  result.text_ = std::move(object);
  result.text_.pop_back();
  return result;
}

JsonObject& JsonObject::add_text(std::string_view key, std::string_view value) {
  if (text_.size() > 1) text_ += ',';
  text_.append("\"").append(key).append("\":").append(value);
  return *this;
}

std::string JsonObject::finish() {
  return std::move(text_) + "}";
}

JsonList& JsonList::add(std::string_view item) {
  if (text_.size() > 1) text_ += ',';
  text_.append(item);
  return *this;
}

std::string JsonList::finish() {
  return std::move(text_) + "]";
}

}  // namespace ohmglow::serve
