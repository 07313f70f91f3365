#pragma once
/// A band policy as the text of its file, and what that text says beside the bands.

#include "ohmglow/result.h"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// A band policy as text, and where it came from.
enum class PolicyOrigin { built_in, survey_file, other_file };
struct PolicyText {
  std::string name;  ///< of a built-in policy, or the file: inside the survey, or its bare name
  PolicyOrigin origin = PolicyOrigin::built_in;
  std::string text;
};
/// The policy of that name or file, as records::read_policy finds it. Errors: unknown name,
/// unreadable file.
[[nodiscard]] Result<PolicyText> find_policy(std::string_view name_or_file,
                                             const std::filesystem::path& survey_folder);

/// By when a finding of a band is to be acted on, counted from the day of its image: policy data.
struct DueRule {
  std::string band;  ///< its id
  int days = 0;
  std::string source;
};
/// The rules of a policy, from the text of its JSON file; bands without one are left out. Errors:
/// those of parse_policy.
[[nodiscard]] Result<std::vector<DueRule>> due_rules(std::string_view policy_json,
                                                     std::string_view file);

}  // namespace ohmglow::records
