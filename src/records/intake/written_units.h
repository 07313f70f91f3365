#pragma once
/// Units in which a table's numbers may be written.

#include "ohmglow/result.h"

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// What a unit makes of a written number: value × times ÷ per. Two factors, so that 412 mohm are
/// the double that is nearest to 0.412 ohm.
struct WrittenUnit {
  std::string_view name;
  double times = 1;
  double per = 1;

  [[nodiscard]] double in_base(double written) const { return written * times / per; }
};

/// The unit of that name, whatever its case; null where none of them has it.
[[nodiscard]] const WrittenUnit* unit_named(std::span<const WrittenUnit> units,
                                            std::string_view name);
/// The complaint about a unit that is none of these. `what` is what was measured.
[[nodiscard]] Error no_such_unit(std::span<const WrittenUnit> units, std::string_view name,
                                 std::string_view what);

/// Of lengths, in millimetre.
[[nodiscard]] std::span<const WrittenUnit> length_units();

}  // namespace ohmglow::records
