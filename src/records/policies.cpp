#include "embedded.h"
#include "ohmglow/records.h"
#include "records/files.h"
#include "records/json_text.h"
#include "records/text.h"

#include <algorithm>
#include <system_error>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

constexpr std::string_view kDefaultPolicy = "neta_mts";
constexpr std::size_t kMostBands = 100;

std::string name_of(const embedded::File& file) {
  return fs::path(file.name).stem().string();
}

/// {"from": 1} is reached by 1, {"above": 3} is not by 3, null never is.
ReadJson limit_into(std::optional<severity::Limit>& slot) {
  return [&slot](const Json& value) -> Result<void> {
    if (value.is_null()) return {};
    std::optional<double> from;
    std::optional<double> above;
    const auto read =
        read_object(value, {{"from", Need::optional, number_into(from, kZeroOrMore)},
                            {"above", Need::optional, number_into(above, kZeroOrMore)}});
    if (!read) return fail(read.error());
    if (from.has_value() == above.has_value()) {
      return fail({.kind = ErrorKind::conflict,
                   .what = "a limit begins at a value or above it",
                   .found = shown(dumped(value)),
                   .expected = "{\"from\": number} or {\"above\": number}"});
    }
    slot = severity::Limit{from ? *from : *above, from.has_value()};
    return {};
  };
}

Result<void> add_band(const Json& value, severity::Policy& policy) {
  severity::Band& band = policy.bands.emplace_back();
  return read_object(value,
                     {{"id", Need::required, text_into(band.id)},
                      {"title", Need::required, text_into(band.title)},
                      {"over_like_c", Need::optional, limit_into(band.over_like_k)},
                      {"over_air_c", Need::optional, limit_into(band.over_air_k)},
                      {"pair_unbalance_pct", Need::optional, limit_into(band.pair_unbalance_pct)},
                      {"action", Need::required, text_into(band.action)},
                      {"source", Need::required, text_into(band.source)}});
}

Result<severity::Policy> policy_from(std::string_view text) {
  const auto json = parse_json(text);
  if (!json) return fail(json.error());
  severity::Policy policy;
  const auto bands = [&policy](const Json& value) {
    return read_array(value, 1, kMostBands,
                      [&policy](const Json& band) { return add_band(band, policy); });
  };
  const auto read = read_object(*json, {version_member(),
                                        {"id", Need::required, text_into(policy.id)},
                                        {"title", Need::required, text_into(policy.title)},
                                        {"source", Need::required, text_into(policy.source)},
                                        {"rule", Need::required, text_into(policy.rule)},
                                        {"bands", Need::required, bands}});
  if (!read) return fail(read.error());
  if (const auto broken = policy.broken_rule()) return fail(*broken);
  return policy;
}

Result<severity::Policy> policy_file(const fs::path& path, std::string_view shown_as) {
  const auto content = TextFile::read(path, kMaxJsonBytes);
  if (!content) return fail(content.error().in_file(shown_as));
  return parse_policy(content->text(), shown_as);
}

}  // namespace

std::vector<std::string> policy_names() {
  std::vector<std::string> names;
  for (const embedded::File& file : embedded::policies()) names.push_back(name_of(file));
  std::sort(names.begin(), names.end());
  // The default first.
  std::stable_partition(names.begin(), names.end(),
                        [](const std::string& name) { return name == kDefaultPolicy; });
  return names;
}

Result<severity::Policy> parse_policy(std::string_view json, std::string_view file) {
  auto policy = policy_from(json);
  if (!policy) return fail(policy.error().in_file(file));
  return policy;
}

Result<severity::Policy> read_policy(std::string_view name_or_file, const fs::path& survey_folder) {
  const std::string_view name = name_or_file.empty() ? kDefaultPolicy : name_or_file;
  for (const embedded::File& file : embedded::policies()) {
    if (name_of(file) == name) return parse_policy(file.content, file.name);
  }
  if (const auto inside = resolve_inside(survey_folder, name); inside && is_present(*inside)) {
    return policy_file(*inside, name);
  }
  if (is_present(fs::path(name))) return policy_file(fs::path(name), name);
  return fail({.kind = ErrorKind::missing,
               .what = "there is no such policy",
               .found = shown(name),
               .expected = "one of " + listed(policy_names()) + ", or a policy file"});
}

}  // namespace ohmglow::records
