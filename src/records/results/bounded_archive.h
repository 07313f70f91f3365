#pragma once
/// Reads what cereal's BinaryOutputArchive wrote, from bytes that may come from a stranger: no text
/// and no list gets room for more than the bytes that are left.

#include <cereal/archives/binary.hpp>
#include <cstring>
#include <string_view>
#include <type_traits>

namespace ohmglow::records {

class BoundedArchive : public cereal::InputArchive<BoundedArchive, cereal::AllowEmptyClassElision> {
 public:
  explicit BoundedArchive(std::string_view bytes) : InputArchive(this), left_(bytes) {}

  void take(void* to, std::size_t bytes) {
    expect(bytes);
    if (bytes == 0) return;  // to nowhere: an empty list has no address
    std::memcpy(to, left_.data(), bytes);
    left_.remove_prefix(bytes);
  }
  /// Throws where fewer bytes are left: each item of a list takes one at least.
  void expect(std::uint64_t bytes) const {
    if (bytes > left_.size()) throw cereal::Exception("it is longer than its file");
  }

 private:
  std::string_view left_;
};

// cereal finds these beside the archive.

template <class Number>
requires std::is_arithmetic_v<Number>
void load(BoundedArchive& archive, Number& number) {
  if constexpr (std::is_same_v<Number, bool>) {
    // A byte of a stranger's may be neither.
    unsigned char byte = 0;
    archive.take(&byte, sizeof byte);
    if (byte > 1) throw cereal::Exception("it is neither true nor false");
    number = byte == 1;
  } else {
    archive.take(&number, sizeof number);
  }
}
template <class Value>
void serialize(BoundedArchive& archive, cereal::NameValuePair<Value>& pair) {
  archive(pair.value);
}
template <class Count>
void serialize(BoundedArchive& archive, cereal::SizeTag<Count>& tag) {
  archive(tag.size);
  archive.expect(tag.size);
}
template <class Data>
void load(BoundedArchive& archive, cereal::BinaryData<Data>& data) {
  archive.take(data.data, static_cast<std::size_t>(data.size));
}

}  // namespace ohmglow::records


template <>
struct cereal::traits::detail::get_output_from_input<ohmglow::records::BoundedArchive> {
  using type = cereal::BinaryOutputArchive;
};
