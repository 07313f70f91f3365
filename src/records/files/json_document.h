#pragma once
/// JSON objects that are written member by member, their lists item by item.

#include "offered/files/json_writer.h"
#include "offered/files/output_file.h"
#include "records/files/json_text.h"

#include <string>
#include <string_view>

namespace ohmglow::records {

/// A value as an item of a list that is a member of the document.
template <class Value>
std::string item_text(const Value& value) {
  constexpr std::size_t kDepth = 2;
  return lines_text(value, kDepth);
}

class Document {
 public:
  explicit Document(Sink sink);

  void add(std::string_view key, const OrderedJson& value);
  void begin_list(std::string_view key);
  void item(std::string_view text);
  void end_list();
  template <class Items, class ValueOf>
  void add_list(std::string_view key, const Items& items, ValueOf value_of) {
    begin_list(key);
    for (const auto& one : items) item(item_text(value_of(one)));
    end_list();
  }
  /// Errors: the first of the sink's.
  [[nodiscard]] Result<void> finish();

 private:
  void put(std::string_view text);
  void begin(std::string_view key);

  Sink sink_;
  Result<void> so_far_;
  bool is_first_ = true;
  bool is_first_item_ = true;
};

}  // namespace ohmglow::records
