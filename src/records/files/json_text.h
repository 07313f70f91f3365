#pragma once
/// JSON as users write it, read strictly: an unknown member, a wrong type or a member given twice
/// is an error with the name and place of the member (Place::column holds its path).

#include "offered/files/json_reader.h"
#include "ohmglow/result.h"
#include "records/files/range.h"

#include <array>
#include <cstddef>
#include <functional>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace ohmglow::records {

using Json = nlohmann::json;
using OrderedJson = nlohmann::ordered_json;

[[nodiscard]] inline Result<Json> parse_json(std::string_view text) {
  return parse_json_as<Json>(text);
}

using ReadJson = std::function<Result<void>(const Json&)>;

enum class Need { required, optional };

/// A member that an object may have, and what is done with its value.
struct Member {
  std::string_view name;
  Need need = Need::optional;
  ReadJson read;
};

/// Hands each member of an object to its reader.
[[nodiscard]] Result<void> read_object(const Json& value, const std::vector<Member>& members);
/// Hands the items of an array to a reader. Errors: a count outside least … most.
[[nodiscard]] Result<void> read_array(const Json& value, std::size_t least, std::size_t most,
                                      const ReadJson& read);

[[nodiscard]] Error wrong_type(const Json& value, std::string expected);
[[nodiscard]] Error wrong_word(const Json& value, const std::vector<std::string_view>& words);

[[nodiscard]] Result<std::string> text_from(const Json& value);
[[nodiscard]] Result<double> number_from(const Json& value, const Range& range);

/// Readers that put a value where it belongs.
[[nodiscard]] ReadJson text_into(std::string& slot);
template <class Slot>
[[nodiscard]] ReadJson number_into(Slot& slot, const Range& range) {
  return [&slot, range](const Json& value) -> Result<void> {
    const auto number = number_from(value, range);
    if (!number) return fail(number.error());
    slot = *number;
    return {};
  };
}
template <class Slot>
[[nodiscard]] ReadJson flag_into(Slot& slot) {
  return [&slot](const Json& value) -> Result<void> {
    if (!value.is_boolean()) return fail(wrong_type(value, "true or false"));
    slot = value.get<bool>();
    return {};
  };
}
/// Words of a member and what each stands for.
template <class Value, std::size_t N>
using WordTable = std::array<std::pair<std::string_view, Value>, N>;
template <class Table, class Value>
[[nodiscard]] std::string_view word_for(const Table& table, Value value) {
  for (const auto& [word, meaning] : table) {
    if (meaning == value) return word;
  }
  return {};
}
/// One of several words.
template <class Words, class Slot>
[[nodiscard]] ReadJson word_into(Slot& slot, const Words& words) {
  return [&slot, &words](const Json& value) -> Result<void> {
    std::vector<std::string_view> names;
    for (const auto& [name, meaning] : words) {
      if (value.is_string() && value.get_ref<const std::string&>() == name) {
        slot = meaning;
        return {};
      }
      names.push_back(name);
    }
    return fail(wrong_word(value, names));
  };
}
/// The member `version`, which must be 1.
[[nodiscard]] Member version_member();

/// The same error, with the path of the part that it lies in put before its own.
[[nodiscard]] Error below(Error error, std::string_view part);

/// A value as text on one line, and as a file with a member a line: invalid UTF-8 in it is
/// replaced, never thrown at.
[[nodiscard]] std::string dumped(const OrderedJson& value);
[[nodiscard]] std::string dumped_lines(const OrderedJson& value);

/// The text with every malformed byte replaced, as JSON can hold it.
[[nodiscard]] std::string utf8(std::string_view text);

}  // namespace ohmglow::records
