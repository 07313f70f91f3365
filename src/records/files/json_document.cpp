#include "records/files/json_document.h"

namespace ohmglow::records {
Document::Document(Sink sink) : sink_(std::move(sink)) {
  put("{");
}

void Document::put(std::string_view text) {
  if (so_far_) so_far_ = sink_(text);
}

void Document::begin(std::string_view key) {
  put(is_first_ ? "\n \"" : ",\n \"");
  put(key);
  put("\": ");
  is_first_ = false;
}

void Document::add(std::string_view key, const OrderedJson& value) {
  begin(key);
  put(lines_text(value, 1));
}

void Document::begin_list(std::string_view key) {
  begin(key);
  put("[");
  is_first_item_ = true;
}

void Document::item(std::string_view text) {
  put(is_first_item_ ? "\n  " : ",\n  ");
  is_first_item_ = false;
  put(text);
}

void Document::end_list() {
  put(is_first_item_ ? "]" : "\n ]");
}

Result<void> Document::finish() {
  put("\n}\n");
  return so_far_;
}

}  // namespace ohmglow::records
