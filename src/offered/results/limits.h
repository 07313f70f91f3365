#pragma once
/// What limits the result of a survey, worst first: each with the cell to fill or the image to take
/// again.

#include "offered/imaging/clipping.h"
#include "ohmglow/diagnosis.h"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// In the order in which they are told: from what gives no result to what is only said.
enum class LimitKind {
  not_measured,
  not_marked,
  not_used,
  missing_lug,
  clipped,
  too_far,
  defocused,
  no_load,
  not_judged,
  low_load,
  no_rating,
  no_air,
  wind,
  low_emissivity,
  no_reflected,
  no_data,
  no_size,
  no_reading,
  remark,
};
[[nodiscard]] std::string_view id_of(LimitKind kind);
/// As a heading.
[[nodiscard]] std::string_view title_of(LimitKind kind);
/// Whether something is to be done about it: a remark is none.
[[nodiscard]] bool asks_for_something(LimitKind kind);

struct Limit {
  LimitKind kind{};
  std::string motor = {};
  std::string component = {};
  std::string image = {};
  Place place = {};       ///< the cell to fill, where one mends it
  std::string what = {};  ///< a clause
  std::string mend = {};  ///< what to do, or empty where `what` says it
};

/// Everything that the assessment knows of it, and the ranges of its images, which stand beside
/// them.
[[nodiscard]] std::vector<Limit> limits_of(const diagnosis::Assessment& assessment,
                                           const std::vector<imaging::Clipping>& ranges);

/// docs/schema/check.schema.json.
[[nodiscard]] std::string limits_json(const diagnosis::Assessment& assessment,
                                      const std::vector<Limit>& limits);

}  // namespace ohmglow::records
