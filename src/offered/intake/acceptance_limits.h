#pragma once
/// Limits for the acceptance of a motor, as the text of their file.

#include "ohmglow/acceptance.h"
#include "ohmglow/result.h"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

struct LimitsText {
  std::string name;  ///< of built-in limits, or the file
  std::string text;
};
[[nodiscard]] std::vector<std::string> limits_names();
/// The limits of that name, else the file; empty: the built-in ones. Errors: unknown name,
/// unreadable file.
[[nodiscard]] Result<LimitsText> find_limits(std::string_view name_or_file);
/// The built-in ones, parsed.
[[nodiscard]] Result<acceptance::Limits> shipped_limits();
/// docs/schema/limits.schema.json. Errors name the file and the member.
[[nodiscard]] Result<acceptance::Limits> parse_limits(const LimitsText& limits);

}  // namespace ohmglow::records
