#include "serve/json_text.h"

namespace ohmglow::serve {

ObjectText ObjectText::from(std::string_view object) {
  ObjectText result;
  result.json_.next(result.is_empty_);
  result.json_.members_of(object);
  return result;
}

ObjectText& ObjectText::add(std::string_view key, const Json& value) {
  json_.next(is_empty_);
  json_.key(key);
  put(json_, value);
  return *this;
}

ObjectText& ObjectText::add_text(std::string_view key, std::string_view value) {
  json_.next(is_empty_);
  json_.key(key);
  json_.raw(value);
  return *this;
}

std::string ObjectText::finish() {
  json_.close('}', is_empty_);
  return json_.take();
}

ListText& ListText::add(std::string_view item) {
  json_.next(is_empty_);
  json_.raw(item);
  return *this;
}

std::string ListText::finish() {
  json_.close(']', is_empty_);
  return json_.take();
}

}  // namespace ohmglow::serve
