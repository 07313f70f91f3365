#include "records/intake/written_units.h"

#include "offered/vocabulary/near_names.h"
#include "records/files/shown.h"
#include "records/intake/sheet.h"

#include <algorithm>
#include <array>

namespace ohmglow::records {

const WrittenUnit* unit_named(std::span<const WrittenUnit> units, std::string_view name) {
  const std::string wanted = lower_case(name);
  const auto at = std::find_if(units.begin(), units.end(),
                               [&](const WrittenUnit& unit) { return unit.name == wanted; });
  return at == units.end() ? nullptr : &*at;
}

Error no_such_unit(std::span<const WrittenUnit> units, std::string_view name,
                   std::string_view what) {
  std::vector<std::string_view> names;
  for (const WrittenUnit& unit : units) names.push_back(unit.name);
  return cell_error("unit", "this unit does not fit " + std::string(what), name,
                    "one of " + listed(names) + did_you_mean(near_names(name, names)));
}

std::span<const WrittenUnit> length_units() {
  // An inch is 25.4 mm exactly (NIST SP 811, appendix B.8).
  static constexpr std::array<WrittenUnit, 4> units{{{"mm"},
                                                     {.name = "um", .per = 1e3},
                                                     {.name = "in", .times = 25.4},
                                                     {.name = "mil", .times = 25.4, .per = 1e3}}};
  return units;
}

}  // namespace ohmglow::records
