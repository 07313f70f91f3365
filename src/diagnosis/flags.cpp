#include "judging.h"

#include <algorithm>
#include <array>

namespace ohmglow::diagnosis {
namespace {

struct FlagRow {
  std::string_view name;
  std::string_view consequence;
  std::string_view source;
};

// In the order of Flag.
constexpr std::array<FlagRow, 9> kFlags{{
    {"low_load",
     msg("load was under 40 % of rated; the fault may be worse than it looks. Image again at 40 % "
         "load or more"),
     msg("NFPA 70B:2023 7.4.5 and 7.4.6, from memory")},
    {"no_load", msg("the motor carried no current; without load a bad joint does not heat up"),
     msg("I²R; load applied, ANSI/NETA thermographic survey")},
    {"too_small",
     msg("the lug covers less than 3 × 3 sharp pixels; it is at least this warm, perhaps warmer"),
     msg("common practice, no source")},
    {"low_emissivity",
     msg("emissivity is below 0.5, so the reading is mostly reflection. Do not rely on it: put "
         "tape or a painted target beside the lug and mark that"),
     msg("ASTM E1934-99a, note 1: care with low emissivity")},
    {"wind", msg("wind was above 5 m/s and cooled the lug; in still air the rise is higher"),
     msg("DL/T 664-2016, from memory")},
    {"no_data_pixels", msg("some pixels of the mark hold no data; a hotter spot may be among them"),
     msg("house rule (docs/method.md)")},
    {"outside_table",
     msg("no surface temperature between −60 and 1500 °C fits this reading: not measurable"),
     msg("house rule (docs/method.md)")},
    {"assumed_air",
     msg("the reflected temperature was not given; the air temperature was used instead"),
     msg("house rule (docs/method.md)")},
    {"unconfirmed",
     msg("the mark was set by the program and nobody has confirmed it; it may lie beside the lug "
         "or on another phase"),
     msg("common practice, no source")},
}};

constexpr std::array<std::string_view, 3> kDistributions{"normal", "truncated_normal",
                                                         "rectangular"};
constexpr std::array<std::string_view, 3> kStatuses{"measured", "unmarked", "rejected"};

const FlagRow& row_of(Flag flag) {
  return kFlags.at(static_cast<std::size_t>(flag));
}

}  // namespace

std::string_view name_of(Flag flag) {
  return row_of(flag).name;
}

std::string_view name_of(ImageStatus status) {
  return kStatuses.at(static_cast<std::size_t>(status));
}

std::string_view name_of(Distribution distribution) {
  return kDistributions.at(static_cast<std::size_t>(distribution));
}

Evidence consequence_of(Flag flag) {
  const FlagRow& row = row_of(flag);
  return {sentence(row.consequence), sentence(row.source)};
}

std::vector<Flag> all_flags() {
  std::vector<Flag> flags;
  for (std::size_t i = 0; i < kFlags.size(); ++i) flags.push_back(static_cast<Flag>(i));
  return flags;
}

bool Finding::has(Flag flag) const {
  return std::find(flags.begin(), flags.end(), flag) != flags.end();
}

bool LugResult::has(Flag flag) const {
  return std::binary_search(flags.begin(), flags.end(), flag);
}

void LugResult::raise(Flag flag) {
  const auto at = std::lower_bound(flags.begin(), flags.end(), flag);
  if (at == flags.end() || *at != flag) flags.insert(at, flag);
}

}  // namespace ohmglow::diagnosis
