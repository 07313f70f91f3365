#include "serve/body.h"

#include "offered/files/json_reader.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace ohmglow::serve {

Result<Json> object_in(const Request& request, const std::set<std::string_view>& members) {
  auto json = records::parse_json_as<Json>(request.body);
  if (!json || !json->is_object()) {
    return fail({.kind = ErrorKind::not_this_format,
                 .what = "the body of the request cannot be read",
                 .found = json ? std::string() : sentence(json.error()),
                 .expected = "a JSON object"});
  }
  for (const auto& [name, value] : json->items()) {
    if (members.empty() || members.contains(name)) continue;
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "the body has a member that is not known",
                 .found = name,
                 .expected = fmt::format("{}", fmt::join(members, ", "))});
  }
  return json;
}

Result<std::vector<records::CellText>> cells_in(const Json& object, std::string_view what) {
  const auto refused = [&what](std::string column, std::string found) {
    return fail({.kind = ErrorKind::invalid_value,
                 .what = fmt::format("{} cannot be used", what),
                 .found = std::move(found),
                 .expected = "an object with a text or null for each column",
                 .place = {.column = std::move(column)}});
  };
  if (!object.is_object()) return refused("", json_text(object));
  std::vector<records::CellText> cells;
  for (const auto& [name, value] : object.items()) {
    if (value.is_null()) {
      cells.push_back({name, ""});
    } else if (value.is_string()) {
      cells.push_back({name, value.get<std::string>()});
    } else if (value.is_number()) {
      cells.push_back({name, json_text(value)});
    } else {
      return refused(name, json_text(value));
    }
  }
  return cells;
}

Result<std::string> expected_etag(const Request& request) {
  const std::string etag = bare_etag(request.if_match);
  if (!etag.empty() && etag != "*") return etag;
  return fail({.kind = ErrorKind::missing,
               .what = "the change does not say which version of the file it was made from",
               .found = request.if_match,
               .expected = "an If-Match header with the etag from the last read",
               .mend = "read it again and send its etag"});
}

}  // namespace ohmglow::serve
