#include "offered/intake/acceptance_limits.h"

#include "embedded.h"
#include "records/files/files.h"
#include "records/files/json_text.h"
#include "records/files/shown.h"

#include <algorithm>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

using acceptance::Check;
using acceptance::LimitRow;
using acceptance::Limits;

constexpr std::size_t kMostLimits = 1000;
constexpr std::size_t kMostWords = 100;

std::string limits_name_of(const embedded::File& file) {
  return fs::path(file.name).stem().string();
}

ReadJson check_into(Check& slot) {
  return [&slot](const Json& value) -> Result<void> {
    std::vector<std::string_view> ids;
    for (std::size_t i = 0; i < acceptance::kChecks; ++i) {
      ids.push_back(id_of(static_cast<Check>(i)));
    }
    if (value.is_string()) {
      if (const auto check = acceptance::check_named(value.get_ref<const std::string&>())) {
        slot = *check;
        return {};
      }
    }
    return fail(wrong_word(value, ids));
  };
}

ReadJson words_of(std::vector<std::string>& slot) {
  return [&slot](const Json& value) {
    return read_array(value, 1, kMostWords,
                      [&slot](const Json& word) { return text_into(slot.emplace_back())(word); });
  };
}

ReadJson span_of(acceptance::Span& slot) {
  return [&slot](const Json& value) {
    return read_object(value, {{"from", Need::optional, number_into(slot.from, kAnyNumber)},
                               {"above", Need::optional, number_into(slot.above, kAnyNumber)},
                               {"below", Need::optional, number_into(slot.below, kAnyNumber)},
                               {"to", Need::optional, number_into(slot.to, kAnyNumber)}});
  };
}

/// A column that a motor does not have is refused as any unknown member.
ReadJson applies_into(acceptance::Applies& slot) {
  return [&slot](const Json& value) {
    std::vector<Member> members;
    for (const std::string& column : acceptance::number_columns()) {
      members.push_back({column, Need::optional, [&slot, &column](const Json& its) {
                           return span_of(slot.numbers[column])(its);
                         }});
    }
    for (const std::string& column : acceptance::word_columns()) {
      members.push_back({column, Need::optional, [&slot, &column](const Json& its) {
                           return words_of(slot.words[column])(its);
                         }});
    }
    return read_object(value, members);
  };
}

Result<void> check_unit(const LimitRow& row) {
  const std::vector<std::string> units = acceptance::limit_units(row.check);
  if (std::find(units.begin(), units.end(), row.unit) != units.end()) return {};
  const std::string check(id_of(row.check));
  if (units.empty()) {
    return fail({.kind = ErrorKind::unsupported,
                 .what = "this check takes no limit",
                 .found = shown(check),
                 .place = {.column = "check"}});
  }
  return fail({.kind = ErrorKind::invalid_value,
               .what = "a limit of " + check + " has no such unit",
               .found = shown(row.unit),
               .expected = "one of " + listed(units),
               .place = {.column = "unit"}});
}

Result<void> limit_row_into(LimitRow& row, const Json& value) {
  std::optional<double> at_least;
  std::optional<double> at_most;
  const auto read =
      read_object(value, {{"check", Need::required, check_into(row.check)},
                          {"when", Need::optional, applies_into(row.when)},
                          {"at_least", Need::optional, number_into(at_least, kZeroOrMore)},
                          {"at_most", Need::optional, number_into(at_most, kZeroOrMore)},
                          {"per_kv", Need::optional, number_into(row.per_kv, kZeroOrMore)},
                          {"unit", Need::required, text_into(row.unit)},
                          {"fails_beyond", Need::optional, flag_into(row.fails_beyond)},
                          {"source", Need::required, text_into(row.source)},
                          {"flag", Need::required, text_into(row.flag)}});
  if (!read) return read;
  if (at_least.has_value() == at_most.has_value()) {
    return fail({.kind = ErrorKind::conflict,
                 .what = "a limit needs one of \"at_least\" and \"at_most\"",
                 .found = shown(dumped(value))});
  }
  row.at_least = at_least.has_value();
  row.limit = at_least ? *at_least : *at_most;
  return check_unit(row);
}

ReadJson asked_into(Limits& limits) {
  return [&limits](const Json& value) {
    std::vector<Member> members;
    for (const auto stage :
         {acceptance::Stage::bought, acceptance::Stage::repaired, acceptance::Stage::installed}) {
      members.push_back({id_of(stage), Need::required, [&limits, stage](const Json& its) {
                           return read_array(its, 0, acceptance::kChecks, [&](const Json& check) {
                             return check_into(limits.asked[stage].emplace_back())(check);
                           });
                         }});
    }
    return read_object(value, members);
  };
}

Result<Limits> limits_from(std::string_view text) {
  const auto json = parse_json(text);
  if (!json) return fail(json.error());
  Limits limits;
  const auto rows = [&limits](const Json& value) {
    return read_array(value, 1, kMostLimits, [&limits](const Json& row) {
      return limit_row_into(limits.rows.emplace_back(), row);
    });
  };
  const auto read = read_object(*json, {version_member(),
                                        {"id", Need::required, text_into(limits.id)},
                                        {"title", Need::required, text_into(limits.title)},
                                        {"asked", Need::required, asked_into(limits)},
                                        {"limits", Need::required, rows}});
  if (!read) return fail(read.error());
  return limits;
}

}  // namespace

std::vector<std::string> limits_names() {
  std::vector<std::string> names;
  for (const embedded::File& file : embedded::limits()) names.push_back(limits_name_of(file));
  return names;
}

Result<LimitsText> find_limits(std::string_view name_or_file) {
  const std::string name(name_or_file.empty() ? limits_names().front() : name_or_file);
  for (const embedded::File& file : embedded::limits()) {
    if (limits_name_of(file) == name) return LimitsText{name, std::string(file.content)};
  }
  const auto content = TextFile::read(name, kMaxJsonBytes);
  if (content) return LimitsText{fs::path(name).filename().string(), std::string(content->text())};
  Error error = content.error().in_file(name);
  if (error.kind == ErrorKind::missing) {
    error.what = "there are no limits of this name, and no such file";
    error.expected = "one of " + listed(limits_names()) + ", or a JSON file";
  }
  return fail(std::move(error));
}

Result<Limits> shipped_limits() {
  const auto text = find_limits("");
  return text ? parse_limits(*text) : Result<Limits>(fail(text.error()));
}

Result<Limits> parse_limits(const LimitsText& limits) {
  auto read = limits_from(limits.text);
  if (!read) return fail(read.error().in_file(limits.name));
  return read;
}

}  // namespace ohmglow::records
