#pragma once
/// What somebody probably meant who wrote a name that nobody knows.

#include <string>
#include <string_view>
#include <vector>

namespace ohmglow {

/// Those of the known names that are nearest to the written one, at most three: the same but for
/// case, blanks, punctuation and leading zeros, else a slip away, or two in a long name (a
/// character wrong, missing, too many, or two swapped). Where several are as near, those with other
/// digits are left out: BE-02 is the motor next to BE-01, not a slip.
[[nodiscard]] std::vector<std::string_view> near_names(std::string_view written,
                                                       const std::vector<std::string_view>& known);

/// " (did you mean BE-01?)", to stand behind what was expected; empty where there is nothing to
/// offer.
[[nodiscard]] std::string did_you_mean(const std::vector<std::string_view>& offers);

}  // namespace ohmglow
