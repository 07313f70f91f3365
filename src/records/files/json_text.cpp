#include "records/files/json_text.h"

#include "offered/vocabulary/json_depth.h"
#include "offered/vocabulary/near_names.h"
#include "records/files/shown.h"

#include <algorithm>
#include <fmt/format.h>
#include <optional>
#include <set>

namespace ohmglow::records {
namespace {

/// Watches the parser go by, for what it does not check itself.
class Strictness {
 public:
  template <class Tree>
  bool operator()(int, Json::parse_event_t event, const Tree& parsed) {
    if (error_) return false;
    if (event == Json::parse_event_t::object_start) objects_.emplace_back();
    if (event == Json::parse_event_t::object_end) objects_.pop_back();
    if (event == Json::parse_event_t::key) enter(parsed.template get_ref<const std::string&>());
    return !error_;
  }

  [[nodiscard]] const std::optional<Error>& error() const { return error_; }

 private:
  struct Object {
    std::set<std::string> keys;
    std::string current;
  };

  void enter(const std::string& key) {
    Object& object = objects_.back();
    object.current = key;
    if (object.keys.insert(key).second) return;
    error_ = Error{.kind = ErrorKind::conflict, .what = "this member is given twice"};
    for (const Object& outer : objects_) {
      if (!error_->place.column.empty()) error_->place.column += '.';
      error_->place.column += shown(outer.current);
    }
  }

  std::vector<Object> objects_;
  std::optional<Error> error_;
};

Error not_json(const Json::parse_error& error) {
  // The parser's own words begin with its name and end with what it wanted instead.
  std::string words = error.what();
  const std::string_view kFrom = "parse error at ";
  if (const auto at = words.find(kFrom); at != std::string::npos)
    words = words.substr(at + kFrom.size());
  Error result{.kind = ErrorKind::not_this_format, .what = "not valid JSON (" + shown(words) + ")"};
  result.place.byte_offset = error.byte > 0 ? error.byte - 1 : 0;
  return result;
}

std::vector<std::string_view> names_of(const std::vector<Member>& members) {
  std::vector<std::string_view> names;
  for (const Member& member : members) names.push_back(member.name);
  return names;
}

}  // namespace

template <class Tree>
Result<Tree> parse_json_as(std::string_view text) {
  if (trimmed(text).empty())
    return fail({.kind = ErrorKind::empty, .what = "there is no JSON in it"});
  // The parser takes a NUL for the end of the text and would not look behind it.
  if (const auto at = text.find('\0'); at != std::string_view::npos) {
    Error error{.kind = ErrorKind::not_this_format, .what = "not valid JSON (a NUL byte)"};
    error.place.byte_offset = at;
    return fail(std::move(error));
  }
  if (nests_too_deep(text)) {
    return fail({.kind = ErrorKind::too_large,
                 .what = fmt::format("nested deeper than {} levels", kDeepestJson)});
  }
  Strictness strictness;
  try {
    Tree value = Tree::parse(text, std::ref(strictness));
    if (strictness.error()) return fail(*strictness.error());
    return value;
  } catch (const Json::parse_error& error) {
    return fail(not_json(error));
  } catch (const Json::exception& error) {
    return fail({.kind = ErrorKind::not_this_format,
                 .what = "not valid JSON (" + shown(error.what()) + ")"});
  }
}

template Result<Json> parse_json_as(std::string_view text);
template Result<OrderedJson> parse_json_as(std::string_view text);

Result<void> read_object(const Json& value, const std::vector<Member>& members) {
  if (!value.is_object())
    return fail(wrong_type(value, "an object with " + listed(names_of(members))));
  for (const auto& [key, content] : value.items()) {
    const auto member = std::find_if(members.begin(), members.end(),
                                     [&name = key](const Member& m) { return m.name == name; });
    if (member == members.end()) {
      return fail(below({.kind = ErrorKind::invalid_value,
                         .what = "this member is not known",
                         .expected = "only " + listed(names_of(members)) +
                                     did_you_mean(near_names(key, names_of(members)))},
                        shown(key)));
    }
    if (auto read = member->read(content); !read) return fail(below(read.error(), key));
  }
  for (const Member& member : members) {
    if (member.need == Need::required && !value.contains(member.name)) {
      return fail(
          below({.kind = ErrorKind::missing, .what = "this member must be given"}, member.name));
    }
  }
  return {};
}

Result<void> read_array(const Json& value, std::size_t least, std::size_t most,
                        const ReadJson& read) {
  if (!value.is_array()) return fail(wrong_type(value, "an array"));
  if (value.size() < least || value.size() > most) {
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "a wrong number of items",
                 .found = std::to_string(value.size()),
                 .expected = least == most ? fmt::format("{}", least)
                                           : fmt::format("{} to {}", least, most)});
  }
  for (std::size_t i = 0; i < value.size(); ++i) {
    if (auto done = read(value[i]); !done) return fail(below(done.error(), fmt::format("[{}]", i)));
  }
  return {};
}

Result<std::string> text_from(const Json& value) {
  if (!value.is_string()) return fail(wrong_type(value, "a text in quotes"));
  const auto& text = value.get_ref<const std::string&>();
  if (text.size() > kLongestText || has_control_characters(text)) {
    return fail(
        {.kind = ErrorKind::invalid_value,
         .what = "this text cannot be used",
         .found = shown(text),
         .expected = fmt::format("at most {} bytes without control characters", kLongestText)});
  }
  return std::string(trimmed(text));
}

Result<double> number_from(const Json& value, const Range& range) {
  if (!value.is_number()) return fail(wrong_type(value, range.describe()));
  const auto number = value.get<double>();
  if (!range.contains(number)) {
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "the number is out of range",
                 .found = shown(value.dump()),
                 .expected = range.describe()});
  }
  return number;
}

ReadJson text_into(std::string& slot) {
  return [&slot](const Json& value) -> Result<void> {
    auto text = text_from(value);
    if (!text) return fail(text.error());
    slot = std::move(*text);
    return {};
  };
}

Member version_member() {
  return {"version", Need::required, [](const Json& value) -> Result<void> {
            if (value.is_number() && value.get<double>() == 1) return {};
            return fail({.kind = ErrorKind::unsupported,
                         .what = "a version of the file that this program does not read",
                         .found = shown(dumped(value)),
                         .expected = "1"});
          }};
}

Error wrong_type(const Json& value, std::string expected) {
  return {.kind = ErrorKind::invalid_value,
          .what = std::string("a value of the wrong type (") + value.type_name() + ")",
          .found = shown(dumped(value)),
          .expected = std::move(expected)};
}

Error wrong_word(const Json& value, const std::vector<std::string_view>& words) {
  return {.kind = ErrorKind::invalid_value,
          .what = "this word is not known",
          .found = shown(dumped(value)),
          .expected = "one of " + listed(words) +
                      (value.is_string() ? did_you_mean(near_names(value.get<std::string>(), words))
                                         : std::string())};
}

Error below(Error error, std::string_view part) {
  std::string& path = error.place.column;
  const bool needs_dot = !path.empty() && path.front() != '[';
  path = std::string(part) + (needs_dot ? "." : "") + path;
  return error;
}

std::string utf8(std::string_view text) {
  return OrderedJson::parse(dumped(OrderedJson(text))).get<std::string>();
}

}  // namespace ohmglow::records
