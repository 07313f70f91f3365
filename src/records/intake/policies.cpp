#include "embedded.h"
#include "offered/files/folder.h"
#include "offered/intake/policy_text.h"
#include "ohmglow/explanations.h"
#include "ohmglow/survey_folder.h"
#include "records/files/files.h"
#include "records/files/json_text.h"
#include "records/files/shown.h"

#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <system_error>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

constexpr std::string_view kDefaultPolicy = "neta_mts";
constexpr std::size_t kMostBands = 100;

std::string policy_name_of(const embedded::File& file) {
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
                   .what = "a limit needs one of \"from\" and \"above\"",
                   .found = shown(dumped(value)),
                   .expected = "{\"from\": number} or {\"above\": number}"});
    }
    slot = severity::Limit{from ? *from : *above, from.has_value()};
    return {};
  };
}

constexpr int kMostDueDays = 36'500;
/// Half is a coin's toss, and certainty is not to be had.
constexpr Range kConfidence{.low = 0.5, .high = 0.9999};

/// What is read of a policy file: how bad a rise is, and by when to act.
struct PolicyFile {
  severity::Policy policy;
  std::vector<DueRule> due;
  std::vector<std::string> failure_sources;  ///< each once
  std::string air_alone_from;                ///< a band's id; empty: none
};

ReadJson failure_into(PolicyFile& file, severity::Band& band) {
  return [&file, &band](const Json& value) -> Result<void> {
    if (value.is_null()) return {};
    std::string source;
    auto read = read_object(value, {{"probability_per_year", Need::required,
                                     number_into(band.failure_probability, kShareAboveZero)},
                                    {"source", Need::required, text_into(source)}});
    auto& sources = file.failure_sources;
    if (std::find(sources.begin(), sources.end(), source) == sources.end()) {
      sources.push_back(std::move(source));
    }
    return read;
  };
}

ReadJson assumed_into(severity::Assumed& slot, const Range& range) {
  return [&slot, range](const Json& value) -> Result<void> {
    auto read = read_object(value, {{"low", Need::required, number_into(slot.low, range)},
                                    {"likely", Need::required, number_into(slot.likely, range)},
                                    {"high", Need::required, number_into(slot.high, range)}});
    if (!read) return read;
    if (slot.low <= slot.likely && slot.likely <= slot.high) return {};
    return fail({.kind = ErrorKind::conflict,
                 .what = "low, likely and high must rise",
                 .found = shown(dumped(value)),
                 .expected = "low <= likely <= high"});
  };
}

ReadJson failure_cost_into(severity::Policy& policy) {
  return [&policy](const Json& value) -> Result<void> {
    if (value.is_null()) return {};
    severity::FailureCost cost;
    auto read = read_object(
        value,
        {{"probability_factor", Need::required, assumed_into(cost.probability_factor, kZeroOrMore)},
         {"motor_lost", Need::required, assumed_into(cost.motor_lost, kShare)},
         {"downtime_factor", Need::required, assumed_into(cost.downtime_factor, kZeroOrMore)},
         {"source", Need::required, text_into(cost.source)}});
    if (read) policy.failure_cost = std::move(cost);
    return read;
  };
}

ReadJson judgement_into(severity::Policy& policy) {
  return [&policy](const Json& value) {
    const auto scatter = [&policy](const Json& its) {
      severity::SoundScatter& slot = policy.sound_scatter;
      return read_object(
          its, {{"share_of_rise", Need::required, number_into(slot.share_of_rise, kShare)},
                {"least_c", Need::required, number_into(slot.least_k, kZeroOrMore)},
                {"source", Need::required, text_into(slot.source)}});
    };
    return read_object(value,
                       {{"confidence", Need::optional, number_into(policy.confidence, kConfidence)},
                        {"sound_scatter", Need::optional, scatter}});
  };
}

ReadJson air_alone_into(PolicyFile& file) {
  return [&file](const Json& value) -> Result<void> {
    if (value.is_null()) return {};
    return read_object(value,
                       {{"from", Need::required, text_into(file.air_alone_from)},
                        {"action", Need::required, text_into(file.policy.air_alone_action)}});
  };
}

/// An id that no explanation has is refused as any unknown member.
ReadJson priors_into(severity::Policy& policy) {
  return [&policy](const Json& value) {
    std::vector<Member> members{{"source", Need::required, text_into(policy.priors_source)}};
    const std::vector<std::string> ids = diagnosis::explanation_ids();
    for (const std::string& id : ids) {
      const auto read = [&policy, &id](const Json& number) {
        return number_into(policy.priors[id], kShareAboveZero)(number);
      };
      members.push_back({id, Need::optional, read});
    }
    return read_object(value, members);
  };
}

/// Once the bands are known.
Result<void> set_air_alone(PolicyFile& file) {
  if (file.air_alone_from.empty()) return {};
  severity::Policy& policy = file.policy;
  policy.air_alone_from = policy.index_of(file.air_alone_from);
  if (policy.air_alone_from) return {};
  std::vector<std::string> ids;
  for (const severity::Band& band : policy.bands) ids.push_back(band.id);
  return fail({.kind = ErrorKind::missing,
               .what = "the policy has no such band",
               .found = shown(file.air_alone_from),
               .expected = "one of " + listed(ids),
               .place = {.column = "over_air_alone.from"}});
}

ReadJson due_into(std::optional<DueRule>& slot) {
  return [&slot](const Json& value) -> Result<void> {
    if (value.is_null()) return {};
    DueRule rule;
    double days = 0;
    auto read = read_object(
        value, {{"days", Need::required, number_into(days, whole_numbers(0, kMostDueDays))},
                {"source", Need::required, text_into(rule.source)}});
    rule.days = static_cast<int>(days);
    if (read) slot = std::move(rule);
    return read;
  };
}

Result<void> add_band(const Json& value, PolicyFile& file) {
  severity::Band& band = file.policy.bands.emplace_back();
  std::optional<DueRule> due;
  auto read = read_object(
      value, {{"id", Need::required, text_into(band.id)},
              {"title", Need::required, text_into(band.title)},
              {"over_like_c", Need::optional, limit_into(band.over_like_k)},
              {"over_air_c", Need::optional, limit_into(band.over_air_k)},
              {"pair_unbalance_pct", Need::optional, limit_into(band.pair_unbalance_pct)},
              {"action", Need::required, text_into(band.action)},
              {"due", Need::optional, due_into(due)},
              {"failure", Need::optional, failure_into(file, band)},
              {"source", Need::required, text_into(band.source)}});
  if (due) {
    due->band = band.id;
    file.due.push_back(std::move(*due));
  }
  return read;
}

Result<PolicyFile> policy_from(std::string_view text) {
  const auto json = parse_json(text);
  if (!json) return fail(json.error());
  PolicyFile file;
  severity::Policy& policy = file.policy;
  const auto bands = [&file](const Json& value) {
    return read_array(value, 1, kMostBands,
                      [&file](const Json& band) { return add_band(band, file); });
  };
  const auto read = read_object(*json, {version_member(),
                                        {"id", Need::required, text_into(policy.id)},
                                        {"title", Need::required, text_into(policy.title)},
                                        {"source", Need::required, text_into(policy.source)},
                                        {"rule", Need::required, text_into(policy.rule)},
                                        {"bands", Need::required, bands},
                                        {"judgement", Need::optional, judgement_into(policy)},
                                        {"over_air_alone", Need::optional, air_alone_into(file)},
                                        {"failure_cost", Need::optional, failure_cost_into(policy)},
                                        {"priors", Need::optional, priors_into(policy)}});
  if (!read) return fail(read.error());
  policy.failure_source = fmt::format("{}", fmt::join(file.failure_sources, "; "));
  if (const auto set = set_air_alone(file); !set) return fail(set.error());
  if (const auto broken = policy.broken_rule()) return fail(*broken);
  return file;
}

Result<PolicyText> policy_file(const fs::path& path, std::string name, PolicyOrigin origin) {
  const auto content = TextFile::read(path, kMaxJsonBytes);
  if (!content) return fail(content.error().in_file(name));
  return PolicyText{std::move(name), origin, std::string(content->text())};
}

}  // namespace

std::vector<std::string> policy_names() {
  std::vector<std::string> names;
  for (const embedded::File& file : embedded::policies()) names.push_back(policy_name_of(file));
  std::sort(names.begin(), names.end());
  // The default first.
  std::stable_partition(names.begin(), names.end(),
                        [](const std::string& name) { return name == kDefaultPolicy; });
  return names;
}

Result<severity::Policy> parse_policy(std::string_view json, std::string_view file) {
  auto read = policy_from(json);
  if (!read) return fail(read.error().in_file(file));
  return std::move(read->policy);
}

Result<std::vector<DueRule>> due_rules(std::string_view policy_json, std::string_view file) {
  auto read = policy_from(policy_json);
  if (!read) return fail(read.error().in_file(file));
  return std::move(read->due);
}

Result<PolicyText> find_policy(std::string_view name_or_file, const fs::path& survey_folder) {
  const std::string name(name_or_file.empty() ? kDefaultPolicy : name_or_file);
  for (const embedded::File& file : embedded::policies()) {
    if (policy_name_of(file) == name)
      return PolicyText{name, PolicyOrigin::built_in, std::string(file.content)};
  }
  if (const auto inside = resolve_inside(survey_folder, name); inside && is_present(*inside)) {
    return policy_file(*inside, normal_path(name), PolicyOrigin::survey_file);
  }
  if (is_present(fs::path(name)))
    return policy_file(fs::path(name), fs::path(name).filename().string(),
                       PolicyOrigin::other_file);
  return fail({.kind = ErrorKind::missing,
               .what = "there is no such policy",
               .found = shown(name),
               .expected = "one of " + listed(policy_names()) + ", or a policy file"});
}

Result<severity::Policy> read_policy(std::string_view name_or_file, const fs::path& survey_folder) {
  const auto found = find_policy(name_or_file, survey_folder);
  if (!found) return fail(found.error());
  return parse_policy(found->text, found->name);
}

}  // namespace ohmglow::records
